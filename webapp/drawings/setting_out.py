"""A view of the setting-out sheet: a piece's end, edge or face to scale, with what is marked and cut on it.

Lengthwise the drawing may be broken where nothing happens; between its break lines it is true to scale. Every
figure lengthwise counts from one end, where a dot stands, so that none is added to another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import asin, cos, pi, sin

from domain.intervals import gaps, union
from domain.lengths import Mm, Units
from domain.parts import Side
from domain.setting_out.views import Channel, PartLine, SlotPlace, View
from webapp.drawings.dimensions import (
    GAP,
    UNIT_WORDS,
    dot,
    extension,
    set_figure,
    size_figure,
    split,
    staggered,
    tick,
)
from webapp.drawings.model import (
    ARC_STEPS,
    LETTER,
    LINE,
    Anchor,
    Box,
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
from webapp.wording.setting_out import channel_text, edge_name, slots_text, stops_at, view_name

EMS, TALL = 40, 18
"""A face or edge is so many em long, and so many high at most."""
END_EMS, END_TALL = 24, 10
"""An end, which stands beside the other one."""
SLENDER = 3.0
"""A view longer than so many times its height is broken where nothing happens."""
Parts = Iterator[Shape | Text]
Places = dict[float, str]
"""Where something is along a view, with what it is called before its figure."""


@dataclass(frozen=True, slots=True)
class Breaks:
    """Stretches (mm along the view) that are taken out, each drawn ``gap`` long."""

    out: tuple[tuple[float, float], ...]
    gap: float

    def x(self, at: float) -> float:
        """Where a place is drawn; one that is taken out, between the break lines."""
        drawn = at
        for start, end in self.out:
            if at >= end:
                drawn -= end - start - self.gap
            elif at > start:
                drawn -= (at - start) * (1 - self.gap / (end - start))
        return drawn


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What every part of the drawing needs to know."""

    view: View
    breaks: Breaks
    units: Units
    em: float

    def x(self, at: float) -> float:
        return self.breaks.x(at)

    @property
    def right(self) -> float:
        return self.x(self.view.width)


