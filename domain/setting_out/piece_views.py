"""The views of a piece, from how its joints meet and how they are planned.

Where a view looks to follows from its joint's hand: seen square on from outside the wood, with the first of the
face's ends down, the joint line runs to the right of a right-hand piece and to the left of a left-hand one. A
groove is known by the mating faces that it is cut into: out of a piece's own end it runs through; where another
piece's end meets it, it runs on past that piece's edge by its own depth, where the panel's corner comes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from domain.faces.region import Void
from domain.intervals import Interval, gaps
from domain.lengths import Mm
from domain.machine.hands import Place, place_of
from domain.parts import NOTHING, Member, Point, Side, Spot, Vector, side_towards
from domain.planning.fit import mouth
from domain.planning.plans import JointPlan
from domain.setting_out.views import Channel, ChannelKind, Fastened, Notch, PartLine, SlotPlace, View
from domain.spec.choices import Entry
from domain.takeoff.pieces import Hand, Joined, Piece

LOW = {Side.LEFT, Side.BOTTOM, Side.BACK}
TOUCH = 1e-6

FACING = {side: side.facing for side in Side}
"""The side that lies across from each."""


def piece_views(piece: Piece, plans: Mapping[str, JointPlan]) -> tuple[View, ...]:
    """Every face and edge of a member where something happens, then its ends. A panel has none."""
    if not isinstance(piece.part, Member):
        return ()
    marked = _Marked(piece, piece.part, tuple(_Laid(one, plans[one.joint.mark]) for one in piece.joints))
    return (*marked.long_views(), *marked.end_views())


def _cross(one: Side, two: Side) -> Side:
    (a, b, c), (d, e, f) = one.way, two.way
    across: Vector = (b * f - c * e, c * d - a * f, a * e - b * d)
    return side_towards(across)


class _Laid:
    """A joint on the piece with its mating face's directions: out of the wood, along the joint line, and up."""

    def __init__(self, one: Joined, plan: JointPlan) -> None:
        self.one, self.plan, self.spot, self.face = one, plan, one.spot, one.joint.face
        self.place = place_of(one.joint.kind, one.index)
        self.end = self.place.is_end or one.spot.whole
        self.up = Side(self.face.ends[1].value)
        turned = one.hand is Hand.LEFT
        if self.place.is_end:
            self.out = one.spot.surface
            along = _cross(self.up, self.out)
            self.along = FACING[along] if turned else along
        else:
            self.along = FACING[_start(one.spot)]
            out = _cross(self.along, self.up)
            self.out = FACING[out] if turned else out

    def voids(self) -> Iterator[tuple[Void, Side]]:
        """What is cut into the mating face, and the side across the joint line that it opens to."""
        for void in self.face.region.voids:
            if void.x1 >= self.face.region.width - TOUCH:
                yield void, self.along
            elif void.x0 <= TOUCH:
                yield void, FACING[self.along]


def _start(spot: Spot) -> Side:
    if spot.start is None:
        raise ValueError(f"a joint in the {spot.surface} side of {spot.piece.mark} starts from no side")
    return spot.start


