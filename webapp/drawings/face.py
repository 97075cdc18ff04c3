"""A joint's mating face seen square on: u along the joint line, v up from the entry edge.

u = x / sin φ, so that a mitre's face is as long as its joint line. The slot's opening lies on the
face; dashed behind it its wider bottom, as far nearer to the tip as the stock's edge is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.faces.face import MatingFace
from domain.faces.region import Region
from domain.lengths import Units
from domain.planning.fit import mouth
from domain.planning.plans import JointPlan, SectionPlan, Slot
from domain.spec.catalogue import KeyEnd
from domain.spec.choices import Entry
from webapp.drawings.dimensions import (
    UNIT_WORDS,
    across,
    extension,
    running,
    set_figure,
    size_figure,
    split,
    staggered,
    upright,
)
from webapp.drawings.fit import section_index
from webapp.drawings.fold import Fold, fold_for
from webapp.drawings.hatching import hatch, section_hatching
from webapp.drawings.model import (
    Anchor,
    Drawing,
    Line,
    Polygon,
    Role,
    RoundEnd,
    Shape,
    Text,
    TextRole,
    finished,
)
from webapp.drawings.wood import outline, trapezoids
from webapp.wording.ends import depth, stack
from webapp.wording.joint import JOINT_KINDS, MiddleWords, driven_from, middle, origin

EMS = 15
"""A face's longer side is this many em long."""
Parts = Iterator[Shape | Text]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What every part of the drawing needs to know. ``top`` is the height of the far edge as drawn."""

    face: MatingFace
    region: Region
    fold: Fold
    units: Units
    em: float

    @property
    def top(self) -> float:
        return self.fold.height(self.region.run)

    def u(self, x: float) -> float:
        return x / self.face.sine


def draw_face(joint_plan: JointPlan, units: Units) -> Drawing:
    """The face with its slots, keys, centres, depth and walls; a joint without a plan shows its wood alone.

    Why such a joint cannot be made is said in the drawing's description and in the joint's notes.
    """
    joint, plan = joint_plan.joint, joint_plan.plan
    sheet = _sheet(joint_plan, units)
    parts: list[Shape | Text] = [*_wood(sheet)]
    if plan is not None:
        index = section_index(joint_plan)
        parts += _slots(sheet, plan, joint_plan.slots)
        for slot in joint_plan.slots:
            parts += _keys(sheet, plan, slot, index)
        lengths = _key_figures(sheet, plan, joint_plan.slots)
        parts += [*lengths, *_measures(sheet, plan, lengths, middle(joint_plan, units))]
    parts += _sizes(sheet, split(parts)[1])
    shapes, texts = split(parts)
    name = f"Joint {joint.mark}: {JOINT_KINDS[joint.kind]}, {joint.place}"
    return finished(name, _said(joint_plan, units), sheet.em, shapes, texts)


def _sheet(joint_plan: JointPlan, units: Units) -> _Sheet:
    face, plan = joint_plan.joint.face, joint_plan.plan
    entry = plan.entry if plan is not None else joint_plan.joint.entries[0]
    region = face.region if entry is Entry.BOTH else face.region_from(entry)
    below = max((void.v1 for void in region.voids if void.v1 < region.run / 2), default=0.0)
    above = region.run - min((void.v0 for void in region.voids if void.v1 >= region.run / 2), default=region.run)
    if plan is not None:
        below = max(below, plan.depth)
        above = max(above, plan.from_edge(face.ends[1]).depth) if entry is Entry.BOTH else above
    shaped = region.ceiling is not None or region.floor is not None
    fold = Fold(region.run, region.run, 0.0) if shaped else fold_for(region.run, face.breadth, below, above)
    em = max(face.breadth, fold.height(region.run)) / EMS
    return _Sheet(face, region, fold, units, em)


def _said(joint_plan: JointPlan, units: Units) -> str:
    joint, plan = joint_plan.joint, joint_plan.plan
    face = f"Mating face, {size_figure(joint.face.breadth, units)} by {size_figure(joint.face.run, units)}"
    if plan is None:
        reasons = " ".join(note.text(units) for note in joint_plan.notes)
        return f"{face}. It cannot be made as it stands. {reasons}".strip()
    centres = ", ".join(set_figure(centre, units) for centre in plan.centres)
    return (
        f"{face}: section {plan.section.name}, {plan.section.end.words},"
        f" centres {centres} from the {origin(joint.face)},"
        f" {depth(joint.face, plan, units).deep}; keys in from the {driven_from(joint.face, plan.entry)}."
        f"{_between(joint_plan, units)} Dashed: the slot's bottom. Bar below: where centres may lie."
        f" {UNIT_WORDS[units]}"
    )


def _between(joint_plan: JointPlan, units: Units) -> str:
    words = middle(joint_plan, units)
    return f" Between the keys: {words}." if words else ""


def _wood(sheet: _Sheet) -> Parts:
    """The wood in white, the whole stock in thin dashes where something is cut away, and its edges."""
    region, fold, breadth = sheet.region, sheet.fold, sheet.face.breadth
    for slab in trapezoids(region):
        for piece in slab:
            yield Polygon(Role.WOOD, tuple((sheet.u(x), fold.height(v)) for x, v in piece.points))
    if region.voids or region.ceiling is not None or region.floor is not None:
        corners = ((0.0, 0.0), (breadth, 0.0), (breadth, region.run), (0.0, region.run))
        for corner, after in zip(corners, (*corners[1:], corners[0]), strict=True):
            for start, end in fold.segments(corner, after):
                yield Line(Role.HIDDEN, start, end)
    for (x0, v0), (x1, v1) in outline(region):
        for start, end in fold.segments((sheet.u(x0), v0), (sheet.u(x1), v1)):
            yield Line(Role.OUTLINE, start, end)
    yield from fold.break_lines(0.0, breadth, sheet.em)


def _turn(sheet: _Sheet, plan: SectionPlan, slot: Slot) -> tuple[float, float, bool]:
    """Height of a slot's entry edge, of its round end's centre, and whether it runs down."""
    down = plan.entry is Entry.BOTH and slot.entry is sheet.face.ends[1]
    centre = slot.depth - plan.cutter.tip_diameter / 2
    return (sheet.top, sheet.top - centre, True) if down else (0.0, centre, False)


def _slots(sheet: _Sheet, plan: SectionPlan, slots: tuple[Slot, ...]) -> Parts:
    """The openings at the face, concentric with the slots' bottoms, which reach the depth."""
    tip_diameter, face = plan.cutter.tip_diameter, sheet.face
    opening = mouth(plan.section, tip_diameter, plan.projection)
    lean = plan.projection * face.cosine / face.sine
    for slot in slots:
        foot, turn, down = _turn(sheet, plan, slot)
        yield RoundEnd(Role.SLOT, slot.centre, opening / 2, foot, turn, down)
        yield RoundEnd(Role.HIDDEN, slot.centre - lean, tip_diameter / 2, foot, turn, down, open_foot=True)
        beyond = 0.7 * sheet.em
        if down:
            yield Line(Role.CENTRE, (slot.centre, foot + beyond), (slot.centre, foot - slot.depth - beyond))
        else:
            yield Line(Role.CENTRE, (slot.centre, -2.0 * sheet.em), (slot.centre, slot.depth + beyond))


