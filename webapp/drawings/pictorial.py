"""Any assembly as the thing that it is: its pieces with their real sections, together or apart.

Together it shows where keys go in: at every entry the key's own cross-section, as large as it is and where it is
driven, in a thin line where that edge is out of sight; and for every joint and entry one mark with a leader. Apart
it shows sections, grooves and keys in their joints, and the mark of every part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, compress, groupby, islice

from domain.lengths import Units
from domain.parts import Single, Vector
from domain.space.apart import NOWHERE, apart, bounds, opened
from domain.space.bodies import Seam, bodies, seams
from domain.space.body import CLOSE, Body, dot, moved
from domain.space.solid import Edge, arrises, cells, corners, edges
from domain.spec.assemblies import Assembly, Box
from domain.takeoff.nipped import nipped
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.dimensions import UNIT_WORDS, size_figure
from webapp.drawings.driven import Driven, between, driven_keys, ends_said, extents, gap_between
from webapp.drawings.fastened import Fastened, fastened, fastened_said
from webapp.drawings.key_solid import Solid
from webapp.drawings.labels import Place, Sheet, round_about
from webapp.drawings.milled import Milled, left_of
from webapp.drawings.model import Anchor, Drawing, Line, Point, Polygon, Role, Shape, Text, TextRole, finished
from webapp.drawings.sight import EYE, Sight, distinct, project

CORNERS = 4
SPOTS = 12
"""So many places on a part that are in sight are enough to put its mark in one of them."""
EMS = 24
"""A picture's longer side is this many em long."""
PROJECTION = "Axonometric view (ISO 5456-3), from the right and above."


@dataclass(frozen=True, slots=True)
class View:
    """What a pictorial is drawn of: bodies and keys where they are to be drawn, whether in sight or not."""

    name: str
    describes: str
    bodies: Sequence[Body]
    keys: Sequence[Solid] = ()
    slots: Sequence[Milled] = ()
    """What is seen of slots and mortises in the bodies."""
    axes: Sequence[Edge] = ()
    """Where screws go in, from piece to piece."""
    marked: Sequence[Single] = ()
    """Pieces whose marks are written."""


def pictorial(view: View) -> Drawing:
    """The bodies as they stand, what is out of sight left out."""
    sight, em = _sight(view), _em(view.bodies)
    shapes = [*_lines(view, sight)]
    # marks have a halo: they may stand over thin lines
    sheet = Sheet(em, _spans(shape for shape in shapes if shape.role is Role.OUTLINE))
    _mark_parts(sheet, view, sight)
    return finished(view.name, view.describes, em, [*shapes, *sheet.leaders], sheet.texts)


def pictorials(spec: Assembly, takeoff: AssemblyTakeoff, units: Units) -> tuple[Drawing, Drawing]:
    """Put together and taken apart."""
    stood = _Stood.of(spec, takeoff)
    return _together(stood, takeoff, units), pictorial(_moved_apart(stood, spec, takeoff))


@dataclass(frozen=True, slots=True)
class _Stood:
    """One copy glued up: its bodies, its joints, its keys where they are driven."""

    placed: tuple[Body, ...]
    seams: tuple[Seam, ...]
    driven: tuple[Driven, ...]

    @classmethod
    def of(cls, spec: Assembly, takeoff: AssemblyTakeoff) -> _Stood:
        """The assembly's."""
        placed = bodies(spec, takeoff.expansion)
        found = seams(takeoff.expansion, placed)
        return cls(tuple(nipped(placed, takeoff, found)), found, tuple(driven_keys(takeoff, found)))


def draw_together(spec: Assembly, takeoff: AssemblyTakeoff, units: Units) -> Drawing:
    """The assembly glued up, with its outside sizes and the places where keys go in."""
    return _together(_Stood.of(spec, takeoff), takeoff, units)


