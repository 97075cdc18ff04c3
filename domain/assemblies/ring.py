"""Pieces mitred to each other all the way round: frames, boxes, carcasses."""

from __future__ import annotations

from collections.abc import Sequence

from domain.assemblies.parts_list import PartsList
from domain.parts import Single, Spot, Vector, side_towards


class Ring:
    """Pieces in turn round an opening: the ``i``-th runs from corner ``i`` to the next.

    Corners are tips and ``inner`` the other ends of the joint lines, mm in the assembly's space.
    """

    def __init__(
        self, parts: PartsList, marks: Sequence[str], corners: Sequence[Vector], inner: Sequence[Vector]
    ) -> None:
        self._parts, self._corners, self._inner = parts, corners, inner
        self.pieces: tuple[Single, ...] = tuple(parts.single(mark) for mark in marks)

    def meet(self, joint: str, first: str, corner: int) -> None:
        """The two pieces of a corner meet; the joint's first member has the mark ``first``."""
        begins, ends = self.pieces[corner], self.pieces[corner - 1]
        after = (corner + 1) % len(self._corners)
        ways = {begins: self._way(corner, after), ends: self._way(corner, corner - 1)}
        one, other = (begins, ends) if begins.mark == first else (ends, begins)
        along = _from_to(self._corners[corner], self._inner[corner])
        self._parts.meet(joint, _end(one, ways[one]), _end(other, ways[other]), ways[one], along)

    def _way(self, corner: int, other: int) -> Vector:
        return _from_to(self._corners[corner], self._corners[other])


def _end(piece: Single, into: Vector) -> Spot:
    x, y, z = into
    return Spot(piece, side_towards((-x, -y, -z)))


def _from_to(start: Vector, end: Vector) -> Vector:
    return (end[0] - start[0], end[1] - start[1], end[2] - start[2])