def _keys(sheet: _Sheet, plan: SectionPlan, slot: Slot, index: int) -> Parts:
    """The stack as it lies at the joint line: longest deepest, its leading end as the keys' is."""
    foot, turn, down = _turn(sheet, plan, slot)
    way = -1.0 if down else 1.0
    half = min(plan.waist, mouth(plan.section, plan.cutter.tip_diameter, plan.projection)) / 2
    start: float = slot.recess
    for rank, length in enumerate(reversed(slot.keys), 1):
        low, high = foot + way * start, foot + way * (start + length)
        key: RoundEnd | Polygon
        if rank == len(slot.keys) and plan.section.end is KeyEnd.ROUND:
            key = RoundEnd(Role.KEY, slot.centre, half, low, turn, down)
        else:
            left, right = slot.centre - half, slot.centre + half
            key = Polygon(Role.KEY, ((left, low), (right, low), (right, high), (left, high)))
        yield key
        yield from hatch(key.points, section_hatching(index), sheet.em, Role.KEY_HATCH)
        start += length


def _key_figures(sheet: _Sheet, plan: SectionPlan, slots: tuple[Slot, ...]) -> list[Text]:
    """Every key's length in it; short keys share one figure. Slots too near repeat nothing: all are alike."""
    figures: list[Text] = []
    for slot in slots:
        foot, _, down = _turn(sheet, plan, slot)
        way = -1.0 if down else 1.0
        here = []
        start: float = slot.recess
        for length in reversed(slot.keys):
            here.append((start + length / 2, _key_words((length,), sheet.units)))
            start += length
        if len(here) > 1 and min(slot.keys) < 1.3 * sheet.em:
            here = [((slot.recess + slot.depth) / 2, _key_words(slot.keys, sheet.units))]
        texts = [
            Text(TextRole.FIGURE, (slot.centre, foot + way * middle), words, sheet.em) for middle, words in here
        ]
        if not any(text.box.overlaps(taken.box) for text in texts for taken in figures):
            figures += texts
    return figures


