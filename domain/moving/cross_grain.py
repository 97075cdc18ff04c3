"""Where wood that moves is held by wood that does not: grain that crosses at a joint, or under it.

At a joint both pieces are held to each other along its length. What their movements along it differ by, the joint
has to give, or the wood splits. How much is too much is the shop's rule ``cross_grain_limit``, common practice (no
source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, auto

from domain.lengths import Mm
from domain.moving.parts import PartMovement
from domain.parts import Expansion, Joint, JointKind, Meeting
from domain.spec.assemblies import Assembly, Box, Carcass, CarcassCorner, TopFit


class Crossing(Enum):
    """What crosses: a rail's end on a stile, boards at an edge, a plinth between sides or below, a top."""

    RAIL = auto()
    EDGE = auto()
    PLINTH = auto()
    PLINTH_FRAME = auto()
    TOP_OVER = auto()


@dataclass(frozen=True, slots=True)
class CrossGrain:
    """Two parts whose movements along the line where they meet differ, mm.

    ``moves`` moves more than ``held``; ``length`` is how long they are held together, ``differ`` by how much they
    part at most, with the sign of the one that moves more. ``joint`` is empty where no keys join them.
    """

    crossing: Crossing
    joint: str
    moves: PartMovement
    held: str
    length: Mm
    differ: Mm


def cross_grains(
    spec: Assembly, expansion: Expansion, moving: Mapping[str, PartMovement], limit: Mm
) -> tuple[CrossGrain, ...]:
    """Every place where movements differ by more than ``limit`` (mm), the worst first."""
    found = (*_at_joints(expansion, moving), *_without_joints(spec, expansion, moving))
    return tuple(sorted((each for each in found if abs(each.differ) > limit), key=lambda each: -abs(each.differ)))


def _at_joints(expansion: Expansion, moving: Mapping[str, PartMovement]) -> Iterator[CrossGrain]:
    meetings = {meeting.joint: meeting for meeting in reversed(expansion.meetings)}
    names = {member.mark: member.name for member in expansion.members}
    for joint in expansion.joints:
        if joint.kind is JointKind.MITRE or joint.mark not in meetings:
            continue
        crossing, length, along = _line(joint, meetings[joint.mark])
        shares = [_share(moving.get(mark), way) for mark, way in zip(joint.members, along, strict=True)]
        differ = _differ(length, shares)
        first, second = joint.members
        mark, held = (first, second) if abs(shares[0]) >= abs(shares[1]) else (second, first)
        if mark in moving:
            yield CrossGrain(crossing, joint.mark, moving[mark], f"{held} {names[held]}", Mm(length), Mm(differ))


def _differ(length: float, shares: list[float]) -> float:
    """By how much they part over that length, with the sign of the one that moves more."""
    apart = abs(shares[0] - shares[1]) * length
    return -apart if max(shares, key=abs) < 0 else apart


def _line(joint: Joint, meeting: Meeting) -> tuple[Crossing, float, tuple[str, str]]:
    """How long the pieces are held together, and along which of its sizes that runs in each of them."""
    if joint.kind.on_edge:
        if meeting.second.across:
            return Crossing.PLINTH, joint.face.run, ("width", "length")
        return Crossing.EDGE, joint.face.run, ("width", "width")
    return Crossing.RAIL, joint.face.breadth, ("width", "length")


def _share(part: PartMovement | None, along: str) -> float:
    """By what share a part moves along its width or length: the season where it moves most; sheets not at all."""
    if part is None or (along == "length") is not part.turned:
        return 0.0
    return part.most / part.across


def _without_joints(
    spec: Assembly, expansion: Expansion, moving: Mapping[str, PartMovement]
) -> Iterator[CrossGrain]:
    """A bottom on a plinth frame of its own, a box's top over its walls: fastened by whoever makes it."""
    if isinstance(spec, Carcass) and spec.corner is CarcassCorner.MITRE and spec.plinth is not None:
        bottom = next(member for member in expansion.members if member.name == "bottom")
        end = next(member for member in expansion.members if member.name == "plinth end")
        part = moving.get(bottom.mark)
        share = _share(part, "width") - _share(moving.get(end.mark), "length")
        if part is not None:
            held = f"{end.mark} {end.name}"
            yield CrossGrain(Crossing.PLINTH_FRAME, "", part, held, bottom.width, Mm(share * bottom.width))
    if isinstance(spec, Box) and spec.top is not None and spec.top.fit is TopFit.OVER:
        top = next(panel for panel in expansion.panels if panel.name == "top")
        part = moving.get(top.mark)
        if part is not None:
            yield CrossGrain(Crossing.TOP_OVER, "", part, "the walls", part.across, Mm(part.most))