@dataclass(frozen=True, slots=True)
class _Marked:
    """A member with everything that meets it."""

    piece: Piece
    member: Member
    laid: tuple[_Laid, ...]

    def long_views(self) -> Iterator[View]:
        """Faces and edges: those that are slotted, and those that have a groove or rabbet."""
        slotted: dict[Side, list[_Laid]] = defaultdict(list)
        for one in self.laid:
            if not one.end:
                slotted[one.out].append(one)
        grooved = {side for one in self.laid if one.place.is_end for _, side in one.voids()}
        # in the order of the piece's joints, then those with nothing but a groove
        for side in (*slotted, *sorted(grooved - slotted.keys())):
            here = slotted.get(side, [])
            bare = self._bare(side, here)
            view = replace(bare, channels=tuple(self._channels(bare, side, here)))
            yield _with_joints(view, here)

    def end_views(self) -> Iterator[View]:
        """Both ends, and a whole side that is a mating face."""
        found: dict[Side, list[_Laid]] = defaultdict(list)
        for one in self.laid:
            if one.end:
                found[one.out].append(one)
        for out, here in found.items():
            yield _with_joints(self._end(out, here), here)

    def _bare(self, out: Side, here: Sequence[_Laid]) -> View:
        """A face or edge with nothing on it, its length from left to right, low end first.

        Turned upright where its bottom would come up and no line counts from the low end.
        """
        right = self._lengthwise()
        up = _cross(out, right)
        if up is Side.BOTTOM and not any(one.spot.offset for one in here):
            right, up = FACING[right], FACING[up]
        edges = [one for one in self.laid if one.one.joint.kind.on_edge]
        wide = self.member.width if edges else self.member.thickness
        short = self.member.short_length
        inset = Mm(0.0) if short is None or not self._inside(out) else Mm((self.member.length - short) / 2)
        return View(
            surface=here[0].spot.surface if here else self._called(out),
            place=Place.FACE if edges else Place.EDGE,
            left=FACING[right],
            right=right,
            low=FACING[up],
            high=up,
            width=self.member.length,
            height=wide,
            inset=(inset, inset),
        )

    def _lengthwise(self) -> Side:
        """The way from the piece's low end to its high one."""
        for one in self.laid:
            way = one.out if one.end else one.up if one.spot.across else one.along
            # what runs to the front is drawn from its front end on
            low = FACING[way] if way in LOW else way
            return Side.BACK if low is Side.FRONT else low
        raise ValueError(f"{self.member.mark} meets nothing")

    def _inside(self, out: Side) -> bool:
        """True for the side that the mitres at a piece's ends look away from."""
        return any(one.along is out for one in self.laid if one.place is Place.MITRED_END)

    def _called(self, out: Side) -> Side:
        """What a side is called that has no joint: as the reference edge opposite is called, if it is one."""
        for one in self.laid:
            if one.place.is_end and one.along is out:
                return Side.INSIDE if one.spot.start in {None, Side.OUTSIDE} else out
        return out

    def _channels(self, view: View, out: Side, here: Sequence[_Laid]) -> Iterator[Channel]:
        """Grooves and rabbets of a face or edge, each with what pieces that meet it leave of it."""
        seen: dict[tuple[Side, float, float, float], list[Interval]] = {}
        for one in self.laid:
            if one.place.is_end:
                for void, side in one.voids():
                    if side is out:
                        seen.setdefault(_cut(one, void), [])
        for one in here:
            for void, _ in one.voids():
                seen.setdefault(_cut(one, void), []).append(_blocked(view, one))
        start, end = view.inset[0], view.width - view.inset[1]
        for (side, low, wide, depth), blocked in seen.items():
            yield Channel(
                kind=ChannelKind.RABBET if low <= TOUCH else ChannelKind.GROOVE,
                side=side,
                low=Mm(low),
                width=Mm(wide),
                depth=Mm(depth),
                stretches=tuple((Mm(a), Mm(b)) for a, b in gaps(start, end, blocked)),
            )

    def _deep(self, one: _Laid) -> Mm:
        """The piece's extent along the slots of a joint."""
        return self.member.width if one.one.joint.kind.on_edge else self.member.thickness

    def _end(self, out: Side, here: Sequence[_Laid]) -> View:
        """An end with the outline of its stock: its joint line level, or its slots where it is longer that way."""
        first = here[0]
        run = first.face.run if first.spot.whole else self._deep(first)
        breadth = first.face.breadth
        up = FACING[first.up] if first.up in LOW else first.up
        right = _cross(up, out)
        if run > breadth:
            right, up = up, FACING[right]
        view = View(
            surface=first.spot.surface,
            place=first.place,
            left=FACING[right],
            right=right,
            low=FACING[up],
            high=up,
            width=max(breadth, run),
            height=min(breadth, run),
            datum=FACING[first.along],
        )
        notches = {notch: None for one in here for notch in _notches(view, one)}
        return replace(view, notches=tuple(notches), profile=_profile(view, first))


def _with_joints(view: View, here: Sequence[_Laid]) -> View:
    """The view with the lines and slots of its joints."""
    return replace(
        view,
        lines=tuple(_line(view, one) for one in here if not one.end),
        slots=tuple(slot for one in here for slot in _slots(view, one)),
        fastened=tuple(row for one in here for row in _fastened(view, one)),
        joints=tuple(one.one for one in here),
    )


