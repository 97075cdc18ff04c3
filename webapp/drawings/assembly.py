"""An assembly's elevation to scale: members, panels, marks and the sizes that matter; and its thumbnail."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.lengths import Units
from domain.parts import Elevation, Expansion, JointLine, Outline, Point
from webapp.drawings import hatching
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, size_figure, split, upright
from webapp.drawings.labels import Place, Sheet, beside_line, in_outline
from webapp.drawings.model import Box, Drawing, Line, Polygon, Role, Shape, Text, TextRole, finished

EMS = 24
"""An assembly's longer side is this many em long."""
MOST_MARKS = 150
"""Beyond this many places every mark is written once only."""
VIEWS = {"front": "seen from the front", "plan": "seen from above", "section": "in section"}


def draw_assembly(expansion: Expansion, units: Units) -> Drawing:
    """The assembly with member and joint marks, overall and inner sizes in the project's units."""
    elevation = expansion.elevation
    em = max(elevation.width, elevation.height) / EMS
    shapes = [*_solid(elevation), *_panel_hatch(elevation, em), *_joints(elevation)]
    overall = list(_overall(elevation, units, em))
    dimension_shapes, figures = split([*overall, *_inner(elevation, units, em, overall)])
    edges = list(_edges((*elevation.members, *elevation.panels)))
    edges += [(shape.start, shape.end) for shape in dimension_shapes if isinstance(shape, Line)]
    sheet = Sheet(em, edges)
    sheet.write(figures)
    _mark(sheet, expansion)
    name = f"{expansion.mark}: {expansion.name}"
    return finished(
        name,
        f"{_said(elevation)} {UNIT_WORDS[units]}",
        em,
        [*shapes, *dimension_shapes, *sheet.leaders],
        sheet.texts,
    )


def draw_thumbnail(expansion: Expansion) -> Drawing:
    """The bare outlines, without words, on a sheet of 4 to 3 so that a list of them lines up."""
    elevation = expansion.elevation
    em = max(elevation.width, elevation.height * 4 / 3) / EMS
    width = max(elevation.width, elevation.height * 4 / 3) + 2 * em
    height = width * 3 / 4
    left, low = (elevation.width - width) / 2, (elevation.height - height) / 2
    view = Box(left, low, left + width, low + height)
    shapes = tuple(Polygon(Role.OUTLINE, outline.points) for outline in elevation.members)
    return Drawing(f"{expansion.mark}: {expansion.name}", "", view, em, shapes)


def _said(elevation: Elevation) -> str:
    members = len(elevation.members)
    return f"To scale, {VIEWS.get(elevation.view, elevation.view)}: {members} pieces and their joints."


def _solid(elevation: Elevation) -> Iterator[Shape]:
    for outline in elevation.panels:
        yield Polygon(Role.THIN, outline.points)
    for outline in elevation.members:
        yield Polygon(Role.OUTLINE, outline.points)


def _panel_hatch(elevation: Elevation, em: float) -> Iterator[Shape]:
    for outline in elevation.panels:
        yield from hatching.hatch(outline.points, hatching.PANEL, em)


def _joints(elevation: Elevation) -> Iterator[Shape]:
    for line in elevation.joints:
        yield Line(Role.JOINT, line.start, line.end)


def _overall(elevation: Elevation, units: Units, em: float) -> Iterator[Shape | Text]:
    """Overall width below, overall height on the left."""
    width, height = elevation.width, elevation.height
    y, x = -1.6 * em, -1.6 * em
    for at in (0.0, width):
        yield extension((at, -0.4 * em), (at, y - 0.3 * em))
    yield from across(0.0, width, y, size_figure(width, units), em, above=False)
    for at in (0.0, height):
        yield extension((-0.4 * em, at), (x - 0.3 * em, at))
    yield from upright(0.0, height, x, size_figure(height, units), em, left=True)


@dataclass(frozen=True, slots=True)
class Gap:
    """Clear room between two members along a line at ``at``, mm."""

    at: float
    low: float
    high: float

    @property
    def size(self) -> float:
        """Its length."""
        return self.high - self.low


def _inner(
    elevation: Elevation, units: Units, em: float, overall: Sequence[Shape | Text]
) -> Iterator[Shape | Text]:
    """Clear width and height of the widest opening, where its sides are upright and level."""
    outlines = [outline.points for outline in elevation.members]
    wide = _widest(outlines, elevation.height)
    written = list(overall)
    if wide is not None:
        words = size_figure(wide.size, units)
        if wide.size > (len(words) + 2) * em * 0.6:
            width = across(wide.low, wide.high, wide.at, words, em)
            if not _touching(written, width):
                yield from width
                written += width
    height = _inner_height(outlines, elevation, wide, units, em)
    if height and not _touching(written, height):
        yield from height
    elif wide is None:
        yield from _sight_edge(elevation, units, em)


def _inner_height(
    outlines: Sequence[tuple[Point, ...]], elevation: Elevation, wide: Gap | None, units: Units, em: float
) -> list[Shape | Text]:
    """The clear height of that same opening, well to the right of the width's figure."""
    turned = [tuple((y, x) for x, y in points) for points in outlines]
    x = elevation.width * 0.62 if wide is None else wide.low + 0.85 * wide.size
    high = _gap_at(turned, x, elevation.height / 2 if wide is None else wide.at)
    if high is None or high.size < 3.5 * em:
        return []
    return upright(high.low, high.high, x, size_figure(high.size, units), em, left=True)


