"""Slots as one sees them on pieces drawn apart: their outline on the mating face, their dovetail at the edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from domain.parts import Single, Vector
from domain.planning.plans import SectionPlan
from domain.space.body import CLOSE, dot, moved
from domain.space.solid import Edge

CHORDS = 6
"""A round end in so many chords."""


@dataclass(frozen=True, slots=True)
class Milled:
    """A slot or mortise in one piece: the edges that it makes, and the stretch of an edge that it takes away."""

    piece: Single
    edges: tuple[Edge, ...]
    opening: Edge | None

    @property
    def low(self) -> float:
        """Where its lowest edge lies, mm from the bottom."""
        return min(y for edge in self.edges for _, y, _ in edge)

    def shifted(self, way: Vector) -> Milled:
        """The same slot in a piece that has been moved."""
        gone, edges = self.opening, self.edges
        return Milled(
            self.piece,
            tuple((moved(one, way), moved(other, way)) for one, other in edges),
            None if gone is None else (moved(gone[0], way), moved(gone[1], way)),
        )


def milled(
    piece: Single, plan: SectionPlan, depth: float, mouth: Vector, ways: tuple[Vector, Vector, Vector]
) -> Milled:
    """The slot that a plan mills into a piece, ``depth`` mm from the middle of its ``mouth``.

    ``ways`` are those that it runs in, along the joint line and into the piece's wood. On the mating face it is
    D − 2p·tan θ wide and as round at its end; at the edge it widens to D at p.
    """
    inwards, along, into = ways
    tip, deep = plan.cutter.tip_diameter / 2, float(plan.projection)
    half = tip - deep * plan.section.slope

    def at(across: float, down: float, under: float = 0.0) -> Vector:
        return moved(moved(moved(mouth, along, across), inwards, down), into, under)

    axis = depth - tip
    turns = [pi * step / CHORDS for step in range(CHORDS + 1)]
    outline = [at(half, 0.0), *(at(half * cos(turn), axis + half * sin(turn)) for turn in turns), at(-half, 0.0)]
    dovetail = [at(half, 0.0), at(tip, 0.0, deep), at(-tip, 0.0, deep), at(-half, 0.0)]
    edges = (*pairwise(outline), *pairwise(dovetail))
    return Milled(piece, edges, (at(-half, 0.0), at(half, 0.0)))


def left_of(edge: Edge, openings: Sequence[Edge]) -> Iterator[Edge]:
    """What slots leave of an edge that they open."""
    if not openings:
        yield edge
        return
    start, end = edge
    way = moved(end, start, -1.0)
    long = dot(way, way)
    gone = sorted(filter(None, (_shares(opening, start, way, long) for opening in openings)))
    at = 0.0
    for low, high in gone:
        if low > at:
            yield moved(start, way, at), moved(start, way, low)
        at = max(at, high)
    if at < 1.0:
        yield moved(start, way, at), end


def _shares(opening: Edge, start: Vector, way: Vector, long: float) -> tuple[float, float] | None:
    """From which share of an edge to which an opening lies on it; None: it does not."""
    shares = []
    for point in opening:
        off = moved(point, start, -1.0)
        share = dot(off, way) / long
        rest = moved(off, way, -share)
        if dot(rest, rest) > CLOSE or not -CLOSE < share < 1 + CLOSE:
            return None
        shares.append(share)
    return min(shares), max(shares)
