"""Mouldings by name: stock that comes back, and once it was milled the readings and the projection that worked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import radians, sin
from typing import Annotated

from pydantic import Field

from domain.lengths import Length
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.assemblies import FrameStock
from domain.spec.catalogue import CutterKind
from domain.spec.fields import Day, Name, Number, Size, Spec

SAME = Length.from_mm(0.05)
"""Stock sizes that differ by no more than this are the same moulding; common practice (no source)."""
Profile = tuple[tuple[Length, Length], ...]


@dataclass(frozen=True, slots=True)
class Worked:
    """What the machine was set to when a moulding came out well; readings are from the tip or reference edge."""

    section: str
    cutter: CutterKind
    projection: Length
    fence_readings: tuple[Length, ...]


class Moulding(Spec):
    """A moulding as the shop keeps it: its stock and wood, and what worked, together or not at all.

    ``angle`` is the joint line's, in degrees (45 for a rectangle's mitre).
    """

    name: Name
    stock: FrameStock
    material: Name | None = None
    species: Name | None = None
    angle: Annotated[Number, Field(ge=15, le=90)] = 45
    section: Name | None = None
    cutter: CutterKind = CutterKind.CLOSE
    projection: Size | None = None
    fence_readings: Annotated[tuple[Size, ...], Field(max_length=40)] = ()
    day: Day

    @property
    def worked(self) -> Worked | None:
        """What worked; None of a moulding that was not milled yet."""
        if self.section is None or self.projection is None or not self.fence_readings:
            return None
        return Worked(self.section, self.cutter, self.projection, self.fence_readings)


@dataclass(frozen=True, slots=True)
class KeptMoulding:
    """A moulding in the shop's book, under its number."""

    number: int
    moulding: Moulding


def check_moulding(moulding: Moulding) -> Iterator[Problem]:
    """Readings that cannot belong to this stock, or that say less than they must."""
    worked = {
        "section": moulding.section,
        "projection": moulding.projection,
        "fence_readings": moulding.fence_readings,
    }
    if any(worked.values()):
        for name, value in worked.items():
            if not value:
                yield Problem.of((name,), None, ProblemCode.MISSING)
    breadth = moulding.stock.width.mm / sin(radians(moulding.angle))
    for index, reading in enumerate(moulding.fence_readings):
        if reading.mm >= breadth:
            yield Problem.of(
                ("fence_readings", index),
                reading.mm,
                ProblemCode.READING_OFF_LINE,
                breadth=round(breadth, 1),
                angle_n=moulding.angle,
            )
        elif index and reading <= moulding.fence_readings[index - 1]:
            yield Problem.of(("fence_readings", index), reading.mm, ProblemCode.READING_ORDER)


def matching(stock: FrameStock, angle: float, kept: Sequence[KeptMoulding]) -> tuple[KeptMoulding, ...]:
    """The kept mouldings of the same stock that were milled at the same angle (degrees); the newest first."""
    same = [
        each
        for each in kept
        if each.moulding.worked is not None
        and abs(each.moulding.angle - angle) < 1e-3
        and same_stock(each.moulding.stock, stock)
    ]
    return tuple(sorted(same, key=lambda each: (each.moulding.day, each.number), reverse=True))


def same_stock(one: FrameStock, other: FrameStock) -> bool:
    """True where width, thickness, rabbet and front agree."""
    sizes = [(one.width, other.width), (one.thickness, other.thickness)]
    sizes += zip(_rabbet(one), _rabbet(other), strict=True)
    fronts = _profile(one), _profile(other)
    if len(fronts[0]) != len(fronts[1]):
        return False
    for (x, height), (other_x, other_height) in zip(*fronts, strict=True):
        sizes += [(x, other_x), (height, other_height)]
    return all(abs(mine.nm - theirs.nm) <= SAME.nm for mine, theirs in sizes)


def _rabbet(stock: FrameStock) -> tuple[Length, Length]:
    """A rabbet with one size only takes nothing away."""
    cut = stock.rabbet_width and stock.rabbet_depth
    return (stock.rabbet_width, stock.rabbet_depth) if cut else (Length(0), Length(0))


def _profile(stock: FrameStock) -> Profile:
    """The front's points; a front that is flat at the stock's thickness is none."""
    front = stock.front or ()
    return () if all(height == stock.thickness for _, height in front) else front