def _key_words(keys: Sequence[float], units: Units) -> str:
    """Keys by the millimetres on their packet, in any drawing; the unit is said where it is not the drawing's."""
    lengths = stack(keys)
    return lengths if units is Units.MM else f"{lengths} mm"


def _sizes(sheet: _Sheet, texts: list[Text]) -> Parts:
    """The run on the far right and the breadth on top, clear of the words that stand there already."""
    em, breadth = sheet.em, sheet.face.breadth
    x = max([breadth, *(text.box.right for text in texts if text.anchor is Anchor.START and text.at[0] > breadth)])
    x += 1.2 * em
    for y in (0.0, sheet.top):
        yield extension((breadth + 0.4 * em, y), (x + 0.3 * em, y))
    yield from upright(0.0, sheet.top, x, size_figure(sheet.region.run, sheet.units), em, left=False)
    y = max([sheet.top, *(text.box.high for text in texts)]) + em
    for u in (0.0, breadth):
        yield extension((u, y - 0.5 * em), (u, y + 0.3 * em))
    yield from across(0.0, breadth, y, size_figure(breadth, sheet.units), em)


def _measures(sheet: _Sheet, plan: SectionPlan, lengths: list[Text], between: MiddleWords | None) -> Parts:
    """Allowed centres, centres, depth, walls and skin; below them what stands between the keys of a long edge."""
    em = sheet.em
    for low, high in plan.allowed:
        half = max(high - low, 0.15 * em) / 2
        middle = (low + high) / 2
        left, right, y = middle - half, middle + half, -1.1 * em
        yield Polygon(Role.ALLOWED, ((left, y), (right, y), (right, y + 0.4 * em), (left, y + 0.4 * em)))
    parts, lowest = running(plan.centres, -2.0 * em, sheet.units, em)
    yield from parts
    words = [f"from the {origin(sheet.face)}", f"keys in from the {driven_from(sheet.face, plan.entry)}"]
    if between is not None:
        words += _between_rows(between)
    for row, line in enumerate(words, 1):
        yield Text(TextRole.WORDS, (0.0, lowest - 1.3 * em * row), line, em, Anchor.START)
    walls = _walls(sheet, plan)
    around: list[Shape | Text] = []
    beside = _apart(walls, sheet.em) is None
    if beside:
        around += _walls_beside(sheet, plan, walls, lengths)
    around += _depth(sheet, plan, [*lengths, *split(around)[1]])
    # where a long run is folded, what lies beyond the slot is no skin
    if plan.entry is Entry.BOTH or not sheet.fold.taken_out:
        around += _skin(sheet, plan, split(around)[1])
    if not beside:
        around += _walls_above(sheet, plan, walls, [*lengths, *split(around)[1]])
    yield from around


def _between_rows(between: MiddleWords) -> list[str]:
    """What stands between the keys, in rows that are no longer than the others."""
    rows = [between.places[start : start + 3] for start in range(0, len(between.places), 3)]
    return [
        f"{between.what} at",
        *(", ".join(place.drawn for place in row) for row in rows),
        f"from the {between.edge} edge",
    ]


def _depth(sheet: _Sheet, plan: SectionPlan, texts: list[Text]) -> Parts:
    """The depth on the left, clear of the figures that reach out there; where the ends differ, that of each."""
    x = min([0.0, *(text.box.left for text in texts)]) - 1.4 * sheet.em
    bottom = plan.centres[0] - plan.projection * sheet.face.cosine / sheet.face.sine
    ends: list[tuple[float, float, float]] = [(0.0, plan.depth, plan.depth)]
    if plan.far is not None:
        ends.append((sheet.top, sheet.top - plan.far.depth, plan.far.depth))
    for edge, turn, deep in ends:
        yield extension((bottom, turn), (x - 0.3 * sheet.em, turn))
        yield extension((-0.4 * sheet.em, edge), (x - 0.3 * sheet.em, edge))
        yield from upright(min(edge, turn), max(edge, turn), x, set_figure(deep, sheet.units), sheet.em, left=True)


def least_walls(sheet_region: Region, face: MatingFace, plan: SectionPlan) -> tuple[tuple[float, float], ...]:
    """The least wood left beside a slot, towards the tip and away from it: (from, to) in x, mm."""
    low, high = plan.extent
    counted = sheet_region.crossed() if plan.crossing else sheet_region
    before, after = [], []
    for centre in plan.centres:
        x = centre * face.sine
        for start, end in counted.clear_gaps(plan.depth):
            if start <= x + low + 1e-6 and x + high <= end + 1e-6:
                before.append((start, x + low))
                after.append((x + high, end))

    def size(wall: tuple[float, float]) -> float:
        return wall[1] - wall[0]

    return tuple(min(walls, key=size) for walls in (before, after) if walls)


