"""Boxes and carcasses as a body, in cabinet projection: the front true, depth at half scale and 45°.

It shows where keys go in: at every entry the key's own cross-section, as large as it is and where it
is driven, in a thin line where that edge is turned away; and for every joint and entry one mark with a leader.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt

from domain.assemblies import box as boxes
from domain.assemblies import carcass as carcasses
from domain.assemblies.bays import boards_of
from domain.lengths import Units
from domain.parts import JointLine
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.assemblies import Assembly, Box, BoxCorner, Carcass, CarcassCorner
from domain.spec.choices import Entry
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.clipping import clipped
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, size_figure, split, upright
from webapp.drawings.labels import Place, Sheet
from webapp.drawings.model import Anchor, Drawing, Line, Point, Polygon, Role, Shape, Text, TextRole, finished

Space = tuple[float, float, float]
"""x to the right, y back from the front, z up: mm."""
RECEDE = sqrt(0.5) / 2
"""What a millimetre of depth adds to the right and upwards."""
CORNERS = 4
EMS = 24
"""A picture's longer side is this many em long."""


@dataclass(frozen=True, slots=True)
class Body:
    """What is drawn: outside sizes (mm), edges within the outside that are seen, ways in, the saw's kerf."""

    width: float
    depth: float
    height: float
    edges: tuple[tuple[Space, Space], ...]
    openings: tuple[Opening, ...]
    saw: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A way in: its corners, of which the first is the inner one that stays in sight, and how it goes on."""

    corners: tuple[Space, Space, Space, Space]
    inward: Space


@dataclass(frozen=True, slots=True)
class Driven:
    """Where a key goes in: the middle of its cross-section, the joint line's direction, the way across it."""

    joint: str
    entry: Entry
    at: Space
    along: Space
    over: Space
    plan: SectionPlan


def project(point: Space) -> Point:
    """A point of space on the sheet.

    >>> project((100.0, 0.0, 50.0))
    (100.0, 50.0)
    """
    x, y, z = point
    return (x + RECEDE * y, z + RECEDE * y)


def draw_pictorial(spec: Assembly, takeoff: AssemblyTakeoff, units: Units) -> Drawing | None:
    """The box or carcass from outside with its keys' entries; None for what is flat anyway."""
    match spec:
        case Box():
            body, driven = _box(spec), tuple(_box_keys(spec, takeoff))
        case Carcass():
            body, driven = _carcass(spec, takeoff), tuple(_carcass_keys(spec, takeoff))
        case _:
            return None
    wide, high = project((body.width, body.depth, body.height))
    em = max(wide, high) / EMS
    edges = [(project(start), project(end)) for start, end in (*_block(body), *body.edges)]
    inside = [line for opening in body.openings for line in _inside(opening)]
    shapes: list[Shape] = [Line(Role.OUTLINE, start, end) for start, end in edges]
    shapes += [Line(Role.THIN, start, end) for start, end in inside]
    shapes += [Line(Role.HIDDEN, project(start), project(end)) for start, end in _saw_lines(body)]
    shapes += [_cross_section(each, seen=_seen(each, body)) for each in driven]
    dimensions, figures = split(_sizes(body, units, em))
    written_on = [(shape.start, shape.end) for shape in dimensions if isinstance(shape, Line)]
    sheet = Sheet(em, [*edges, *inside, *written_on])
    sheet.write(figures)
    silhouette = _silhouette(body)
    if body.saw is not None:
        end = project((body.width, body.depth, sum(body.saw) / 2))
        sheet.write([Text(TextRole.WORDS, (end[0] + 0.5 * em, end[1]), "saw line", em, Anchor.START)])
    for entries in _grouped(driven):
        _label(sheet, entries, silhouette, (wide, high))
    expansion = takeoff.expansion
    return finished(
        f"{expansion.mark}: {expansion.name}, from outside",
        _said(body, units),
        em,
        [*shapes, *dimensions, *sheet.leaders],
        sheet.texts,
    )


