"""A view of the setting-out sheet: a piece's end, edge or face to scale, with what is marked and cut on it.

Lengthwise the drawing may be broken where nothing happens; between its break lines it is true to scale. Every
figure lengthwise counts from one end, where a dot stands, so that none is added to another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import asin, cos, pi, sin

from domain.intervals import gaps, union
from domain.lengths import Units
from domain.setting_out.views import Fastened, PartLine, SlotPlace, View
from webapp.drawings.dimensions import (
    UNIT_WORDS,
    extension,
    set_figure,
    split,
    staggered,
)
from webapp.drawings.model import (
    ARC_STEPS,
    Drawing,
    Line,
    Point,
    Polygon,
    Role,
    Shape,
    Text,
    TextRole,
    finished,
)
from webapp.drawings.setting_out_figures import Breaks, Parts, Sheet, across_view, edges, lengthwise
from webapp.wording.setting_out import channel_text, edge_name, fastened_text, slots_text, stops_at, view_name

EMS, TALL = 40, 18
"""A face or edge is so many em long, and so many high at most."""
END_EMS, END_TALL = 24, 10
"""An end, which stands beside the other one."""
SLENDER = 3.0
"""A view longer than so many times its height is broken where nothing happens."""


def draw_view(view: View, units: Units, piece: str) -> Drawing:
    """The view of ``piece``, as it is named; the drawing's words say what the picture shows."""
    breaks = _breaks(view)
    long, tall = (END_EMS, END_TALL) if view.place.is_end else (EMS, TALL)
    em = max(breaks.x(view.width) / long, view.height / tall)
    sheet = Sheet(view, breaks, units, em)
    parts: list[Shape | Text] = [
        *_outline(sheet),
        *_channels(sheet),
        *_slots(sheet),
        *_lines(sheet),
        *_fastened(sheet),
        *_marks(sheet),
        *lengthwise(sheet),
        *edges(sheet),
    ]
    shapes, texts = split(parts)
    name = f"{piece}: {view_name(view)}"
    return finished(name, _said(view, units), em, shapes, texts)


def _said(view: View, units: Units) -> str:
    """The drawing in words."""
    said = [f"To scale, {edge_name(view, view.left)} on the left, {edge_name(view, view.low)} below."]
    for one in {each.joint: each for each in view.lines}.values():
        places = [set_figure(line.offset, units) for line in view.lines if line.joint == one.joint and line.offset]
        if places:
            said.append(f"{one.part} from the line {', '.join(places)} on, counted from the {one.start}.")
    for joint in dict.fromkeys(slot.joint for slot in view.slots):
        said.append(f"{joint}: {slots_text([slot for slot in view.slots if slot.joint == joint], units)}.")
    said += [fastened_text(view, row, units) for row in view.fastened]
    said += [channel_text(view, channel, units) for channel in view.channels]
    return " ".join([*said, UNIT_WORDS[units]])


def _breaks(view: View) -> Breaks:
    """Long bare stretches of a slender view, less a margin at both ends."""
    margin = max(0.6 * view.height, 12.0)
    if view.width <= SLENDER * view.height:
        return Breaks((), 0.0)
    clear = gaps(0.0, view.width, union((low - margin, high + margin) for low, high in _busy(view)))
    return Breaks(tuple((a, b) for a, b in clear if b - a > 2 * margin), margin)


def _busy(view: View) -> Iterator[tuple[float, float]]:
    """What must be seen, along the view."""
    yield 0.0, view.inset[0]
    yield view.width - view.inset[1], view.width
    for line in view.lines:
        if not line.across:
            yield min(line.near, line.far), max(line.near, line.far)
    for slot in view.slots:
        if not slot.across:
            yield slot.centre - slot.tip / 2, slot.centre + slot.tip / 2
            continue
        deep = slot.foot + slot.depth
        yield (0.0, deep) if slot.entry is view.left else (view.width - deep, view.width)
    for row in view.fastened:
        yield from ((place, place) for place in _along(view, row) if row.across)
    for channel in view.channels:
        for start, end in channel.stretches:
            yield start, start
            yield end, end
    for notch in view.notches:
        yield notch.left, notch.right


