"""What is placed on a bar as one: a piece, or pieces that come from one length; and what of a bar it takes.

Pieces mitred alike at both ends are nested tip to tip, each turned over against its neighbours: then a saw cut
serves both, and at half the width every piece goes as far as half its long and short length together. So each
takes (long + short) / 2, and each cut between two kerf / cos(angle), for it runs slanting; at both ends of the bar
half a taper lies beyond half the width, and the taper's whole comes off the bar once. That is exact: no other
way to lay such pieces takes less. Reckoned in half nanometres, so that halves are whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import isqrt

from domain.cutting.request import BarItem
from domain.lengths import Length

Marks = tuple[tuple[str, int], ...]
"""Marks in the order they are sawn, each with how many follow one another."""


@dataclass(frozen=True, slots=True)
class Whole:
    """So many of what comes from a bar as one: its length, and the marks of its pieces in order."""

    mark: str
    length: Length
    count: int
    pieces: tuple[str, ...]


def wholes(item: BarItem) -> Iterator[Whole]:
    """An item's pieces, then its sets of pieces that belong together."""
    for piece in item.pieces:
        yield Whole(piece.mark, piece.length, piece.count, (piece.mark,))
    for match in item.matched:
        length = sum(each.nm for _, each in match.together) + item.kerf.nm * (len(match.together) - 1)
        yield Whole(match.mark, Length(length), match.count, tuple(mark for mark, _ in match.together))


def run_together(marks: Iterator[str]) -> Marks:
    """Marks with equal neighbours counted."""
    return tuple((mark, len([*same])) for mark, same in groupby(marks))


@dataclass(frozen=True, slots=True)
class Measure:
    """How much of a bar a piece of a length takes, in parts of a nanometre.

    ``less``: what a nested piece takes less than its length; ``ends``: what comes off the bar once; ``kerf``.
    """

    parts: int
    kerf: int
    less: int = 0
    ends: int = 0

    def size(self, length: Length) -> int:
        """What a piece takes, with its kerf."""
        return self.parts * length.nm - self.less + self.kerf

    def capacity(self, room: Length) -> int:
        """What a bar gives that has so much between its trims: one kerf more than that."""
        return max(0, self.parts * room.nm - self.ends + self.kerf)

    def left(self, room: int) -> Length:
        """What is left of a bar, as a length: rounded down."""
        return Length(room // self.parts)


def measure_of(item: BarItem) -> Measure:
    """How the pieces of an item are measured: as they are long, or nested."""
    if item.nest_width is None:
        return Measure(1, item.kerf.nm)
    tapers = [piece.length.nm - piece.short_length.nm for piece in item.pieces if piece.short_length is not None]
    return Measure(2, 2 * slanting_kerf(item).nm, min(tapers), max(tapers))


def slanting_kerf(item: BarItem) -> Length:
    """How far a mitre's cut goes along the bar, rounded up: kerf / cos(angle), tan(angle) = taper / width."""
    width = item.nest_width
    if width is None:
        return item.kerf
    taper = max(piece.length.nm - piece.short_length.nm for piece in item.pieces if piece.short_length is not None)
    # the taper of one end is half of that: kerf · √((2w)² + taper²) / 2w
    whole = item.kerf.nm**2 * ((2 * width.nm) ** 2 + taper**2)
    return Length(-(-(isqrt(whole - 1) + 1 if whole else 0) // (2 * width.nm)))