def _line(view: View, one: _Laid) -> PartLine:
    start, breadth = _start(one.spot), one.face.breadth
    return PartLine(
        joint=one.one.joint.mark,
        part=one.one.partner.mark,
        start=start,
        offset=one.spot.offset,
        breadth=breadth,
        away=one.along,
        across=not view.level(start),
        near=Mm(view.at(start, one.spot.offset)),
        far=Mm(view.at(start, one.spot.offset + breadth)),
    )


def _slots(view: View, one: _Laid) -> Iterator[SlotPlace]:
    plan = one.plan.plan
    if plan is None:
        return
    tip, out = plan.cutter.tip_diameter, plan.projection
    opening = Mm(mouth(plan.section, tip, out))
    for slot in one.plan.slots:
        yield SlotPlace(
            joint=one.one.joint.mark,
            entry=Side(slot.entry.value),
            centre=Mm(view.at(FACING[one.along], one.spot.offset + slot.centre)),
            reading=slot.centre,
            across=not view.level(one.along),
            depth=slot.depth,
            mouth=opening,
            tip=tip,
            projection=out,
            foot=_foot(one, slot.entry),
        )


def _fastened(view: View, one: _Laid) -> Iterator[Fastened]:
    plan, sort = one.plan.plan, one.plan.joint.choices.middle
    if plan is None or sort is None or not plan.fastenings:
        return
    entry, start = one.plan.counted_from, FACING[one.along]
    near, far = (Mm(view.at(start, one.spot.offset + off)) for off in (NOTHING, one.face.breadth))
    yield Fastened(
        joint=one.one.joint.mark,
        sort=sort,
        start=Side(entry.value),
        places=tuple(Mm(_foot(one, entry) + place) for place in plan.fastenings),
        span=(min(near, far), max(near, far)),
        across=not view.level(one.along),
    )


def _foot(one: _Laid, entry: Entry) -> Mm:
    """How far inside the piece's edge the mating face is entered: a narrower part meets it there."""
    return one.face.foot_at(entry) if one.one.index else NOTHING


def _cut(one: _Laid, void: Void) -> tuple[Side, float, float, float]:
    """A groove as it is set out: from which edge, how far from it, its width and depth."""
    first = one.face.ends[0]
    low = void.v0 + _foot(one, first)
    depth = one.face.region.width - void.x0 if void.x1 >= one.face.region.width - TOUCH else void.x1
    return Side(first.value), round(low, 6), round(void.v1 - void.v0, 6), round(depth, 6)


def _blocked(view: View, one: _Laid) -> Interval:
    """Where a piece that meets the groove keeps it out: between its own grooves, or from its outer edge on."""
    width, voids = one.face.region.width, one.face.region.voids
    far = min((void.x0 for void in voids if void.x1 >= width - TOUCH), default=None)
    near = max((void.x1 for void in voids if void.x0 <= TOUCH and void.x1 < width - TOUCH), default=None)
    start = _start(one.spot)
    ends = (
        view.at(start, one.spot.offset + (-view.width if near is None else near)),
        view.at(start, one.spot.offset + (2 * view.width if far is None else far)),
    )
    return min(ends), max(ends)


def _notches(view: View, one: _Laid) -> Iterator[Notch]:
    """What is cut out of an end, x along the joint line and v from the face's first edge."""
    for void in one.face.region.voids:
        (left, low), (right, high) = (
            _in_end(view, one, x, v) for x, v in ((void.x0, void.v0), (void.x1, void.v1))
        )
        yield Notch(min(left, right), min(low, high), max(left, right), max(low, high))


def _profile(view: View, one: _Laid) -> tuple[Point, ...]:
    """The moulded front of the stock as the end shows it; empty where it is plain."""
    return tuple(_in_end(view, one, x, v) for x, v in one.face.region.ceiling or ())


def _in_end(view: View, one: _Laid, x: float, v: float) -> Point:
    """Where a point of the mating face's region is drawn."""
    start = FACING[one.along]
    along, across = view.at(start, x / one.face.sine), view.at(Side(one.face.ends[0].value), v)
    return (along, across) if view.level(start) else (across, along)
