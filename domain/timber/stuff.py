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
