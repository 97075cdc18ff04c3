"""The assembly sheet of one copy: its steps with their keys, glue and time, what to check, and what is in the way.

Glue is counted as for the whole project, mating area of one face × spread; a step's time is its keys × the time
to drive one, and it must fit the glue's open time, which begins with the first face that is spread.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from domain.assembling.order import Arrival, Order, Step, members_of, order_of
from domain.assembling.relations import Join, Parts, Relations, relations
from domain.lengths import Mm
from domain.parts import JointKind, Single, Vector
from domain.planning.plans import JointPlan
from domain.space.bodies import bodies
from domain.space.body import Body
from domain.spec.assemblies import Assembly
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff

CLOSE = 1e-3


@dataclass(frozen=True, slots=True)
class Coming:
    """Pieces that come in one go, along a unit vector; more than one have been joined in a step before."""

    pieces: tuple[Single, ...]
    way: Vector


@dataclass(frozen=True, slots=True)
class JointWork:
    """Equal joints that a step closes: how many of them, and how many slots in all enter by each edge."""

    joint: JointPlan
    count: int
    slots: tuple[tuple[Entry, int], ...]


@dataclass(frozen=True, slots=True)
class StepKeys:
    """Keys of one section and length (mm) that a step drives."""

    section: str
    length: Mm
    count: int


@dataclass(frozen=True, slots=True)
class Diagonals:
    """Where a step closes a ring: a rectangle's outside diagonal, mm; None of a polygon with other corners."""

    length: Mm | None


class Works(StrEnum):
    """What a step does: joints are closed, panels let in, or one thing is set on another without a joint."""

    JOINED = "joined"
    LET_IN = "let_in"
    SET_ON = "set_on"


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step in words of its pieces. ``keys`` are in driving order: by section, the longest first.

    ``glue`` in grams and ``seconds`` of driving are what the step takes; ``too_long`` says that this is more
    than the glue stays open. ``held`` pieces of the base are not joined to each other yet.
    """

    number: int
    base: tuple[Single, ...]
    held: bool
    coming: tuple[Coming, ...]
    joints: tuple[JointWork, ...]
    keys: tuple[StepKeys, ...]
    glue: float
    seconds: float
    too_long: bool
    diagonals: Diagonals | None

    works: Works

    @property
    def pieces(self) -> tuple[Single, ...]:
        """Everything that it makes one."""
        return (*self.base, *(piece for each in self.coming for piece in each.pieces))


class Cause(StrEnum):
    """Why parts cannot be put together."""

    KEYS_COVERED = "keys_covered"
    PANEL_TRAPPED = "panel_trapped"
    LOCKED = "locked"


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What keeps pieces from going together: of covered keys the joint, by which edge they enter, what lies there.

    ``free`` are edges of that joint that nothing covers; ``by`` the pieces in the way, or the panel that is
    trapped, or all pieces that lock one another.
    """

    cause: Cause
    by: tuple[Single, ...]
    joint: str = ""
    entries: tuple[Entry, ...] = ()
    free: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class AssemblySheet:
    """One copy's steps. ``after`` are pieces laid on once the glue is hard, ``sawn`` says that a lid is sawn off.

    ``bodies`` are all of the copy's, for drawing.
    """

    steps: tuple[SheetStep, ...]
    hindrances: tuple[Hindrance, ...]
    after: tuple[Single, ...]
    sawn: bool
    open_seconds: float
    bodies: tuple[Body, ...]


def assembly_sheet(spec: Assembly, takeoff: AssemblyTakeoff, rules: Rules) -> AssemblySheet:
    """The sheet of one copy of an assembly, planned with these rules."""
    placed = bodies(spec, takeoff.expansion)
    found = relations(takeoff.expansion, takeoff.joints, placed)
    order = order_of(found, rules.driving_minutes, rules.open_seconds / 60)
    pairs = {join.both for join in found.joins}
    steps = tuple(_step(number, step, found, rules, pairs) for number, step in enumerate(order.steps, 1))
    return AssemblySheet(
        steps=steps,
        hindrances=tuple(_hindrances(order, found)),
        after=tuple(body.piece for body in found.laid_on),
        sawn=any(body.saw for body in placed),
        open_seconds=rules.open_seconds,
        bodies=placed,
    )


