"""Every single piece of an assembly: which joints it meets, where, and with which other piece.

Read off the elevation, where every member of one copy stands as an outline and every joint as a line.
Pieces of a mark and joints of a mark are counted out over all copies, so that "A-J1 5/8" is one joint
and two labels bear it: those of the two pieces that belong together.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from math import hypot

from domain.parts import Elevation, Expansion, Joint, JointLine, Member, Outline, Panel, Point
from webapp.wording.parts import parts_of

NEAR = 1e-3
"""Millimetres within which an outline touches a joint's line."""

SAME = 0.01
"""Millimetres within which two pieces are cut alike."""
ALONG = 0.8
"""A joint that takes more than this share of a piece's length is at its side, not at an end."""

UPRIGHT = {"front": ("bottom", "top"), "section": ("bottom", "top"), "plan": ("front", "back")}
"""What lies below and above on an elevation, by its view."""


class Hand(Enum):
    """Of pieces that are each other's mirror image, which one this is."""

    LEFT = "left hand"
    RIGHT = "right hand"


@dataclass(frozen=True, slots=True)
class Meeting:
    """A joint at a piece: its number among its mark's, the place on this piece, and the other piece."""

    joint: str
    number: int
    total: int
    place: str
    along: float | None
    partner: str
    partner_number: int
    partner_total: int


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a member or panel: ``number`` of ``total``, in ``copy`` of its assembly.

    ``along`` of its meetings is in mm from the low end, None at an end.
    """

    part: Member | Panel
    number: int
    total: int
    copy: int
    hand: Hand | None
    meetings: tuple[Meeting, ...]


def pieces(expansion: Expansion) -> Iterator[Piece]:
    """Every piece of every copy, part by part."""
    outlines = _by_mark(expansion.elevation)
    meetings = _meetings(expansion)
    for part in parts_of(expansion):
        here = outlines[part.mark]
        hands = _hands(here, expansion) if isinstance(part, Member) else {}
        each = part.quantity // expansion.quantity
        for copy in range(expansion.quantity):
            for place in range(each):
                yield Piece(
                    part=part,
                    number=copy * each + place + 1,
                    total=part.quantity,
                    copy=copy + 1,
                    hand=hands.get(place),
                    meetings=tuple(one.of_copy(copy) for one in meetings[part.mark, place]),
                )


def _by_mark(elevation: Elevation) -> dict[str, list[Outline]]:
    found: dict[str, list[Outline]] = defaultdict(list)
    for outline in (*elevation.members, *elevation.panels):
        found[outline.mark].append(outline)
    return found


@dataclass(frozen=True, slots=True)
class _Place:
    """An outline: the ``index``-th of its mark in one copy's elevation, of ``each``."""

    outline: Outline
    index: int
    each: int


@dataclass(frozen=True, slots=True)
class _Meeting:
    """A meeting within one copy; numbers count from 0."""

    joint: Joint
    index: int
    each: int
    place: str
    along: float | None
    order: float
    partner: _Place
    copies: int

    def of_copy(self, copy: int) -> Meeting:
        """The same meeting in the ``copy``-th copy, from 0."""
        return Meeting(
            joint=self.joint.mark,
            number=copy * self.each + self.index + 1,
            total=self.joint.quantity,
            place=self.place,
            along=self.along,
            partner=self.partner.outline.mark,
            partner_number=copy * self.partner.each + self.partner.index + 1,
            partner_total=self.partner.each * self.copies,
        )


def _meetings(expansion: Expansion) -> dict[tuple[str, int], list[_Meeting]]:
    """By mark and index of the outline, the joints that it meets, from left to right or bottom to top."""
    elevation = expansion.elevation
    joints = {joint.mark: joint for joint in expansion.joints}
    each = Counter(line.mark for line in elevation.joints)
    places = [
        _Place(outline, index, len(same))
        for same in _by_mark(elevation).values()
        for index, outline in enumerate(same)
    ]
    found: dict[tuple[str, int], list[_Meeting]] = defaultdict(list)
    seen: Counter[str] = Counter()
    for line in elevation.joints:
        joint, index = joints[line.mark], seen[line.mark]
        seen[line.mark] += 1
        meeting = [one for one in places if one.outline.mark in joint.members and touches(one.outline, line)]
        for one in meeting:
            where, along, order = place_of(one.outline, line, elevation.view)
            found[one.outline.mark, one.index] += [
                _Meeting(joint, index, each[line.mark], where, along, order, other, expansion.quantity)
                for other in meeting
                if other is not one
            ]
    for here in found.values():
        here.sort(key=lambda meeting: meeting.order)
    return found


def touches(outline: Outline, line: JointLine) -> bool:
    """True where the line's middle lies on the outline."""
    middle = _middle(line)
    corners = outline.points
    return any(_off(middle, corner, after) < NEAR for corner, after in _edges(corners))


