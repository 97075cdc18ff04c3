"""Wood that is run in long lengths before it is cut: pieces of one section that share their grooves or moulding.

A rabbet, groove or moulding that runs out at both ends is cut along a whole length of stock, faster and more
safely than along short pieces. What stops before an end is milled in the piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.cut_list.listing import CutList, Group
from domain.cut_list.part import CutPart, Shape, Sort
from domain.lengths import Mm


@dataclass(frozen=True, slots=True)
class LongLength:
    """So much of one section is run with one shape: its pieces by part, and all of them in one length, mm.

    ``length`` has a kerf between any two neighbours: what trimming the stock's ends takes comes on top.
    """

    item: str
    shape: Shape
    parts: tuple[tuple[CutPart, int], ...]
    length: Mm

    @property
    def pieces(self) -> int:
        """How many pieces are cut from it."""
        return sum(each for _, each in self.parts)


def long_lengths(listed: CutList) -> tuple[LongLength, ...]:
    """What is worth running in long lengths: every shape that two pieces or more of a section share."""
    return tuple(
        found
        for group in listed.groups
        if group.sort is Sort.BAR
        for found in _of_group(group)
        if found.pieces > 1
    )


def _of_group(group: Group) -> Iterator[LongLength]:
    by_shape: dict[Shape, list[tuple[CutPart, int]]] = {}
    for part in group.parts:
        for shape, each in part.shapes:
            by_shape.setdefault(shape, []).append((part, each))
    for shape, parts in by_shape.items():
        pieces = sum(each for _, each in parts)
        length = sum(each * part.rough.length for part, each in parts) + group.kerf * (pieces - 1)
        yield LongLength(group.item, shape, tuple(parts), Mm(length))