def _said(body: Body, units: Units) -> str:
    saw = "" if body.saw is None else " As it is glued up: the lid is sawn off between the dashed lines."
    return (
        f"Cabinet projection, depth at half scale.{saw} Where keys go in, their cross-section is drawn;"
        f" thin on an edge that is turned away. {UNIT_WORDS[units]}"
    )


# --- bodies


def _box(spec: Box) -> Body:
    sizes = boxes.sizes_of(spec)
    long, wide, high, wall = sizes.length, sizes.width, sizes.wall_height, sizes.wall
    edges: list[tuple[Space, Space]] = []
    if spec.corner is BoxCorner.MITRE:
        for x0, x1 in ((0.0, wall), (long, long - wall)):
            edges += [((x0, y0, high), (x1, y1, high)) for y0, y1 in ((0.0, wall), (wide, wide - wall))]
    else:
        for y in (wall, wide - wall):
            edges += [((x, y, high), (x + wall, y, high)) for x in (0.0, long - wall)]
            edges.append(((long, y, 0.0), (long, y, high)))
    inner = (
        (wall, wide - wall, high),
        (wall, wall, high),
        (long - wall, wall, high),
        (long - wall, wide - wall, high),
    )
    edges += _round(inner)
    deep = spec.top.down.mm if spec.top is not None else high - sizes.floor
    low = sizes.body + sizes.lip
    saw = (low, low + sizes.kerf) if spec.lid is not None else None
    return Body(long, wide, high, tuple(edges), (Opening(inner, (0.0, 0.0, -deep)),), saw)


def _carcass(spec: Carcass, takeoff: AssemblyTakeoff) -> Body:
    sizes = carcasses.sizes_of(spec)
    wide, deep, high, thick = sizes.width, sizes.depth, sizes.height, sizes.thickness
    edges: list[tuple[Space, Space]] = []
    for outline in takeoff.expansion.elevation.members:
        edges += _round([(x, 0.0, z) for x, z in outline.points])
    match spec.corner:
        case CarcassCorner.TOP_BETWEEN:
            edges += [((x, 0.0, high), (x, deep, high)) for x in (thick, wide - thick)]
        case CarcassCorner.TOP_OVER:
            edges.append(((wide, 0.0, sizes.ceiling), (wide, deep, sizes.ceiling)))
        case CarcassCorner.MITRE:
            if sizes.plinth:
                edges.append(((wide, 0.0, sizes.plinth), (wide, deep, sizes.plinth)))
                edges += [((wide, y, 0.0), (wide, y, sizes.plinth)) for y in (sizes.toe + thick, deep - thick)]
    openings = []
    uprights = [0.0, *(partition.mm for partition in spec.partitions), wide - thick]
    boards = boards_of(spec)
    for bay, (left, right) in enumerate(pairwise(uprights)):
        levels = sorted(board.low for board in boards if board.bay == bay)
        for low, top in pairwise([sizes.plinth, *levels, sizes.ceiling]):
            x0, z0 = left + thick, low + thick
            corners = ((x0, 0.0, z0), (right, 0.0, z0), (right, 0.0, top), (x0, 0.0, top))
            openings.append(Opening(corners, (0.0, sizes.inner_depth, 0.0)))
    return Body(wide, deep, high, tuple(edges), tuple(openings))


def _round(corners: Sequence[Space]) -> list[tuple[Space, Space]]:
    return list(zip(corners, (*corners[1:], corners[0]), strict=True))


def _block(body: Body) -> Iterator[tuple[Space, Space]]:
    """The outside: front, top and right."""
    w, d, h = body.width, body.depth, body.height
    yield from _round([(0.0, 0.0, 0.0), (w, 0.0, 0.0), (w, 0.0, h), (0.0, 0.0, h)])
    yield from pairwise([(0.0, 0.0, h), (0.0, d, h), (w, d, h), (w, d, 0.0), (w, 0.0, 0.0)])
    yield (w, 0.0, h), (w, d, h)


