"""What is in whose way: every pair of an assembly's parts along every direction, and what covers keys' ways in.

Parts are counted from 0 in the order of the bodies, and a set of parts is a whole number with a bit for each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from domain.assembling.blocks import AXES, TOUCH, Block, block, blocks_of, hull_of, is_in_the_way
from domain.parts import Expansion, Meeting, Side, Single, Vector
from domain.planning.plans import JointPlan, SectionPlan
from domain.space.bodies import Seam, seams
from domain.space.body import Body, moved, unit
from domain.spec.choices import Entry

Parts = int
"""A set of parts: bit 0 is the first body's."""
ENTRY_SIDES = tuple(Side(entry.value) for entry in Entry if entry is not Entry.BOTH)


@dataclass(frozen=True, slots=True)
class Join:
    """A joint of one copy: its two parts, the normal of its face into the first, and the way its slots run in.

    ``keys`` are all its keys; ``covers`` has for every edge that they enter by the parts that lie in their way
    in, and ``free`` the other edges that nothing covers.
    """

    meeting: Meeting
    plan: JointPlan
    first: int
    second: int
    normal: Vector
    run: Vector
    keys: int
    covers: tuple[tuple[Entry, Parts], ...]
    free: tuple[Entry, ...]

    @property
    def both(self) -> Parts:
        """Its two parts."""
        return 1 << self.first | 1 << self.second

    @property
    def covered(self) -> Parts:
        """Every part that lies in the way of any of its keys."""
        found = 0
        for _, parts in self.covers:
            found |= parts
        return found


@dataclass(frozen=True, slots=True)
class Relations:
    """An assembly as its order sees it.

    ``in_the_way[way][part]`` are the parts that one runs into as it moves along ``ways[way]``; a way's opposite
    stands beside it. ``let_into`` are the parts that each panel is let into, and ``laid_on`` are bodies that are
    let into nothing: linings, veneers, which are no part of the order. ``corners`` are the parts', mm.
    """

    bodies: tuple[Body, ...]
    joins: tuple[Join, ...]
    ways: tuple[Vector, ...]
    in_the_way: tuple[tuple[Parts, ...], ...]
    let_into: Mapping[int, Parts]
    corners: tuple[tuple[Vector, ...], ...]
    laid_on: tuple[Body, ...] = ()

    @property
    def everything(self) -> Parts:
        """All parts."""
        return (1 << len(self.bodies)) - 1

    @property
    def panels(self) -> Parts:
        """The parts that are let in."""
        return sum(1 << index for index in self.let_into)


@dataclass(frozen=True, slots=True)
class _Solid:
    """A body, the block around all of it, and the blocks that fill it, if those are other ones."""

    whole: Block
    filling: tuple[Block, ...]
    is_panel: bool

    def runs_into(self, other: _Solid, way: Vector) -> bool:
        """Whether it runs into the other as it moves along ``way``."""
        if not is_in_the_way(self.whole, other.whole, way):
            return False
        if not self.is_panel and not other.is_panel:
            # no member passes through another one's groove
            return True
        return any(is_in_the_way(one, two, way) for one in self.filling for two in other.filling)


def _solid(body: Body) -> _Solid:
    whole = hull_of(body)
    return _Solid(whole, blocks_of(body) if body.channels else (whole,), body.is_panel)


def relations(expansion: Expansion, joints: Sequence[JointPlan], bodies: Sequence[Body]) -> Relations:
    """What is in whose way among these bodies of one copy; ``joints`` are the assembly's, planned."""
    solids = {body.piece: _solid(body) for body in bodies}
    sunk = {
        body.piece: [other for other in bodies if _overlap(solids[body.piece].whole, solids[other.piece].whole)]
        for body in bodies
        if body.is_panel
    }
    laid_on = tuple(body for body in bodies if body.is_panel and len(sunk[body.piece]) < 2)
    parts = tuple(body for body in bodies if body not in laid_on)
    places = {body.piece: index for index, body in enumerate(parts)}
    let_into = {
        places[body.piece]: sum(1 << places[other.piece] for other in sunk[body.piece] if other != body)
        for body in parts
        if body.is_panel
    }
    plans = {plan.joint.mark: plan for plan in joints}
    there = [solids[body.piece] for body in parts]
    outmost = {side: _outmost(side, there) for side in ENTRY_SIDES}
    joins = tuple(_join(seam, plans, places, there, outmost) for seam in seams(expansion, bodies))
    ways = _ways([join.normal for join in joins])
    corners = tuple(solid.whole.corners for solid in there)
    return Relations(parts, joins, ways, _table(there, ways), let_into, corners, laid_on)


def _overlap(one: Block, other: Block) -> bool:
    return all(
        min(high, above) - max(low, below) > TOUCH
        for (low, high), (below, above) in zip(one.extents, other.extents, strict=True)
    )


