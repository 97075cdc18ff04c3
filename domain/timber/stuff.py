"""What a part is made of, read from the name that it was given: solid wood, plywood or board."""

from __future__ import annotations

import re
from enum import StrEnum


class Stuff(StrEnum):
    """Solid wood, whose grain runs along the piece; or sheets, which have plies or none."""

    SOLID = "solid"
    PLYWOOD = "plywood"
    BOARD = "board"

    @property
    def is_sheet(self) -> bool:
        """True where it comes in sheets and its edge shows plies or chips."""
        return self is not Stuff.SOLID

    @property
    def is_grainless(self) -> bool:
        """True where it may be laid either way on its sheet."""
        return self is Stuff.BOARD


_PLYWOOD = r"ply|plywood|multiplex|blockboard|laminboard"
_BOARD = (
    r"mdf|hdf|osb|chipboard|chip ?board|particle ?board|hardboard|strand ?board|fib(re|er) ?board"
    r"|[a-z]+-density fib(re|er) ?board|melamine"
)
_WORDS = (
    (Stuff.PLYWOOD, re.compile(rf"\b({_PLYWOOD})\b")),
    (Stuff.BOARD, re.compile(rf"\b({_BOARD})\b")),
)


def stuff_of(material: str | None) -> Stuff:
    """What a material's name says that it is: sheets have a word of their own in it, all else is solid wood.

    >>> stuff_of("birch plywood"), stuff_of("MDF, veneered"), stuff_of("Ash, white"), stuff_of(None)
    (<Stuff.PLYWOOD: 'plywood'>, <Stuff.BOARD: 'board'>, <Stuff.SOLID: 'solid'>, <Stuff.SOLID: 'solid'>)
    """
    name = (material or "").casefold()
    return next((stuff for stuff, words in _WORDS if words.search(name)), Stuff.SOLID)


_GLASS = re.compile(r"\b(glass|mirror|acrylic|polycarbonate)\b")


def is_glass(material: str | None) -> bool:
    """Whether a material is glass or what stands for it: sheets without a grain, bought to size or cut from one.

    >>> is_glass("clear glass"), is_glass("fibreglass board"), is_glass(None)
    (True, False, False)
    """
    return _GLASS.search((material or "").casefold()) is not None