def draw_view(view: View, units: Units, piece: str) -> Drawing:
    """The view of ``piece``, as it is named; the drawing's words say what the picture shows."""
    breaks = _breaks(view)
    long, tall = (END_EMS, END_TALL) if view.place.is_end else (EMS, TALL)
    em = max(breaks.x(view.width) / long, view.height / tall)
    sheet = _Sheet(view, breaks, units, em)
    parts: list[Shape | Text] = [
        *_outline(sheet),
        *_channels(sheet),
        *_slots(sheet),
        *_lines(sheet),
        *_marks(sheet),
        *_lengthwise(sheet),
        *_edges(sheet),
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
    for channel in view.channels:
        for start, end in channel.stretches:
            yield start, start
            yield end, end
    for notch in view.notches:
        yield notch.left, notch.right


def _outline(sheet: _Sheet) -> Parts:
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


def _long_edges(sheet: _Sheet, low: float, high: float) -> Parts:
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


def _channels(sheet: _Sheet) -> Parts:
    for channel in sheet.view.channels:
        low, high = _across(sheet.view, channel)
        for start, end in channel.stretches:
            yield from _stretch(sheet, start, end, low, high)
            if stops_at(sheet.view, start):
                yield Line(Role.THIN, (sheet.x(start), low), (sheet.x(start), high))
            if stops_at(sheet.view, end):
                yield Line(Role.THIN, (sheet.x(end), low), (sheet.x(end), high))


def _across(view: View, channel: Channel) -> tuple[float, float]:
    """How high a groove lies in the view."""
    one, other = (view.at(channel.side, off) for off in (channel.low, channel.low + channel.width))
    return min(one, other), max(one, other)


def _stretch(sheet: _Sheet, start: float, end: float, low: float, high: float) -> Parts:
    for a, b in gaps(start, end, sheet.breaks.out):
        for y in (low, high):
            yield Line(Role.THIN, (sheet.x(a), y), (sheet.x(b), y))


def _slots(sheet: _Sheet) -> Parts:
    for slot in sheet.view.slots:
        yield Polygon(Role.SLOT, tuple(_slot_points(sheet, slot, slot.mouth / 2)))
        points = list(_slot_points(sheet, slot, slot.tip / 2))
        for start, end in pairwise(points):
            yield Line(Role.HIDDEN, start, end)
        yield Line(Role.CENTRE, *_axis(sheet, slot))


def _slot_points(sheet: _Sheet, slot: SlotPlace, radius: float) -> Iterator[Point]:
    """The slot at one depth of its bit: straight from its entry edge, round at its end."""
    yield _in_slot(sheet, slot, slot.foot, -radius)
    turn = slot.depth - slot.tip / 2
    start = asin(min(1.0, max(0.0, -turn) / radius))
    for step in range(ARC_STEPS + 1):
        angle = pi - start - (pi - 2 * start) * step / ARC_STEPS
        yield _in_slot(sheet, slot, slot.foot + turn + radius * sin(angle), radius * cos(angle))
    yield _in_slot(sheet, slot, slot.foot, radius)


def _in_slot(sheet: _Sheet, slot: SlotPlace, deep: float, aside: float) -> Point:
    along = sheet.view.at(slot.entry, deep)
    return (sheet.x(along), slot.centre + aside) if slot.across else (sheet.x(slot.centre + aside), along)


def _axis(sheet: _Sheet, slot: SlotPlace) -> tuple[Point, Point]:
    return _in_slot(sheet, slot, slot.foot - 0.6 * sheet.em, 0.0), _in_slot(
        sheet, slot, slot.foot + slot.depth, 0.0
    )


def _lines(sheet: _Sheet) -> Parts:
    """Marked lines, the part's far edge dashed, and a cross on the side where the part comes."""
    for line in sheet.view.lines:
        for place, role in ((line.near, Role.JOINT), (line.far, Role.HIDDEN)):
            if not (role is Role.JOINT and line.flush):
                yield from _marked(sheet, line, place, role)
        yield from _cross(sheet, line)


def _marked(sheet: _Sheet, line: PartLine, place: float, role: Role) -> Parts:
    if line.across:
        for a, b in gaps(0.0, sheet.view.width, sheet.breaks.out):
            yield Line(role, (sheet.x(a), place), (sheet.x(b), place))
    else:
        yield Line(role, (sheet.x(place), 0.0), (sheet.x(place), sheet.view.height))


def _cross(sheet: _Sheet, line: PartLine) -> Parts:
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


def _taken(sheet: _Sheet, line: PartLine) -> Iterator[tuple[float, float]]:
    """Where along a part's lines there are slots, or, of lines that run across, other parts too."""
    view = sheet.view
    length = view.width if line.across else view.height
    for slot in view.slots:
        if slot.across is line.across:
            deep = slot.foot + slot.depth
            yield (0.0, deep) if slot.entry in {view.left, view.low} else (length - deep, length)
    for other in view.lines if line.across else ():
        if not other.across:
            yield min(other.near, other.far), max(other.near, other.far)
    yield from sheet.breaks.out if line.across else ()


def _mark(line: PartLine) -> str:
    return f"{line.part} {line.joint}"


def _marks(sheet: _Sheet) -> Parts:
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


def _lengthwise(sheet: _Sheet) -> Parts:
    """Rows of running dimensions under the view: lines and stops, slots, depths; then the whole length."""
    y = -1.5 * sheet.em
    for places, origin in _rows(sheet.view):
        parts, low = _row(sheet, places, origin, y)
        yield from parts
        y = low - 1.5 * sheet.em
    yield from _whole(sheet, y)


def _rows(view: View) -> Iterator[tuple[Places, float]]:
    """Places along the view and what they are, with where each row counts from."""
    width = view.width
    for start in dict.fromkeys(line.start for line in view.lines if not line.across):
        places: Places = {
            place: ""
            for line in view.lines
            if line.start is start and not line.across
            for place in ((line.far,) if line.flush else (line.near, line.far))
        }
        yield places, view.at(start, 0.0)
    stops: Places = {
        place: "groove "
        for channel in view.channels
        for stretch in channel.stretches
        for place in stretch
        if stops_at(view, place)
    }
    if stops:
        yield stops, 0.0
    upright = [slot for slot in view.slots if not slot.across]
    if upright:
        origin = 0.0 if view.datum is None else view.at(view.datum, 0.0)
        yield {slot.centre: "slot " for slot in upright}, origin
    for entry in dict.fromkeys(slot.entry for slot in view.slots if slot.across):
        deep = {
            view.at(entry, slot.foot + slot.depth): "deep "
            for slot in view.slots
            if slot.across and slot.entry is entry
        }
        yield deep, 0.0 if entry is view.left else width


def _row(sheet: _Sheet, places: Places, origin: float, y: float) -> tuple[list[Shape | Text], float]:
    em = sheet.em
    ends = [sheet.x(origin), *(sheet.x(place) for place in places)]
    parts: list[Shape | Text] = [Line(Role.DIMENSION, (min(ends), y), (max(ends), y)), dot((ends[0], y), em)]
    parts += [tick((x, y), em) for x in ends[1:]]
    labels = [
        (sheet.x(place), f"{what}{set_figure(abs(place - origin), sheet.units)}") for place, what in places.items()
    ]
    texts = staggered(labels, y - 0.9 * em, em, -1.25 * em)
    return [*parts, *texts], min(text.at[1] for text in texts)


def _whole(sheet: _Sheet, y: float) -> Parts:
    em, right = sheet.em, sheet.right
    words = size_figure(sheet.view.width, sheet.units)
    yield Line(Role.DIMENSION, (0.0, y), (right, y))
    yield tick((0.0, y), em)
    yield tick((right, y), em)
    yield Text(TextRole.FIGURE, (right / 2, y - 0.85 * em), words, em)


def _edges(sheet: _Sheet) -> Parts:
    """What the four edges are called, and to the right of them what is measured upwards."""
    view, em, right = sheet.view, sheet.em, sheet.right
    middle = view.height / 2
    apart = max(view.height / 2 - 0.6 * em, 1.25 * em)
    yield Text(TextRole.WORDS, (-1.0 * em, middle), edge_name(view, view.left), em, Anchor.END)
    names = [edge_name(view, side) for side in (view.high, view.right, view.low)]
    for name, y in zip(names, (middle + apart, middle, middle - apart), strict=True):
        yield Text(TextRole.WORDS, (right + 1.0 * em, y), name, em, Anchor.START)
    start = right + (2.7 + LETTER * max(map(len, names))) * em
    # from the nearest column outwards, each where nothing stands at its height yet
    columns: list[list[Box]] = []
    for low, high, words in _spans(view, sheet.units):
        half = max((high - low) / 2, LINE * em / 2) + 0.4 * em
        room = Box(0.0, (low + high) / 2 - half, (1.6 + LETTER * len(words) + GAP) * em, (low + high) / 2 + half)
        column = next((one for one in columns if not any(room.overlaps(each) for each in one)), None)
        if column is None:
            columns.append(column := [])
        column.append(room)
        before = sum(max(each.right for each in one) for one in columns[: columns.index(column)])
        yield from _upright(low, high, start + before, words, em)


def _upright(low: float, high: float, x: float, words: str, em: float) -> Parts:
    yield Line(Role.DIMENSION, (x, low - 0.3 * em), (x, high + 0.3 * em))
    yield tick((x, low), em)
    yield tick((x, high), em)
    yield Text(TextRole.FIGURE, (x + 0.5 * em, (low + high) / 2), words, em, Anchor.START)


def _spans(view: View, units: Units) -> Iterable[tuple[float, float, str]]:
    """What is measured upwards: depths of upright slots, centres of those that lie, lines across, the whole."""
    found: dict[tuple[float, float, str], None] = {}

    def span(side: Side, to: float, words: str) -> None:
        start, end = view.at(side, 0.0), to
        found[min(start, end), max(start, end), words] = None

    for slot in view.slots:
        if slot.across:
            start = _counted_from(view, slot)
            off = abs(slot.centre - view.at(start, 0.0))
            span(start, slot.centre, f"slot {set_figure(off, units)}")
        else:
            deep = Mm(slot.foot + slot.depth)
            span(slot.entry, view.at(slot.entry, deep), f"deep {set_figure(deep, units)}")
    for line in view.lines:
        if line.across:
            for place in (line.far,) if line.flush else (line.near, line.far):
                span(line.start, place, set_figure(abs(place - view.at(line.start, 0.0)), units))
    for channel in view.channels:
        low, high = _across(view, channel)
        far = high if channel.side is view.low else low
        words = f"{channel.kind.value} {size_figure(channel.low, units)} to"
        span(channel.side, far, f"{words} {size_figure(channel.low + channel.width, units)}")
    found[0.0, view.height, size_figure(view.height, units)] = None
    return sorted(found, key=lambda each: each[1] - each[0])


def _counted_from(view: View, slot: SlotPlace) -> Side:
    """The side that a slot which lies is measured from: an end's datum, or where its part's line starts."""
    if view.datum is not None:
        return view.datum
    return next(line.start for line in view.lines if line.joint == slot.joint)