def _step(number: int, step: Step, found: Relations, rules: Rules, pairs: Collection[Parts]) -> SheetStep:
    keys = Counter(
        (join.plan.plan.section.name, key)
        for join in step.joins
        if join.plan.plan
        for slot in join.plan.slots
        for key in slot.keys
    )
    seconds = sum(keys.values()) * rules.driving_minutes * 60
    glued = sum(join.plan.joint.face.mating_area for join in step.joins if join.plan.plan)
    return SheetStep(
        number=number,
        base=_pieces(step.base, found),
        held=step.held,
        coming=tuple(_coming(arrival, found) for arrival in step.arrivals),
        joints=tuple(_works(step.joins)),
        keys=tuple(
            StepKeys(section, length, keys[section, length])
            for section, length in sorted(keys, key=lambda item: (item[0], -item[1]))
        ),
        glue=glued / 1e6 * rules.glue_spread,
        seconds=seconds,
        too_long=bool(step.joins) and seconds > rules.open_seconds + CLOSE,
        diagonals=_diagonals(step, found, pairs),
        works=_does(step, found),
    )


def _does(step: Step, found: Relations) -> Works:
    if step.joins:
        return Works.JOINED
    comes = sum(arrival.parts for arrival in step.arrivals)
    return Works.SET_ON if comes & ~found.panels else Works.LET_IN


def _pieces(parts: Parts, found: Relations) -> tuple[Single, ...]:
    return tuple(found.bodies[part].piece for part in members_of(parts))


def _coming(arrival: Arrival, found: Relations) -> Coming:
    return Coming(_pieces(arrival.parts, found), arrival.way)


def _works(joins: Sequence[Join]) -> Iterator[JointWork]:
    counts = Counter(join.meeting.joint for join in joins)
    for plan in {join.meeting.joint: join.plan for join in joins}.values():
        count = counts[plan.joint.mark]
        entries = Counter(slot.entry for slot in plan.slots)
        yield JointWork(plan, count, tuple((entry, count * slots) for entry, slots in entries.items()))


def _diagonals(step: Step, found: Relations, pairs: Collection[Parts]) -> Diagonals | None:
    """What to measure where a step closes a ring of members: where a joint more than members is closed."""
    sides_of = (step.base, *(arrival.parts for arrival in step.arrivals))
    rings = [_rings(parts & ~found.panels, pairs) for parts in (step.parts, *sides_of)] if step.joins else [0]
    if rings[0] <= sum(rings[1:]):
        return None
    run = step.joins[0].run
    # the ring lies square to the way that slots run in
    level = [axis for axis in range(3) if abs(run[axis]) < CLOSE]
    members = step.parts & ~found.panels
    points = [(point[level[0]], point[level[1]]) for part in members_of(members) for point in found.corners[part]]
    sides = [(min(point[axis] for point in points), max(point[axis] for point in points)) for axis in range(2)]
    outer = [(across, up) for across in sides[0] for up in sides[1]]
    if all(any(abs(x - across) + abs(y - up) < CLOSE for x, y in points) for across, up in outer):
        return Diagonals(Mm(hypot(*(high - low for low, high in sides))))
    # of what is neither, corners say nothing yet
    mitred = all(join.plan.joint.kind is JointKind.MITRE for join in step.joins)
    return Diagonals(None) if mitred else None


def _rings(members: Parts, pairs: Collection[Parts]) -> int:
    """How many rings members make: two of them that meet in two joints are none."""
    return max(0, sum(not pair & ~members for pair in pairs) - members.bit_count() + 1)


def _hindrances(order: Order, found: Relations) -> Iterator[Hindrance]:
    for stuck in order.stuck:
        if stuck.keys:
            for join in found.joins:
                if not join.both & ~stuck.parts and join.covered & stuck.parts:
                    entries = tuple(entry for entry, parts in join.covers if parts & stuck.parts)
                    by = _pieces(join.covered & stuck.parts, found)
                    yield Hindrance(Cause.KEYS_COVERED, by, join.meeting.joint, entries, join.free)
        elif stuck.trapped:
            yield Hindrance(Cause.PANEL_TRAPPED, _pieces(stuck.trapped, found))
        else:
            yield Hindrance(Cause.LOCKED, _pieces(stuck.parts, found))