def _outline(sheet: Sheet) -> Parts:
    view, height = sheet.view, sheet.view.height
    if view.profile:
        corners = [(0.0, 0.0), (view.width, 0.0)]
        front = sorted(view.profile, reverse=True)
        yield Polygon(Role.OUTLINE, tuple((sheet.x(x), y) for x, y in (*corners, *front)))
    else:
        yield from _long_edges(sheet, 0.0, height)
        for x in (0.0, sheet.right):
            yield Line(Role.OUTLINE, (x, 0.0), (x, height))
    for notch in view.notches:
        box = (
            (notch.left, notch.low),
            (notch.right, notch.low),
            (notch.right, notch.high),
            (notch.left, notch.high),
        )
        yield Polygon(Role.SLOT, tuple((sheet.x(x), y) for x, y in box))
    for x, inset in ((view.inset[0], view.inset[0]), (view.width - view.inset[1], view.inset[1])):
        if inset:
            yield Line(Role.THIN, (sheet.x(x), 0.0), (sheet.x(x), height))


def _long_edges(sheet: Sheet, low: float, high: float) -> Parts:
    """Both long edges, and break lines where a stretch is taken out."""
    out = sheet.breaks.out
    kept = [0.0, *(x for pair in out for x in pair), sheet.view.width]
    for start, end in zip(kept[::2], kept[1::2], strict=True):
        for y in (low, high):
            yield Line(Role.OUTLINE, (sheet.x(start), y), (sheet.x(end), y))
    for x in (x for pair in out for x in pair):
        yield from _break_line(sheet.x(x), low, high, sheet.em)


def _break_line(x: float, low: float, high: float, em: float) -> Iterator[Shape]:
    middle, half = (low + high) / 2, min(0.4 * em, (high - low) / 5)
    points = [
        (x, low - 0.4 * em),
        (x, middle - half),
        (x - half, middle - half / 2),
        (x + half, middle + half / 2),
        (x, middle + half),
        (x, high + 0.4 * em),
    ]
    for start, end in pairwise(points):
        yield Line(Role.THIN, start, end)


def _channels(sheet: Sheet) -> Parts:
    for channel in sheet.view.channels:
        low, high = across_view(sheet.view, channel)
        for start, end in channel.stretches:
            yield from _stretch(sheet, start, end, low, high)
            if stops_at(sheet.view, start):
                yield Line(Role.THIN, (sheet.x(start), low), (sheet.x(start), high))
            if stops_at(sheet.view, end):
                yield Line(Role.THIN, (sheet.x(end), low), (sheet.x(end), high))


def _stretch(sheet: Sheet, start: float, end: float, low: float, high: float) -> Parts:
    for a, b in gaps(start, end, sheet.breaks.out):
        for y in (low, high):
            yield Line(Role.THIN, (sheet.x(a), y), (sheet.x(b), y))


def _slots(sheet: Sheet) -> Parts:
    for slot in sheet.view.slots:
        yield Polygon(Role.SLOT, tuple(_slot_points(sheet, slot, slot.mouth / 2)))
        points = list(_slot_points(sheet, slot, slot.tip / 2))
        for start, end in pairwise(points):
            yield Line(Role.HIDDEN, start, end)
        yield Line(Role.CENTRE, *_axis(sheet, slot))


def _slot_points(sheet: Sheet, slot: SlotPlace, radius: float) -> Iterator[Point]:
    """The slot at one depth of its bit: straight from its entry edge, round at its end."""
    yield _in_slot(sheet, slot, slot.foot, -radius)
    turn = slot.depth - slot.tip / 2
    start = asin(min(1.0, max(0.0, -turn) / radius))
    for step in range(ARC_STEPS + 1):
        angle = pi - start - (pi - 2 * start) * step / ARC_STEPS
        yield _in_slot(sheet, slot, slot.foot + turn + radius * sin(angle), radius * cos(angle))
    yield _in_slot(sheet, slot, slot.foot, radius)


def _in_slot(sheet: Sheet, slot: SlotPlace, deep: float, aside: float) -> Point:
    along = sheet.view.at(slot.entry, deep)
    return (sheet.x(along), slot.centre + aside) if slot.across else (sheet.x(slot.centre + aside), along)


def _axis(sheet: Sheet, slot: SlotPlace) -> tuple[Point, Point]:
    return _in_slot(sheet, slot, slot.foot - 0.6 * sheet.em, 0.0), _in_slot(
        sheet, slot, slot.foot + slot.depth, 0.0
    )