def _silhouette(body: Body) -> tuple[Point, ...]:
    w, d, h = body.width, body.depth, body.height
    corners = ((0.0, 0.0, 0.0), (w, 0.0, 0.0), (w, d, 0.0), (w, d, h), (0.0, d, h), (0.0, 0.0, h))
    return tuple(map(project, corners))


def _inside(opening: Opening) -> Iterator[tuple[Point, Point]]:
    """The edges that one sees through an opening: of the inner corner, as far as it shows."""
    shown = [project(corner) for corner in opening.corners]
    behind = [project(_moved(corner, opening.inward)) for corner in opening.corners]
    for start, end in ((shown[0], behind[0]), (behind[0], behind[1]), (behind[0], behind[3])):
        line = clipped((start, end), shown)
        if line is not None:
            yield line


def _saw_lines(body: Body) -> Iterator[tuple[Space, Space]]:
    w, d = body.width, body.depth
    for z in body.saw or ():
        yield (0.0, 0.0, z), (w, 0.0, z)
        yield (w, 0.0, z), (w, d, z)


# --- keys


def _box_keys(spec: Box, takeoff: AssemblyTakeoff) -> Iterator[Driven]:
    high = boxes.sizes_of(spec).wall_height
    for joint, line in _lines(takeoff):
        if joint.plan is not None:
            for slot in joint.slots:
                (x, y), (dx, dy) = _on_line(line, slot.centre)
                z = high if slot.entry is Entry.TOP else 0.0
                yield Driven(joint.joint.mark, slot.entry, (x, y, z), (dx, dy, 0.0), (-dy, dx, 0.0), joint.plan)


def _carcass_keys(spec: Carcass, takeoff: AssemblyTakeoff) -> Iterator[Driven]:
    sizes = carcasses.sizes_of(spec)
    for joint, line in _lines(takeoff):
        if joint.plan is None:
            continue
        for slot in joint.slots:
            if slot.entry in {Entry.FRONT, Entry.BACK}:
                (x, z), (dx, dz) = _on_line(line, slot.centre)
                inner = sizes.inner_depth if "corner" not in joint.joint.place else sizes.depth
                y = 0.0 if slot.entry is Entry.FRONT else inner
                yield Driven(joint.joint.mark, slot.entry, (x, y, z), (dx, 0.0, dz), (-dz, 0.0, dx), joint.plan)
            else:
                # a plinth's board: its end stands on the side, its thickness runs back from the front
                at = (line.start[0], sizes.toe + slot.centre, 0.0)
                yield Driven(joint.joint.mark, slot.entry, at, (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), joint.plan)
    yield from _plinth_frame(spec, takeoff)


def _plinth_frame(spec: Carcass, takeoff: AssemblyTakeoff) -> Iterator[Driven]:
    """The keys of a plinth that is a frame of its own: its four corners are not in the elevation."""
    sizes = carcasses.sizes_of(spec)
    drawn = {line.mark for line in takeoff.expansion.elevation.joints}
    for joint in takeoff.joints:
        if joint.joint.mark in drawn or joint.plan is None:
            continue
        for slot in joint.slots:
            z = sizes.plinth if slot.entry is Entry.TOP else 0.0
            for x in (slot.centre, sizes.width - slot.centre):
                for y in (sizes.toe + sizes.thickness, sizes.depth - sizes.thickness):
                    yield Driven(
                        joint.joint.mark, slot.entry, (x, y, z), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), joint.plan
                    )


def _lines(takeoff: AssemblyTakeoff) -> Iterator[tuple[JointPlan, JointLine]]:
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    for line in takeoff.expansion.elevation.joints:
        yield plans[line.mark], line


def _on_line(line: JointLine, along: float) -> tuple[Point, Point]:
    """The point at ``along`` mm from a joint line's start, and the line's direction."""
    (x0, y0), (x1, y1) = line.start, line.end
    long = hypot(x1 - x0, y1 - y0)
    direction = ((x1 - x0) / long, (y1 - y0) / long)
    return (x0 + along * direction[0], y0 + along * direction[1]), direction