def _edges(corners: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from zip(corners, (*corners[1:], corners[0]), strict=True)


def _middle(line: JointLine) -> Point:
    return ((line.start[0] + line.end[0]) / 2, (line.start[1] + line.end[1]) / 2)


def _off(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from a straight edge."""
    along, up = end[0] - start[0], end[1] - start[1]
    share = ((point[0] - start[0]) * along + (point[1] - start[1]) * up) / (along * along + up * up)
    share = min(1.0, max(0.0, share))
    return hypot(point[0] - start[0] - share * along, point[1] - start[1] - share * up)


@dataclass(frozen=True, slots=True)
class _Axis:
    """A piece's own direction: along its longest edge, to the right or upwards, and across it."""

    along: Point
    low: float
    high: float
    level: bool

    @classmethod
    def of(cls, outline: Outline) -> _Axis:
        start, end = max(_edges(outline.points), key=lambda edge: hypot(*_vector(*edge)))
        x, y = _vector(start, end)
        level = abs(x) >= abs(y)
        size = hypot(x, y) * (1 if (x if level else y) > 0 else -1)
        along = (x / size, y / size)
        reach = [_dot(point, along) for point in outline.points]
        return cls(along, min(reach), max(reach), level)

    def across(self, point: Point) -> float:
        """How far left of the direction the point lies."""
        return self.along[0] * point[1] - self.along[1] * point[0]


def _vector(start: Point, end: Point) -> Point:
    return (end[0] - start[0], end[1] - start[1])


def _dot(point: Point, other: Point) -> float:
    return point[0] * other[0] + point[1] * other[1]


def place_of(outline: Outline, line: JointLine, view: str) -> tuple[str, float | None, float]:
    """Where on a piece a joint is: in words, its distance (mm) where it is not at an end, its middle (mm)."""
    axis = _Axis.of(outline)
    low_name, high_name = ("left", "right") if axis.level else UPRIGHT[view]
    ends = sorted(_dot(point, axis.along) for point in (line.start, line.end))
    order = round(sum(ends) / 2, 3)
    if ends[1] - ends[0] > ALONG * (axis.high - axis.low):
        return f"{_side(outline, _middle(line), view)} side", None, order
    at_low, at_high = ends[0] - axis.low < NEAR, axis.high - ends[1] < NEAR
    if at_low or at_high:
        return f"{low_name if at_low else high_name} end", None, order
    return f"from the {low_name}", ends[0] - axis.low, order


def _side(outline: Outline, point: Point, view: str) -> str:
    """On which side of the piece's middle a point is, as one looks at the elevation."""
    count = len(outline.points)
    x = point[0] - sum(corner[0] for corner in outline.points) / count
    y = point[1] - sum(corner[1] for corner in outline.points) / count
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return UPRIGHT[view][1 if y > 0 else 0]


Spot = tuple[float, float, object]
Pattern = list[Spot]


def _hands(outlines: Sequence[Outline], expansion: Expansion) -> dict[int, Hand]:
    """Left and right hand by index, where a mark's pieces are mirror images that no turning makes equal.

    Pieces are turned about, never over: their entry edge stays where it is.
    """
    if len(outlines) < 2:
        return {}
    patterns = [_pattern(outline, expansion) for outline in outlines]
    order = sorted(range(len(outlines)), key=lambda index: min(outlines[index].points))
    first = patterns[order[0]]
    if _alike(first, _mirrored(first)):
        return {}
    hands = {}
    for index, pattern in enumerate(patterns):
        if _alike(first, pattern):
            hands[index] = Hand.LEFT
        elif _alike(_mirrored(first), pattern):
            hands[index] = Hand.RIGHT
    return hands if Hand.RIGHT in hands.values() else {}


def _pattern(outline: Outline, expansion: Expansion) -> Pattern:
    """Corners and joints as they lie from the middle of the piece, along and across it."""
    axis = _Axis.of(outline)
    middle = (axis.low + axis.high) / 2
    sides = [axis.across(point) for point in outline.points]
    centre = (min(sides) + max(sides)) / 2
    joints = {joint.mark: joint for joint in expansion.joints}
    found: list[tuple[Point, object]] = [(point, None) for point in outline.points]
    found += [
        (_middle(line), _cut(joints[line.mark]))
        for line in expansion.elevation.joints
        if outline.mark in joints[line.mark].members and touches(outline, line)
    ]
    return [(_dot(point, axis.along) - middle, axis.across(point) - centre, what) for point, what in found]


def _cut(joint: Joint) -> object:
    """What a joint cuts into its pieces, whichever they are: joints of other marks may cut the same."""
    return (joint.kind, joint.face, joint.entries, joint.choices)


def _mirrored(pattern: Pattern) -> Pattern:
    return [(along, -across, what) for along, across, what in pattern]


def _alike(one: Pattern, other: Pattern) -> bool:
    """True where one pattern, as it is or turned half round, lies on the other."""
    turned = [(-along, -across, what) for along, across, what in one]
    return len(one) == len(other) and any(all(_has(other, point) for point in way) for way in (one, turned))


def _has(pattern: Pattern, spot: Spot) -> bool:
    return any(
        abs(along - spot[0]) < SAME and abs(across - spot[1]) < SAME and what == spot[2]
        for along, across, what in pattern
    )