def _together(stood: _Stood, takeoff: AssemblyTakeoff, units: Units) -> Drawing:
    expansion, placed, driven = takeoff.expansion, stood.placed, stood.driven
    view = View(f"{expansion.mark}: {expansion.name}, put together", _said(placed, units), placed)
    sight, em = _sight(view), _em(placed)
    shapes: list[Shape] = [*_lines(view, sight), *_saw_lines(placed, sight)]
    shapes += _mouths(driven, sight)
    sheet = Sheet(em, _spans(shapes))
    sheet.write(_sizes(placed, units, em))
    shown = [project(corner) for body in placed for corner in corners(body)]
    for entries in _grouped(driven):
        _label(sheet, entries, shown)
    return finished(view.name, view.describes, em, [*shapes, *sheet.leaders], sheet.texts)


def draw_apart(spec: Assembly, takeoff: AssemblyTakeoff) -> Drawing:
    """The assembly taken apart along its joints, keys between the pieces that they hold, parts marked."""
    return pictorial(taken_apart(spec, takeoff))


def taken_apart(spec: Assembly, takeoff: AssemblyTakeoff) -> View:
    """Every body and key where it is drawn, joined pieces away from each other, a box's lid sawn off."""
    return _moved_apart(_Stood.of(spec, takeoff), spec, takeoff)


def _moved_apart(stood: _Stood, spec: Assembly, takeoff: AssemblyTakeoff) -> View:
    expansion, placed, found, driven = takeoff.expansion, stood.placed, stood.seams, stood.driven
    held = tuple(fastened(takeoff, found))
    gap = gap_between(placed, driven, held)
    moves = apart(placed, found, gap)
    drawn = [part.shifted(moves[body.piece]) for body in placed for part in _sawn(spec, body)]
    some: tuple[Driven | Fastened, ...] = (*driven, *held)
    keys = [key.shifted(between(each.seam, moves)) for each in some for key in each.solids]
    slots = [slot.shifted(moves[slot.piece]) for each in some for slot in each.slots]
    axes = [axis for each in held for axis in each.axes(moves)]
    lift = _lift(placed, gap)
    drawn = [body.shifted(lift(bounds(body)[1][0])) for body in drawn]
    keys = [key.shifted(lift(key.low)) for key in keys]
    slots = [slot.shifted(lift(slot.low)) for slot in slots]
    axes = [(moved(one, lift(one[1])), moved(other, lift(one[1]))) for one, other in axes]
    marked = [next(body.piece for body in placed if body.piece.mark == mark) for mark in _marks(placed)]
    describes = (
        f"{PROJECTION} Taken apart along its joints, with the keys that hold them."
        f"{ends_said(driven)}{fastened_said(held)}"
    )
    return View(f"{expansion.mark}: {expansion.name}, taken apart", describes, drawn, keys, slots, axes, marked)


def _sawn(spec: Assembly, body: Body) -> tuple[Body, ...]:
    """What the saw makes of a box's wall; everything else as it is glued up."""
    if not isinstance(spec, Box) or spec.lid is None:
        return (body,)
    return opened(body, spec.lid.lip.mm, spec.lid.clearance.mm)


def _lift(placed: Sequence[Body], gap: float) -> Callable[[float], Vector]:
    """How far what begins at a height goes up: a lid, so that one looks between it and its body."""
    saws = [body.saw for body in placed if body.saw is not None]
    if not saws:
        return lambda _: NOWHERE
    low, high = saws[0]
    return lambda height: (0.0, high + gap if height > (low + high) / 2 - CLOSE else 0.0, 0.0)


# --- lines


def _sight(view: View) -> Sight:
    wood = (cell for body in view.bodies for cell in cells(body))
    return Sight((*wood, *(cell for key in view.keys for cell in key.cells)))


def _lines(view: View, sight: Sight) -> Iterator[Shape]:
    """Edges in sight: wood in full lines; grooves, slots and panels in thin ones, keys in theirs."""
    found: list[tuple[Role, Edge]] = []
    for body in view.bodies:
        openings = [slot.opening for slot in view.slots if slot.piece == body.piece and slot.opening]
        for edge, whole in arrises(body):
            role = Role.OUTLINE if whole and not body.is_panel else Role.THIN
            found += [(role, part) for part in left_of(edge, openings)]
    found += [(Role.THIN, edge) for slot in view.slots for edge in slot.edges]
    found += [(Role.KEY, part) for key in view.keys for part in key.edges]
    found += [(Role.CENTRE, axis) for axis in view.axes]
    return _in_view(distinct(found), sight)


