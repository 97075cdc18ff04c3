"""Which mark a new assembly is offered."""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_uppercase


def mark_after(used: Iterable[str]) -> str:
    """The letters after the last in use: A, B … Z, AA and so on.

    A gap is not filled, for a deleted assembly's mark may be pencilled on parts already. Only one or
    two capitals count as letters of the row; longer ones are words of the user's.

    >>> mark_after([]), mark_after(["A", "C", "LID"]), mark_after(["Z"])
    ('A', 'D', 'AA')
    """
    taken = set(used)
    place = max((_place(mark) for mark in taken if len(mark) <= 2), default=0) + 1
    while _letters(place) in taken:
        place += 1
    return _letters(place)


def _place(mark: str) -> int:
    """A is 1, Z is 26, AA is 27; 0 for what is not all capitals."""
    place = 0
    for letter in mark:
        if letter not in ascii_uppercase:
            return 0
        place = place * 26 + ascii_uppercase.index(letter) + 1
    return place


def _letters(place: int) -> str:
    letters = ""
    while place:
        place, letter = divmod(place - 1, 26)
        letters = ascii_uppercase[letter] + letters
    return letters
