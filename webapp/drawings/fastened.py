"""What holds the bare middle of a long edge, as it is drawn between two pieces: loose tenons, screws' axes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from domain.parts import Side, Single, Vector
from domain.space.bodies import Seam
from domain.space.body import Body, End, Sides, moved
from domain.space.solid import Edge
from domain.spec.choices import Middle
from domain.takeoff.fastened import Fastening, fastenings
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.key_solid import Solid, solid
from webapp.drawings.milled import Milled

BORE = 2.0
"""Half of a screw's bore as it is drawn, mm: common practice (no source)."""


@dataclass(frozen=True, slots=True)
class Fastened:
    """A loose tenon, the largest that the wood has room for, or a screw; its mortise or bore in both pieces."""

    seam: Seam
    middle: Vector
    solids: tuple[Solid, ...]
    slots: tuple[Milled, Milled]
    sort: Middle
    long: float
    """How far it goes into both pieces together, mm."""

    def axes(self, moves: Mapping[Single, Vector]) -> Iterator[Edge]:
        """Where a screw goes from one piece into the other, these having moved."""
        if self.sort is Middle.SCREWS:
            one, other = (spot.piece for spot in (self.seam.meeting.first, self.seam.meeting.second))
            yield moved(self.middle, moves[one]), moved(self.middle, moves[other])


def fastened(takeoff: AssemblyTakeoff, found: Sequence[Seam]) -> Iterator[Fastened]:
    """Every fastening of one copy where it stands."""
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    for seam in found:
        for one in fastenings(plans[seam.meeting.joint], seam):
            tenon = one.sort is Middle.TENONS
            solids = (solid(_tenon(one)),) if tenon else ()
            first, second = (
                Milled(spot.piece, tuple(_mouth(one)), None) for spot in (seam.meeting.first, seam.meeting.second)
            )
            long = 2 * one.room.deep if tenon else 0.0
            yield Fastened(seam, one.middle, solids, (first, second), one.sort, long)


def _tenon(one: Fastening) -> Body:
    """A loose tenon as a body: pushed along the run, half in each piece."""
    thick, deep = one.room.thick / 2, one.room.deep
    section = ((-deep, -thick), (deep, -thick), (deep, thick), (-deep, thick))
    sides = Sides((Side.BOTTOM, Side.TOP), (Side.LEFT, Side.RIGHT), (Side.BACK, Side.FRONT))
    ends = (End(-one.room.wide / 2), End(one.room.wide / 2))
    ways = (one.run, one.seam.into, one.seam.along)
    return Body(Single(one.seam.meeting.joint, 0), one.middle, ways, section, ends, sides)


def _mouth(one: Fastening) -> Iterator[Edge]:
    """The outline of the mortise or bore on the mating face."""
    if one.sort is Middle.TENONS:
        along, across = one.room.wide / 2, one.room.thick / 2
        corners = [(-along, -across), (along, -across), (along, across), (-along, across)]
    else:
        turns = (pi * turn / 4 for turn in range(8))
        corners = [(BORE * cos(turn), BORE * sin(turn)) for turn in turns]
    points = [moved(moved(one.middle, one.run, x), one.seam.along, y) for x, y in corners]
    yield from pairwise((*points, points[0]))


def fastened_said(held: Iterable[Fastened]) -> str:
    """What is drawn between the keys, a sentence that follows another; "" where there is nothing."""
    found = {each.sort for each in held}
    words = []
    if Middle.TENONS in found:
        words.append(" Loose tenons are drawn as large as the wood has room for.")
    if Middle.SCREWS in found:
        words.append(" Where screws go, their axis is drawn.")
    return "".join(words)
