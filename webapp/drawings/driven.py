"""Keys where they are driven into an assembly, and how far its pieces are drawn from each other to show them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from domain.parts import Side, Single, Vector
from domain.planning.plans import JointPlan, SectionPlan
from domain.space.apart import NOWHERE, bounds
from domain.space.bodies import Seam
from domain.space.body import Body, End, Sides, moved
from domain.spec.catalogue import KeyEnd
from domain.spec.choices import Entry
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.fastened import Fastened
from webapp.drawings.key_solid import Solid, rounded, solid
from webapp.drawings.milled import Milled, milled

GAP = 0.09
"""How far apart joined pieces are drawn, in shares of the assembly's longest side: two keys' depth at least."""


@dataclass(frozen=True, slots=True)
class Driven:
    """A slot's keys where they are driven: its seam, its mouth and the way in, the keys' cross-section there."""

    joint: JointPlan
    seam: Seam
    entry: Entry
    keys: tuple[Body, ...]
    """As they are cut to length."""
    solids: tuple[Solid, ...]
    """As they are seen: the deepest with its leading end as the keys' is."""
    mouth: tuple[Vector, ...]
    slots: tuple[Milled, Milled]
    """In the first and in the second piece."""

    @property
    def middle(self) -> Vector:
        """The middle of the mouth."""
        x, y, z = (sum(axis) / len(self.mouth) for axis in zip(*self.mouth, strict=True))
        return (x, y, z)


def driven_keys(takeoff: AssemblyTakeoff, found: Sequence[Seam]) -> Iterator[Driven]:
    """The keys of every slot of one copy where they are driven; none for a joint that cannot be made."""
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    for seam in found:
        joint = plans[seam.meeting.joint]
        if joint.plan is None:
            continue
        for slot in joint.slots:
            mouth, inwards = seam.mouth(slot.centre, Side(slot.entry.value))
            keys, at = list[Body](), float(slot.recess)
            # the longest is driven first, so it lies deepest
            for length in sorted(slot.keys):
                keys.append(_key(joint, seam, moved(mouth, inwards, at), inwards, length))
                at += length
            first, second = (
                milled(
                    spot.piece,
                    joint.plan,
                    slot.depth,
                    mouth,
                    (inwards, seam.along, moved(NOWHERE, seam.into, sign)),
                )
                for spot, sign in ((seam.meeting.first, 1.0), (seam.meeting.second, -1.0))
            )
            solids = [solid(key) for key in keys[:-1]]
            solids.append(_leading(keys[-1], joint.plan))
            yield Driven(
                joint,
                seam,
                slot.entry,
                tuple(keys),
                tuple(solids),
                _cross_section(keys[0], mouth),
                (first, second),
            )


def _key(joint: JointPlan, seam: Seam, origin: Vector, inwards: Vector, length: float) -> Body:
    """A key as a body: pushed along its slot, as wide as the joint line runs, half in each piece."""
    assert joint.plan is not None
    waist, wide, half = joint.plan.waist / 2, joint.plan.overall_width / 2, joint.plan.section.half_depth.mm
    section = ((-half, -wide), (0.0, -waist), (half, -wide), (half, wide), (0.0, waist), (-half, wide))
    sides = Sides((Side.BOTTOM, Side.TOP), (Side.LEFT, Side.RIGHT), (Side.BACK, Side.FRONT))
    ways = (inwards, seam.into, seam.along)
    return Body(Single(joint.joint.mark, 0), origin, ways, section, (End(0.0), End(length)), sides)


def _leading(key: Body, plan: SectionPlan) -> Solid:
    return rounded(key, plan.waist) if plan.section.end is KeyEnd.ROUND else solid(key)


def _cross_section(key: Body, mouth: Vector) -> tuple[Vector, ...]:
    """The key's cross-section in its slot's mouth."""
    _, into, along = key.ways
    return tuple(moved(moved(mouth, into, across), along, through) for across, through in key.section)


def _deep(driven: Driven) -> float:
    """How thick a key is across the mating face."""
    return 2 * driven.keys[0].width


def ends_said(driven: Iterable[Driven]) -> str:
    """How the keys lead, a sentence that follows another; "" where there are none."""
    found = {each.joint.plan.section.end for each in driven if each.joint.plan is not None}
    words = " or a ".join(end.words for end in KeyEnd if end in found)
    return f" Keys lead with a {words}." if found else ""


def gap_between(placed: Sequence[Body], driven: Iterable[Driven], held: Iterable[Fastened]) -> float:
    """How far apart joined pieces are drawn, mm: so that their keys and tenons hang free between them."""
    longest = max(high - low for low, high in extents(placed))
    deep = (*(_deep(each) for each in driven), *(each.long for each in held))
    return max(GAP * longest, *(2.5 * each for each in deep), 0.0)


def between(seam: Seam, moves: Mapping[Single, Vector]) -> Vector:
    """Half way between where the two pieces of a joint have gone."""
    one, other = (moves[spot.piece] for spot in (seam.meeting.first, seam.meeting.second))
    return moved(moved((0.0, 0.0, 0.0), one, 0.5), other, 0.5)


def extents(placed: Sequence[Body]) -> list[tuple[float, float]]:
    """From where to where it reaches on each axis: veneer does not count, a top that is laid over does."""
    pieces = [bounds(body) for body in placed if not body.is_panel]
    every = (pieces, [bounds(body) for body in placed], pieces)
    return [
        (min(each[axis][0] for each in some), max(each[axis][1] for each in some))
        for axis, some in enumerate(every)
    ]