def _in_view(edges: Sequence[tuple[Role, Edge]], sight: Sight) -> Iterator[Line]:
    for (role, _), parts in zip(edges, sight.seen([edge for _, edge in edges]), strict=True):
        for start, end in parts:
            yield Line(role, project(start), project(end))


def _saw_lines(placed: Iterable[Body], sight: Sight) -> Iterator[Shape]:
    """Where the saw goes round the outside."""
    found: list[tuple[Role, Edge]] = []
    for body in placed:
        for across in body.saw or ():
            start, end = (body.point(plane.along(across, 0.0), across, 0.0) for plane in body.ends)
            found.append((Role.HIDDEN, (start, end)))
    return _in_view(found, sight)


def _spans(shapes: Iterable[Shape]) -> list[tuple[Point, Point]]:
    spans: list[tuple[Point, Point]] = []
    for shape in shapes:
        points = shape.points
        ends = points[1:] if len(points) == 2 else (*points[1:], points[0])
        spans += zip(points, ends, strict=False)
    return spans


def _em(some: Sequence[Body]) -> float:
    points = [project(corner) for body in some for corner in corners(body)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return max(max(xs) - min(xs), max(ys) - min(ys)) / EMS


# --- where keys go in


def _mouths(driven: Sequence[Driven], sight: Sight) -> Iterator[Polygon]:
    """Where each key goes in; in a thin line where not all of that is in sight."""
    shown = iter(sight.shows([point for each in driven for point in each.mouth]))
    for each in driven:
        whole = all(list(islice(shown, len(each.mouth))))
        yield Polygon(Role.KEY if whole else Role.THIN, tuple(map(project, each.mouth)))


def _grouped(driven: Sequence[Driven]) -> Iterator[list[Driven]]:
    """The places of one joint and entry together. Where there are many, each group begins at another of them.

    So the marks of a carcass full of shelves spread over its height.
    """
    ordered = sorted(driven, key=lambda each: (each.seam.meeting.joint, each.entry.value))
    groups = groupby(ordered, key=lambda each: (each.seam.meeting.joint, each.entry))
    for turn, (_, members) in enumerate(groups):
        group = list(members)
        first = turn % len(group) if len(group) > CORNERS else 0
        yield group[first:] + group[:first]


# --- words


def _said(placed: Sequence[Body], units: Units) -> str:
    sawn = any(body.saw for body in placed)
    saw = " As it is glued up: the lid is sawn off between the dashed lines." if sawn else ""
    return (
        f"{PROJECTION}{saw} Where keys go in, their cross-section is drawn;"
        f" thin where that edge is out of sight. {UNIT_WORDS[units]}"
    )


def _sizes(placed: Sequence[Body], units: Units, em: float) -> Iterator[Text]:
    """Width below, height on the left, depth along the lower right edge."""
    (left, right), (low, high), (back, front) = extents(placed)
    for one, other, off, anchor in (
        ((left, low, front), (right, low, front), (-0.3, -1.0), Anchor.END),
        ((left, low, front), (left, high, front), (-0.7, 0.0), Anchor.END),
        ((right, low, front), (right, low, back), (0.7, -0.7), Anchor.START),
    ):
        (x0, y0), (x1, y1) = project(one), project(other)
        long = sum(abs(b - a) for a, b in zip(one, other, strict=True))
        at = ((x0 + x1) / 2 + off[0] * em, (y0 + y1) / 2 + off[1] * em)
        yield Text(TextRole.FIGURE, at, size_figure(long, units), em, anchor)


def _label(sheet: Sheet, entries: Sequence[Driven], shown: Sequence[Point]) -> None:
    """One mark for a joint's entries of one side, with a leader to one of them."""
    first = entries[0]
    words = f"{first.seam.meeting.joint.rpartition('-')[2]} {first.entry.value}"
    anchors = [project(each.middle) for each in entries]
    sheet.place(TextRole.JOINT, words, _places(anchors, words, sheet, shown))


def _places(anchors: Sequence[Point], words: str, sheet: Sheet, shown: Sequence[Point]) -> Iterator[Place]:
    """Near an entry, then in a column on the right and one on the left, where there is room."""
    em = sheet.em
    half = Text(TextRole.WORDS, (0.0, 0.0), words, em).box.right
    yield from round_about(anchors, words, em, (2.0, 3.5, 5.0, 7.0))
    left, right, top = min(x for x, _ in shown), max(x for x, _ in shown), max(y for _, y in shown)
    for row in range(200):
        y = top - 1.4 * row * em
        for x, anchor in ((right + half + 2 * em, max(anchors)), (left - half - 5 * em, min(anchors))):
            yield Place((x, y), anchor, leader=True)


def _marks(placed: Sequence[Body]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(body.piece.mark for body in placed))


def _mark_parts(sheet: Sheet, view: View, sight: Sight) -> None:
    """The marks that are wanted: on a face of the piece in sight, else beside it with a leader."""
    stood = {piece: [body for body in view.bodies if body.piece == piece] for piece in view.marked}
    for piece, spots in _spots_in_sight(stood, sight).items():
        shown = [project(spot) for spot in islice(spots, SPOTS)]
        led_to = shown[:6] or _edges_in_sight(stood[piece], sight)
        led_to = led_to or [project(corners(body)[0]) for body in stood[piece]]
        beside = round_about(led_to, piece.mark, sheet.em, (1.5, 2.5, 4.0, 6.0, 9.0))
        sheet.place(TextRole.MEMBER, piece.mark, chain((Place(spot, spot) for spot in shown), beside))


def _spots_in_sight(stood: Mapping[Single, Sequence[Body]], sight: Sight) -> dict[Single, Iterator[Vector]]:
    """Of each piece its places in sight; the first of all pieces are asked about at once: mostly they will do."""
    spots = {piece: (spot for body in some for spot in _spots(body)) for piece, some in stood.items()}
    first = {piece: list(islice(some, 2 * SPOTS)) for piece, some in spots.items()}
    shown = iter(sight.shows([_off(spot) for some in first.values() for spot in some]))
    return {
        piece: chain(compress(some, list(islice(shown, len(some)))), _shown(spots[piece], sight))
        for piece, some in first.items()
    }


def _shown(spots: Iterator[Vector], sight: Sight) -> Iterator[Vector]:
    rest = list(spots)
    yield from compress(rest, sight.shows([_off(spot) for spot in rest]))


def _off(spot: Vector) -> Vector:
    """A little off its face, towards the eye."""
    return moved(spot, EYE, 0.01)


def _spots(body: Body) -> Iterator[Vector]:
    """Points on the faces that look to the eye, the largest face first."""
    sizes = ((body.width * body.thickness), (body.length * body.thickness), (body.length * body.width))
    order = sorted(range(3), key=lambda axis: -sizes[axis] * abs(dot(body.ways[axis], EYE)))
    room = (body.length, body.width, body.thickness)
    for axis in order:
        ahead = dot(body.ways[axis], EYE) > 0
        for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.04, 0.96):
            for beside in (0.5, 0.25, 0.75, 0.1, 0.9):
                long = max((each for each in range(3) if each != axis), key=lambda each: room[each])
                at = [room[each] * (share if each == long else beside) for each in range(3)]
                at[axis] = room[axis] if ahead else 0.0
                yield body.point(at[0], at[1], at[2])


def _edges_in_sight(stood: Sequence[Body], sight: Sight) -> list[Point]:
    """Where a leader finds a part none of whose faces shows a mark's place: the middles of its edges."""
    seen = sight.seen([edge for body in stood for edge in edges(body)])
    return [project(moved(start, moved(end, start, -1.0), 0.5)) for parts in seen for start, end in parts]
