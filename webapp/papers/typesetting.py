"""Setting a document: data and template in, PDF/A bytes out, and no letter lost on the way."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable, Iterator
from datetime import datetime
from functools import cache
from typing import Any

from domain.problems import BadInput, Path, Problem
from webapp import data_folder
from webapp.papers.kinds import LabelTooSmall
from webapp.wording.letters import check_fields, lacking
from webapp.wording.problems import InputProblem

DOCUMENTS = data_folder("templates") / "papers"
Fields = Iterable[tuple[Path, str]]
"""Where the texts of a document were typed: fields and what stands in them."""

log = logging.getLogger("dovetally")


def set_document(template: str, data: dict[str, Any], stamp: datetime, fields: Fields) -> bytes:
    """The PDF/A-2b that ``templates/papers/<template>.typ`` makes of ``data``.

    Raises BadInput naming every field that has a letter which the font lacks, LabelTooSmall for a label
    without room.
    """
    # a compositor of documents is no part of a cold start
    import typst

    _check_letters(data, fields)
    try:
        document: bytes = typst.compile(
            **_document(template, data), format="pdf", pdf_standards=["a-2b"], timestamp=stamp
        )
    except typst.TypstError as error:
        mark = _label_without_room(template, data)
        if mark is not None:
            raise LabelTooSmall(mark) from None
        log.error("the document %s cannot be set: %s", template, error)
        raise BadInput([Problem((f"the {template} paper",), data["title"], InputProblem.NOT_SET)]) from None
    return document


def _document(template: str, data: dict[str, Any], **inputs: str) -> dict[str, Any]:
    return {
        "input": str(DOCUMENTS / f"{template}.typ"),
        "root": str(DOCUMENTS),
        "font_paths": _fonts(),
        "sys_inputs": {"data": json.dumps(data, ensure_ascii=False), **inputs},
    }


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(DOCUMENTS / "fonts")]
    )


def _check_letters(data: object, fields: Fields) -> None:
    """Raise BadInput where the font lacks a letter: only what stands on this document counts."""
    lost = {text: letters for text in _texts(data) if (letters := lacking(text))}
    if not lost:
        return
    wanted = frozenset("".join(lost.values()))
    check_fields((path, text) for path, text in fields if not wanted.isdisjoint(text))
    # typed nowhere that is known
    check_fields((("the paper",), text) for text in lost)


def _texts(data: object) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _texts(value)


def _label_without_room(template: str, data: dict[str, Any]) -> str | None:
    """The mark of the first part whose label has no room; None where that is not what is wrong."""
    import typst

    if template != "labels":
        return None
    try:
        found = typst.query(**_document(template, data, asked="yes"), selector="<too-small>", field="value")
    except typst.TypstError:
        return None
    return next(iter(json.loads(found)), None)