def _ways(normals: Sequence[Vector]) -> tuple[Vector, ...]:
    """Along the axes, square to every mating face, and between two where no movement is square to both.

    Opposite corners of a ring with an even number of sides are parallel and need no way between.
    """
    leaning = [_rounded(normal) for normal in normals if max(abs(part) for part in normal) < 1 - 1e-6]
    lines = {face if face > (0.0, 0.0, 0.0) else _turned(face): None for face in leaning}
    found = dict.fromkeys((*AXES, *lines))
    if len(lines) == len(leaning):
        for one, two in combinations(lines, 2):
            for sign in (1.0, -1.0):
                found.setdefault(_rounded(unit(moved(one, two, sign))))
    ways: dict[Vector, None] = {}
    for each in found:
        if _turned(each) not in ways:
            ways |= {each: None, _turned(each): None}
    return tuple(ways)


def _rounded(way: Vector) -> Vector:
    x, y, z = (0.0 + round(part, 9) for part in way)
    return (x, y, z)


def _turned(way: Vector) -> Vector:
    return (0.0 - way[0], 0.0 - way[1], 0.0 - way[2])


def _table(solids: Sequence[_Solid], ways: Sequence[Vector]) -> tuple[tuple[Parts, ...], ...]:
    """Each pair is asked once: one is in the other's way as the other, the opposite way, is in its own."""
    found = [[0] * len(solids) for _ in ways]
    level = [next((axis for axis in range(3) if abs(way[axis]) == 1.0), None) for way in ways[::2]]
    slanting = [2 * index for index, axis in enumerate(level) if axis is None]
    along = {axis: 2 * index for index, axis in enumerate(level) if axis is not None}
    for one, two in combinations(range(len(solids)), 2):
        first, second = solids[one], solids[two]
        # most pairs of a carcass stand beside one another whichever axis they move along
        for index in (*_axes_shared(first, second, along), *slanting):
            for mover, other, start, end in ((first, second, one, two), (second, first, two, one)):
                if mover.runs_into(other, ways[index]):
                    found[index][start] |= 1 << end
                    found[index ^ 1][end] |= 1 << start
    return tuple(tuple(row) for row in found)


def _axes_shared(one: _Solid, other: _Solid, along: Mapping[int, int]) -> Iterator[int]:
    """The ways along axes on which the two may meet: those that see both at one place."""
    (left, right), (low, high), (back, front) = one.whole.extents
    (left_2, right_2), (low_2, high_2), (back_2, front_2) = other.whole.extents
    across = right - left_2 > TOUCH and right_2 - left > TOUCH
    up = high - low_2 > TOUCH and high_2 - low > TOUCH
    if not across and not up:
        return
    through = front - back_2 > TOUCH and front_2 - back > TOUCH
    if up and through:
        yield along[0]
    if across and through:
        yield along[1]
    if across and up:
        yield along[2]


def _join(
    seam: Seam,
    plans: Mapping[str, JointPlan],
    places: Mapping[Single, int],
    solids: Sequence[_Solid],
    outmost: Mapping[Side, float],
) -> Join:
    meeting = seam.meeting
    plan, first, second = plans[meeting.joint], places[meeting.first.piece], places[meeting.second.piece]
    covers: dict[Entry, Parts] = {}
    free: list[Entry] = []
    if plan.plan is not None:
        others = ~(1 << first | 1 << second)
        used = dict.fromkeys(slot.entry for slot in plan.slots)
        covers = {entry: _covering(seam, plan.plan, entry, solids, outmost) & others for entry in used}
        if any(covers.values()):
            unused = (entry for entry in plan.joint.face.ends if entry not in used)
            free = [entry for entry in unused if not _covering(seam, plan.plan, entry, solids, outmost) & others]
    keys = sum(len(slot.keys) for slot in plan.slots)
    return Join(meeting, plan, first, second, seam.into, seam.run, keys, tuple(covers.items()), tuple(free))


def _outmost(side: Side, solids: Sequence[_Solid]) -> float:
    """How far anything reaches on that side, mm."""
    axis = next(axis for axis in range(3) if side.way[axis])
    reach = [solid.whole.extents[axis][side.way[axis] > 0] for solid in solids]
    return max(reach) if side.way[axis] > 0 else min(reach)


def _covering(
    seam: Seam, plan: SectionPlan, entry: Entry, solids: Sequence[_Solid], outmost: Mapping[Side, float]
) -> Parts:
    """What lies before the mouths of these slots: a key's width and thickness swept outwards is its way in."""
    half, side, found = plan.overall_width / 2, Side(entry.value), 0
    axis = next(axis for axis in range(3) if side.way[axis])
    for centre in plan.centres:
        mouth, inward = seam.mouth(centre, side)
        if (outmost[side] - mouth[axis]) * side.way[axis] <= TOUCH:
            # nothing at all lies farther out than the mouth
            continue
        corners = [
            moved(moved(moved(mouth, seam.along, along * half), seam.into, into * plan.projection), inward, -out)
            for along in (-1.0, 1.0)
            for into in (-1.0, 1.0)
            for out in (0.0, 1.0)
        ]
        plate = block(corners, (seam.along, seam.into, seam.run), (seam.along, seam.into, seam.run))
        key = _Solid(plate, (plate,), is_panel=False)
        for index, other in enumerate(solids):
            if not found >> index & 1 and key.runs_into(other, side.way):
                found |= 1 << index
    return found