def _seen(driven: Driven, body: Body) -> bool:
    """True where the entry edge is turned to the eye and nothing lies over it."""
    if driven.entry is Entry.TOP:
        return driven.at[2] == body.height
    return driven.entry is Entry.FRONT


def _cross_section(driven: Driven, *, seen: bool) -> Polygon:
    """The key seen from the end, lying across the joint line: half in each part."""
    section = driven.plan.section
    waist, wide, half = section.waist.mm / 2, section.overall_width / 2, section.half_depth.mm
    corners = ((-wide, half), (-waist, 0.0), (-wide, -half), (wide, -half), (waist, 0.0), (wide, half))
    points = tuple(
        project(_moved(driven.at, _sum(_times(driven.along, along), _times(driven.over, over))))
        for along, over in corners
    )
    return Polygon(Role.KEY if seen else Role.THIN, points)


def _grouped(driven: Iterable[Driven]) -> Iterator[list[Driven]]:
    """The places of one joint and entry together. Where there are many, each group begins at another of them.

    So the marks of a carcass full of shelves spread over its height.
    """
    groups: dict[tuple[str, Entry], list[Driven]] = {}
    for each in driven:
        groups.setdefault((each.joint, each.entry), []).append(each)
    for turn, group in enumerate(groups.values()):
        first = turn % len(group) if len(group) > CORNERS else 0
        yield group[first:] + group[:first]


# --- words


def _sizes(body: Body, units: Units, em: float) -> Iterator[Shape | Text]:
    """Width below, height on the left, depth along the lower right edge."""
    w, d, h = body.width, body.depth, body.height
    y, x = -1.6 * em, -1.6 * em
    for at in (0.0, w):
        yield extension((at, -0.4 * em), (at, y - 0.3 * em))
    yield from across(0.0, w, y, size_figure(w, units), em, above=False)
    for at in (0.0, h):
        yield extension((-0.4 * em, at), (x - 0.3 * em, at))
    yield from upright(0.0, h, x, size_figure(h, units), em, left=True)
    near, far = project((w, 0.0, 0.0)), project((w, d, 0.0))
    middle = ((near[0] + far[0]) / 2 + 0.6 * em, (near[1] + far[1]) / 2 - 0.7 * em)
    yield Text(TextRole.FIGURE, middle, size_figure(d, units), em, Anchor.START)


def _label(sheet: Sheet, entries: Sequence[Driven], silhouette: Sequence[Point], corner: Point) -> None:
    """One mark for a joint's entries of one side, with a leader to one of them."""
    first = entries[0]
    words = f"{first.joint.rpartition('-')[2]} {first.entry.value}"
    sheet.place(
        TextRole.JOINT, words, _places([project(each.at) for each in entries], words, sheet, corner), [silhouette]
    )


def _places(anchors: Sequence[Point], words: str, sheet: Sheet, corner: Point) -> Iterator[Place]:
    """Near an entry outside the body, then in a column on the right and one on the left, where there is room."""
    em = sheet.em
    half = Text(TextRole.WORDS, (0.0, 0.0), words, em).box.right
    for distance in (2.0, 3.5, 5.0, 7.0):
        for anchor in anchors:
            for turn in range(12):
                x, y = cos(turn * pi / 6), sin(turn * pi / 6)
                away = distance * em + half * abs(x)
                yield Place((anchor[0] + x * away, anchor[1] + y * away), anchor, leader=True)
    for row in range(200):
        y = corner[1] - 1.4 * row * em
        for x, anchor in ((corner[0] + half + 2 * em, max(anchors)), (-half - 5 * em, min(anchors))):
            yield Place((x, y), anchor, leader=True)


# --- points


def _moved(point: Space, by: Space) -> Space:
    return _sum(point, by)


def _sum(one: Space, other: Space) -> Space:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def _times(vector: Space, by: float) -> Space:
    return (vector[0] * by, vector[1] * by, vector[2] * by)