def _lines(sheet: Sheet) -> Parts:
    """Marked lines, the part's far edge dashed, and a cross on the side where the part comes."""
    for line in sheet.view.lines:
        for place, role in ((line.near, Role.JOINT), (line.far, Role.HIDDEN)):
            if not (role is Role.JOINT and line.flush):
                yield from _marked(sheet, line, place, role)
        yield from _cross(sheet, line)


def _marked(sheet: Sheet, line: PartLine, place: float, role: Role) -> Parts:
    if line.across:
        for a, b in gaps(0.0, sheet.view.width, sheet.breaks.out):
            yield Line(role, (sheet.x(a), place), (sheet.x(b), place))
    else:
        yield Line(role, (sheet.x(place), 0.0), (sheet.x(place), sheet.view.height))


def _along(view: View, row: Fastened) -> Iterator[float]:
    """Where fastenings are, along the way that they follow each other."""
    return (view.at(row.start, place) for place in row.places)


def _fastened(sheet: Sheet) -> Parts:
    """A marked line across the part at every tenon and screw, and their row's middle line through each."""
    half = 0.5 * sheet.em
    for row in sheet.view.fastened:
        low, high = row.span
        for place in _along(sheet.view, row):
            if row.across:
                at = sheet.x(place)
                yield Line(Role.JOINT, (at, low), (at, high))
                yield Line(Role.THIN, (at - half, row.centre), (at + half, row.centre))
            else:
                yield Line(Role.JOINT, (sheet.x(low), place), (sheet.x(high), place))
                yield Line(Role.THIN, (sheet.x(row.centre), place - half), (sheet.x(row.centre), place + half))


def _cross(sheet: Sheet, line: PartLine) -> Parts:
    """A cross between a part's two lines where nothing else is; the mark beside it, of lines that run across."""
    view, em = sheet.view, sheet.em
    length = view.width if line.across else view.height
    free = gaps(0.0, length, _taken(sheet, line))
    if not free:
        return
    start, end = max(free, key=lambda gap: gap[1] - gap[0])
    low, high = sorted((line.near, line.far))
    half = min(0.4 * (high - low), 0.4 * (end - start), 0.8 * em)
    middle, across = (start + end) / 2, (low + high) / 2
    x, y = (sheet.x(middle), across) if line.across else (sheet.x(across), middle)
    yield Line(Role.THIN, (x - half, y - half), (x + half, y + half))
    yield Line(Role.THIN, (x - half, y + half), (x + half, y - half))
    if line.across:
        # clear of the lines, towards the middle of the view
        aside = (high - low) / 2 + 0.9 * em
        yield Text(TextRole.MEMBER, (x, y + (aside if y < view.height / 2 else -aside)), _mark(line), em)


def _taken(sheet: Sheet, line: PartLine) -> Iterator[tuple[float, float]]:
    """Where along a part's lines there are slots, or, of lines that run across, other parts too."""
    view = sheet.view
    length = view.width if line.across else view.height
    for slot in view.slots:
        if slot.across is line.across:
            deep = slot.foot + slot.depth
            yield (0.0, deep) if slot.entry in {view.left, view.low} else (length - deep, length)
    for row in view.fastened:
        if row.across is line.across:
            yield from ((place - sheet.em, place + sheet.em) for place in _along(view, row))
    for other in view.lines if line.across else ():
        if not other.across:
            yield min(other.near, other.far), max(other.near, other.far)
    yield from sheet.breaks.out if line.across else ()


def _mark(line: PartLine) -> str:
    return f"{line.part} {line.joint}"


def _marks(sheet: Sheet) -> Parts:
    """Which part and joint comes where, above the view; of lines that run across, at their right end."""
    view, em = sheet.view, sheet.em
    labels = [(sheet.x((line.near + line.far) / 2), _mark(line)) for line in view.lines if not line.across]
    if view.place.is_end or any(one.spot.whole for one in view.joints):
        words = ", ".join(f"{one.partner.mark} {one.joint.mark}" for one in view.joints)
        labels.append((sheet.right / 2, words))
    top = view.height + 1.1 * em
    for text in staggered(labels, top, em, 1.3 * em):
        yield replace(text, role=TextRole.MEMBER)
        if not view.place.is_end:
            yield extension((text.at[0], view.height), (text.at[0], text.box.low))
