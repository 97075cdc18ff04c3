"""The figures round a view of the setting-out sheet: rows under it, each from one end; columns to its right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from domain.lengths import Mm, Units
from domain.parts import Side
from domain.setting_out.views import Channel, Fastened, View
from webapp.drawings.dimensions import GAP, dot, set_figure, size_figure, staggered, tick
from webapp.drawings.model import LETTER, LINE, Anchor, Box, Line, Role, Shape, Text, TextRole
from webapp.wording.setting_out import edge_name, stops_at

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
class Sheet:
    """What every part of the drawing needs to know."""

    view: View
    breaks: Breaks
    units: Units
    em: float

    def x(self, at: float) -> float:
        """Where a place along the view is drawn."""
        return self.breaks.x(at)

    @property
    def right(self) -> float:
        """Where the view ends in the drawing."""
        return self.x(self.view.width)


def across_view(view: View, channel: Channel) -> tuple[float, float]:
    """How high a groove lies in the view."""
    one, other = (view.at(channel.side, off) for off in (channel.low, channel.low + channel.width))
    return min(one, other), max(one, other)


def lengthwise(sheet: Sheet) -> Parts:
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
    centres = {row.centre: f"{row.sort.bare} " for row in view.fastened if not row.across}
    centres |= {slot.centre: "slot " for slot in view.slots if not slot.across}
    if centres:
        origin = 0.0 if view.datum is None else view.at(view.datum, 0.0)
        yield dict(sorted(centres.items())), origin
    for row in _rows_apart(view, across=True):
        yield {view.at(row.start, place): _called(view, row) for place in row.places}, view.at(row.start, 0.0)
    for entry in dict.fromkeys(slot.entry for slot in view.slots if slot.across):
        deep = {
            view.at(entry, slot.foot + slot.depth): "deep "
            for slot in view.slots
            if slot.across and slot.entry is entry
        }
        yield deep, 0.0 if entry is view.left else width


def _called(view: View, row: Fastened) -> str:
    """What stands before a fastening's figure; its joint too, where those of another stand elsewhere."""
    several = len({(other.start, other.places) for other in view.fastened}) > 1
    return f"{row.joint.rpartition('-')[2]} {row.sort.bare} " if several else f"{row.sort.bare} "


def _row(sheet: Sheet, places: Places, origin: float, y: float) -> tuple[list[Shape | Text], float]:
    em = sheet.em
    ends = [sheet.x(origin), *(sheet.x(place) for place in places)]
    parts: list[Shape | Text] = [Line(Role.DIMENSION, (min(ends), y), (max(ends), y)), dot((ends[0], y), em)]
    parts += [tick((x, y), em) for x in ends[1:]]
    labels = [
        (sheet.x(place), f"{what}{set_figure(abs(place - origin), sheet.units)}") for place, what in places.items()
    ]
    texts = staggered(labels, y - 0.9 * em, em, -1.25 * em)
    return [*parts, *texts], min(text.at[1] for text in texts)


def _whole(sheet: Sheet, y: float) -> Parts:
    em, right = sheet.em, sheet.right
    words = size_figure(sheet.view.width, sheet.units)
    yield Line(Role.DIMENSION, (0.0, y), (right, y))
    yield tick((0.0, y), em)
    yield tick((right, y), em)
    yield Text(TextRole.FIGURE, (right / 2, y - 0.85 * em), words, em)


def edges(sheet: Sheet) -> Parts:
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
    start += sum(max(each.right for each in one) for one in columns)
    for row in _rows_apart(view, across=False):
        texts = _figures_up(sheet, row, start)
        yield from texts
        yield from _running_up(sheet, row, start)
        start = max(text.box.right for text in texts) + 1.1 * em


def _rows_apart(view: View, *, across: bool) -> Iterable[Fastened]:
    """Rows of fastenings whose places differ."""
    return {(row.start, row.places): row for row in view.fastened if row.across is across}.values()


def _running_up(sheet: Sheet, row: Fastened, x: float) -> Parts:
    """Running dimensions upwards: a dot where they count from, a tick at every place."""
    ends = [sheet.view.at(row.start, place) for place in (0.0, *row.places)]
    yield Line(Role.DIMENSION, (x, min(ends)), (x, max(ends)))
    yield dot((x, ends[0]), sheet.em)
    yield from (tick((x, end), sheet.em) for end in ends[1:])


def _figures_up(sheet: Sheet, row: Fastened, x: float) -> list[Text]:
    """Their figures at the ticks, one that would touch another farther to the right."""
    em, texts = sheet.em, list[Text]()
    for place in row.places:
        words = f"{_called(sheet.view, row)}{set_figure(place, sheet.units)}"
        text = Text(TextRole.FIGURE, (x + 0.5 * em, sheet.view.at(row.start, place)), words, em, Anchor.START)
        while any(text.box.overlaps(other.box) for other in texts):
            text = replace(text, at=(text.box.right + GAP * em, text.at[1]))
        texts.append(text)
    return texts


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
            start = _counted_from(view, slot.joint)
            off = abs(slot.centre - view.at(start, 0.0))
            span(start, slot.centre, f"slot {set_figure(off, units)}")
        else:
            deep = Mm(slot.foot + slot.depth)
            span(slot.entry, view.at(slot.entry, deep), f"deep {set_figure(deep, units)}")
    for row in view.fastened:
        if row.across and not any(slot.across and slot.centre == row.centre for slot in view.slots):
            start = _counted_from(view, row.joint)
            off = abs(row.centre - view.at(start, 0.0))
            span(start, row.centre, f"{row.sort.bare} {set_figure(off, units)}")
    for line in view.lines:
        if line.across:
            for place in (line.far,) if line.flush else (line.near, line.far):
                span(line.start, place, set_figure(abs(place - view.at(line.start, 0.0)), units))
    for channel in view.channels:
        low, high = across_view(view, channel)
        far = high if channel.side is view.low else low
        words = f"{channel.kind.value} {size_figure(channel.low, units)} to"
        span(channel.side, far, f"{words} {size_figure(channel.low + channel.width, units)}")
    found[0.0, view.height, size_figure(view.height, units)] = None
    return sorted(found, key=lambda each: each[1] - each[0])


def _counted_from(view: View, joint: str) -> Side:
    """The side that slots which lie are measured from: an end's datum, or where their part's line starts."""
    if view.datum is not None:
        return view.datum
    return next(line.start for line in view.lines if line.joint == joint)
