"""A project's photographs on paper: each with what it is of and what was written below it."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.problems import Path
from webapp.papers.pictures import Json
from webapp.wording.job import photograph_words

DOTS_PER_MM = 8
"""At least so many pixels stand in a millimetre (203 in an inch): a small picture is not blown up."""


@dataclass(frozen=True, slots=True)
class PhotographOnPaper:
    """A JPEG of ``width`` by ``height`` pixels; ``about`` is what it is of in words, ``mark`` its mark or ""."""

    mark: str
    about: str
    caption: str
    width: int
    height: int
    body: bytes


def photographs_data(photographs: Sequence[PhotographOnPaper]) -> Json:
    """What the template sets."""
    return {"photographs": [_photograph(each) for each in photographs]}


def photographs_fields(photographs: Sequence[PhotographOnPaper]) -> Iterator[tuple[Path, str]]:
    """Where the texts were typed."""
    for each in photographs:
        yield ("caption",), each.caption


def _photograph(one: PhotographOnPaper) -> Json:
    return {
        "about": one.about,
        "caption": one.caption,
        "alt": photograph_words(one.mark, one.caption),
        "svg": _in_svg(one),
        "width": one.width / DOTS_PER_MM,
        "height": one.height / DOTS_PER_MM,
    }


def _in_svg(one: PhotographOnPaper) -> str:
    """The picture in a drawing of its own size: so it travels as text, and its bytes reach the PDF unchanged."""
    size = f'width="{one.width}" height="{one.height}"'
    body = base64.b64encode(one.body).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {one.width} {one.height}">'
        f'<image {size} href="data:image/jpeg;base64,{body}"/></svg>'
    )
