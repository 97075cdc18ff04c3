"""Setting a document: data and template in, PDF/A bytes out, and no letter lost on the way."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from typing import Any

from webapp.papers.pictures import TEMPLATES

DOCUMENTS = TEMPLATES / "papers"
_NO_LETTER = re.compile(r'the text `"(?P<text>.*?)"` could not be displayed', re.DOTALL)
_RUST_ESCAPE = re.compile(r"\\u\{([0-9a-f]+)\}")
_NO_ROOM = re.compile(r"label-too-small: (?P<mark>[A-Za-z0-9_.]+)")


class UnprintableText(ValueError):
    """A letter that the documents' font does not have: the ``text``, its ``letter``, a ``remedy`` in words."""

    def __init__(self, text: str, letter: str) -> None:
        self.text = text
        self.letter = letter
        codes = " ".join(f"U+{ord(sign):04X}" for sign in letter)
        self.remedy = (
            f"the letter {letter} ({codes}) is not in the font that documents are set in;"
            " write it with other letters"
        )
        super().__init__(f"{text!r}: {self.remedy}")


class LabelTooSmall(ValueError):
    """A label without room for what must stand on it: the part's ``mark``."""

    def __init__(self, mark: str) -> None:
        self.mark = mark
        super().__init__(f"The label is too small for what part {mark} needs on it; give it more width or height.")


def set_document(template: str, data: dict[str, Any], stamp: datetime) -> bytes:
    """The PDF/A-2b that ``templates/papers/<template>.typ`` makes of ``data``.

    Raises UnprintableText for a letter that the font lacks, LabelTooSmall for a label without room.
    """
    # a compiler of documents is no part of a cold start
    import typst

    try:
        return typst.compile(
            str(DOCUMENTS / f"{template}.typ"),
            root=str(DOCUMENTS),
            font_paths=_fonts(),
            format="pdf",
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            pdf_standards=["a-2b"],
            timestamp=stamp,
        )
    except typst.TypstError as error:
        message = str(error)
        if found := _NO_LETTER.search(message):
            letter = _RUST_ESCAPE.sub(lambda code: chr(int(code[1], 16)), found["text"])
            raise UnprintableText(_text_with(letter, data), letter) from None
        if found := _NO_ROOM.search(message):
            raise LabelTooSmall(found["mark"]) from None
        raise


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(DOCUMENTS / "fonts")]
    )


def _text_with(letter: str, data: object) -> str:
    """The first text of ``data`` that holds the letter."""
    return next((text for text in _texts(data) if letter in text), letter)


def _texts(data: object) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _texts(value)
