"""The letters that can be put on paper: those of the font that papers are set in.

What the font lacks is refused where it is typed, and named with its field before a paper is set; the
compositor's own refusal names neither field nor remedy.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import cache

from domain.problems import BadInput, Path, Problem, Refused
from webapp import data_folder
from webapp.wording.problems import InputProblem

_FONTS = data_folder("templates") / "papers" / "fonts"
_INVISIBLE = "\t\n\r\x85\u061c\u180e\u2066\u2067\u2068\u2069\u3000"
"""Spaces and marks of direction that no font needs a letter for."""


@cache
def _letters() -> frozenset[str]:
    """What every cut of the font has: a text may be set in any of them."""
    # reads two large files, and is not asked for by anybody who writes plain ASCII
    from fontTools.ttLib import TTFont

    cuts = []
    for path in sorted(_FONTS.glob("*.ttf")):
        with TTFont(path, lazy=True) as font:
            cuts.append(frozenset(map(chr, font.getBestCmap() or ())))
    return frozenset.intersection(*cuts).union(_INVISIBLE)


def lacking(text: str) -> str:
    """The letters of the text that cannot be printed, each once; "" where all can.

    A letter that the font has in parts, such as a vowel and its accent, can.

    >>> lacking("Tisch groß, 7/8″"), lacking("漆 and 漆")
    ('', '漆')
    """
    if text.isascii() and text.isprintable():
        return ""
    have = _letters()
    return "".join(
        sign
        for sign in dict.fromkeys(text)
        if sign not in have and not have.issuperset(unicodedata.normalize("NFD", sign))
    )


def check_letters(text: str) -> None:
    """Raise Refused where the text has letters that cannot be printed."""
    letters = lacking(text)
    if letters:
        codes = ", ".join(f"U+{ord(sign):04X}" for sign in letters)
        code = InputProblem.NO_LETTER if len(letters) == 1 else InputProblem.NO_LETTERS
        raise Refused(code, letters_text=", ".join(letters), codes_text=codes)


def check_fields(fields: Iterable[tuple[Path, str]]) -> None:
    """Raise BadInput with every field that has letters which cannot be printed."""
    problems = tuple(problem for path, text in fields if (problem := _problem(path, text)) is not None)
    if problems:
        raise BadInput(problems)


def _problem(path: Path, text: str) -> Problem | None:
    try:
        check_letters(text)
    except Refused as refused:
        return refused.at(path, text)
    return None