def _touching(parts: Iterable[Shape | Text], others: Iterable[Shape | Text]) -> bool:
    """True where words of the one overlap words of the other."""
    return any(one.box.overlaps(other.box) for one in split(parts)[1] for other in split(others)[1])


def _sight_edge(elevation: Elevation, units: Units, em: float) -> Iterator[Shape | Text]:
    """The lowest member's inner edge: the size of a frame without upright or level sides opposite."""
    points = max(elevation.members, key=lambda outline: -max(y for _, y in outline.points)).points
    top = max(y for _, y in points)
    xs = [x for x, y in points if abs(y - top) < 1e-6]
    if 0 < top < elevation.height / 2 and len(xs) == 2:
        words = size_figure(abs(xs[1] - xs[0]), units)
        for x in xs:
            yield extension((x, top), (x, top + 1.5 * em))
        yield from across(min(xs), max(xs), top + 1.2 * em, words, em)


def _widest(outlines: Sequence[tuple[Point, ...]], height: float) -> Gap | None:
    """The widest level gap between upright edges, a little below the middle of its opening."""
    found = []
    for share in (0.5, 0.3, 0.7, 0.15, 0.85):
        gap = _gap_at(outlines, share * height, None)
        if gap is not None:
            found.append(gap)
    if not found:
        return None
    best = max(found, key=lambda gap: round(gap.size, 3))
    turned = [tuple((y, x) for x, y in points) for points in outlines]
    opening = _gap_at(turned, (best.low + best.high) / 2, best.at)
    return best if opening is None else Gap(opening.low + 0.28 * opening.size, best.low, best.high)


def _gap_at(outlines: Sequence[tuple[Point, ...]], y: float, holding: float | None) -> Gap | None:
    """The widest gap at height ``y``, or the one that holds x = ``holding``, if its ends are upright."""
    crossings = sorted(crossing for points in outlines for crossing in _spans(points, y))
    gaps: list[tuple[Gap, bool]] = []
    for (_, before, _, upright_before), (after, _, upright_after, _) in pairwise(crossings):
        if after - before > 1e-6:
            gaps.append((Gap(y, before, after), upright_before and upright_after))
    if holding is not None:
        gaps = [(gap, straight) for gap, straight in gaps if gap.low <= holding <= gap.high]
    if not gaps:
        return None
    gap, straight = max(gaps, key=lambda pair: pair[0].size)
    return gap if straight else None


def _spans(points: tuple[Point, ...], y: float) -> Iterator[tuple[float, float, bool, bool]]:
    """Where a convex outline lies at height y: left, right, and whether each side is upright there."""
    cuts = []
    before = points[-1]
    for after in points:
        if (before[1] <= y) != (after[1] <= y):
            x = before[0] + (y - before[1]) / (after[1] - before[1]) * (after[0] - before[0])
            cuts.append((x, abs(after[0] - before[0]) < 1e-6))
        before = after
    if len(cuts) >= 2:
        (left, left_upright), (right, right_upright) = min(cuts), max(cuts)
        yield left, right, left_upright, right_upright


def _edges(outlines: Iterable[Outline]) -> Iterator[tuple[Point, Point]]:
    seen = set()
    for outline in outlines:
        for edge in zip(outline.points, (*outline.points[1:], outline.points[0]), strict=True):
            key = frozenset(edge)
            if key not in seen:
                seen.add(key)
                yield edge


def _mark(sheet: Sheet, expansion: Expansion) -> None:
    """Joint marks first, for they have the least room; every mark once before any is repeated."""
    elevation, em = expansion.elevation, sheet.em
    members = [outline.points for outline in elevation.members]
    wanted = [
        _Wanted(TextRole.JOINT, words, beside_line(line.start, line.end, words, em))
        for words, line in _joint_words(elevation.joints, f"{expansion.mark}-")
    ]
    for outline in (*elevation.members, *elevation.panels):
        others = [points for points in members if points is not outline.points]
        places = in_outline(outline.points, outline.mark, em)
        wanted.append(_Wanted(TextRole.MEMBER, outline.mark, places, others))
    written: set[str] = set()
    later = []
    for one in wanted:
        if one.words in written:
            later.append(one)
        elif sheet.place(one.role, one.words, one.places, one.others):
            written.add(one.words)
    if len(wanted) > MOST_MARKS:
        return
    for one in later:
        sheet.place(one.role, one.words, (place for place in one.places if not place.leader), one.others)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A mark to be written: where it may stand, and the outlines that it should keep out of."""

    role: TextRole
    words: str
    places: Iterable[Place]
    others: Sequence[Sequence[Point]] = ()


def _joint_words(lines: Sequence[JointLine], prefix: str) -> Iterator[tuple[str, JointLine]]:
    """One mark for each line; joints on the same line (a box's body and lid) share it."""
    shared: dict[tuple[Point, Point], list[str]] = {}
    for line in lines:
        shared.setdefault((line.start, line.end), []).append(line.mark.removeprefix(prefix))
    for (start, end), marks in shared.items():
        words = " ".join(dict.fromkeys(marks))
        yield words, JointLine(words, start, end)