@dataclass(frozen=True, slots=True)
class _Wall:
    """A wall as drawn: from ``left`` to ``right`` in u, with its figure; ``level`` where a void bounds it."""

    left: float
    right: float
    words: str
    level: float | None

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


def _walls(sheet: _Sheet, plan: SectionPlan) -> tuple[_Wall, ...]:
    return tuple(
        _Wall(
            sheet.u(start),
            sheet.u(end),
            f"wood {set_figure(end - start, sheet.units)}",
            _void_level(sheet.region, (start, end), plan.depth),
        )
        for start, end in least_walls(sheet.region, sheet.face, plan)
    )


def _void_level(region: Region, wall: tuple[float, float], depth: float) -> float | None:
    """The middle height of the groove or rabbet that the wall ends at, as far as the slot runs beside it."""
    for void in region.voids:
        if void.v0 < depth and any(abs(x - edge) < 1e-6 for x in (void.x0, void.x1) for edge in wall):
            return (max(0.0, void.v0) + min(depth, void.v1)) / 2
    return None


def _apart(walls: tuple[_Wall, ...], em: float) -> list[Text] | None:
    """The walls' figures in one row at height 0; None where they would touch."""
    texts = staggered([(wall.middle, wall.words) for wall in walls], 0.0, em, em)
    return None if any(text.at[1] for text in texts) else texts


def _walls_above(sheet: _Sheet, plan: SectionPlan, walls: tuple[_Wall, ...], texts: list[Text]) -> Parts:
    """The least walls as bars in the wood, their figures above the face and clear of other words."""
    em = sheet.em
    row = sheet.top + em
    written = [Text(text.role, (text.at[0], row), text.words, em) for text in _apart(walls, em) or ()]
    for taken in sorted(texts, key=lambda text: text.at[1]):
        if any(text.box.overlaps(taken.box) for text in written):
            row = taken.box.high + 0.7 * em
            written = [Text(text.role, (text.at[0], row), text.words, em) for text in written]
    for wall in walls:
        y = 0.5 * plan.depth if wall.level is None else wall.level
        yield Line(Role.WALL, (wall.left, y), (wall.right, y))
        yield extension((wall.middle, y), (wall.middle, row - 0.6 * em))
    yield from written


def _walls_beside(sheet: _Sheet, plan: SectionPlan, walls: tuple[_Wall, ...], lengths: list[Text]) -> Parts:
    """The least walls of a narrow face, their figures on its left and right, clear of the keys'."""
    em = sheet.em
    clear = _clear_height(sheet, plan.depth, lengths)
    for wall, side in zip(walls, (-1, 1), strict=True):
        y = clear if wall.level is None else wall.level
        level = [text.box for text in lengths if abs(text.at[1] - y) < 1.3 * em]
        if side < 0:
            x = min([0.0, *(box.left for box in level)]) - 0.5 * em
        else:
            x = max([sheet.face.breadth, *(box.right for box in level)]) + 0.5 * em
        yield extension((x - side * 0.2 * em, y), (wall.left if side < 0 else wall.right, y))
        yield Line(Role.WALL, (wall.left, y), (wall.right, y))
        yield Text(TextRole.FIGURE, (x, y), wall.words, em, Anchor.END if side < 0 else Anchor.START)


def _clear_height(sheet: _Sheet, depth: float, lengths: list[Text]) -> float:
    """A height within the slot's depth, near its middle, that no key's figure stands at."""
    heights = [share * depth for share in (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74)]
    free = (y for y in heights if all(abs(y - text.at[1]) > 1.3 * sheet.em for text in lengths))
    return next(free, heights[0])


def _skin(sheet: _Sheet, plan: SectionPlan, texts: list[Text]) -> Parts:
    """Wood beyond the round end, where it is least; between slots from both sides, what parts them."""
    region, em, (low, high) = sheet.region, sheet.em, plan.extent
    if plan.crossing:
        region = region.crossed()
    clear = [region.clear_run(u * sheet.face.sine + low, u * sheet.face.sine + high) for u in plan.centres]
    least = min(clear)
    name = "skin"
    if plan.entry is Entry.BOTH:
        least, name = region.run - plan.from_edge(sheet.face.ends[1]).depth, "between"
    start, end = sheet.fold.height(plan.depth), sheet.fold.height(least)
    centre = plan.centres[clear.index(min(clear))]
    level = [text.box.right for text in texts if abs(text.at[1] - (start + end) / 2) < 1.3 * em]
    x = max([sheet.face.breadth, *level]) + 1.2 * em
    for v in (start, end):
        yield extension((centre, v), (x + 0.3 * em, v))
    words = f"{name} {set_figure(least - plan.depth, sheet.units)}"
    yield from upright(start, end, x, words, em, left=False)
