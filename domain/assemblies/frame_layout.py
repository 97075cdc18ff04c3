"""Where a railed frame's bars and openings lie: which run through, and what each end stands against.

At the corners the stiles run through, or the rails. Within, rows come first: rails from stile to stile and mid
stiles between them; or columns: mid stiles from rail to rail and mid rails between them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from domain.assemblies.openings import between, share_out
from domain.lengths import ZERO, Length
from domain.parts import Side
from domain.spec.assemblies import RailedFrame, Through


@dataclass(frozen=True, slots=True)
class Bar:
    """A stile or rail: ``start`` to ``stop`` along, ``low`` to ``high`` across, from the frame's left and bottom.

    ``outer`` is the side of the frame that it lies on, None within. ``meets`` are the places in the layout of the
    bars that its ends stand against, the left or lower one first; None where it runs through.
    """

    name: str
    upright: bool
    start: Length
    stop: Length
    low: Length
    high: Length
    outer: Side | None = None
    meets: tuple[int, int] | None = None
    group: int = 0
    """Bars of one row or column have one group: their joints are listed together."""

    @property
    def length(self) -> float:
        """From end to end, mm."""
        return (self.stop - self.start).mm

    @property
    def width(self) -> float:
        """Across, mm."""
        return (self.high - self.low).mm

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, low, right, high, mm."""
        along, across = (self.start.mm, self.stop.mm), (self.low.mm, self.high.mm)
        (left, right), (low, high) = (across, along) if self.upright else (along, across)
        return left, low, right, high


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening between bars, from the frame's left and bottom."""

    left: Length
    low: Length
    right: Length
    high: Length

    def along(self, bar: Bar) -> tuple[Length, Length]:
        """Where it begins and ends along a bar."""
        return (self.low, self.high) if bar.upright else (self.left, self.right)

    def across(self, bar: Bar) -> tuple[Length, Length]:
        """Where it begins and ends across a bar."""
        return (self.left, self.right) if bar.upright else (self.low, self.high)


@dataclass(frozen=True, slots=True)
class Layout:
    """Bars and openings in the order in which they are listed."""

    bars: tuple[Bar, ...]
    openings: tuple[Opening, ...]


Span = tuple[Length, Length]


def row_room(spec: RailedFrame, count: int) -> Length:
    """What so many openings above each other share."""
    return between(spec.height - spec.top_rail - spec.bottom_rail, spec.mid_rail or ZERO, count)


def column_room(spec: RailedFrame, count: int) -> Length:
    """What so many openings beside each other share."""
    return between(spec.width - spec.stile * 2, spec.mid_stile or ZERO, count)


def layout_of(spec: RailedFrame) -> Layout:
    """The bars of a frame that has been checked: stiles, rails from the top, then what lies between."""
    if spec.columns is not None:
        return _columns_first(spec)
    return _rows_first(spec)


def _outer(spec: RailedFrame) -> list[Bar]:
    """The left and the right stile, the top and the bottom rail; what is between stands against 0 to 3."""
    wide, high, stile = spec.width, spec.height, spec.stile
    inside, clear = (stile, wide - stile), (spec.bottom_rail, high - spec.top_rail)
    stiles_through = spec.through is Through.STILES
    up, across = ((ZERO, high), inside) if stiles_through else (clear, (ZERO, wide))
    at_stile, at_rail = (None, (0, 1)) if stiles_through else ((3, 2), None)
    return [
        Bar("stile", True, *up, ZERO, stile, Side.LEFT, at_stile),
        Bar("stile", True, *up, wide - stile, wide, Side.RIGHT, at_stile, 1),
        Bar("top rail", False, *across, high - spec.top_rail, high, Side.TOP, at_rail, 2),
        Bar("bottom rail", False, *across, ZERO, spec.bottom_rail, Side.BOTTOM, at_rail, 3),
    ]


def _rows(spec: RailedFrame, asked: list[Length]) -> Iterator[Span]:
    """Openings from the top: low and high edge."""
    y = spec.height - spec.top_rail
    for opening in asked:
        yield y - opening, y
        y = y - opening - (spec.mid_rail or ZERO)


def _columns(spec: RailedFrame, asked: list[Length]) -> Iterator[Span]:
    """Openings from the left: left and right edge."""
    x = spec.stile
    for opening in asked:
        yield x, x + opening
        x = x + opening + (spec.mid_stile or ZERO)


def _rows_first(spec: RailedFrame) -> Layout:
    left, right, top, bottom = _outer(spec)
    rail, post = spec.mid_rail or ZERO, spec.mid_stile or ZERO
    rows = list(_rows(spec, share_out([row.opening for row in spec.rows], row_room(spec, len(spec.rows)))))
    inside = (spec.stile, spec.width - spec.stile)
    bars = [left, right, top]
    bars += [
        Bar("mid rail", False, *inside, low - rail, low, None, (0, 1), 4 + index)
        for index, (low, _) in enumerate(rows[:-1])
    ]
    bars.append(bottom)
    last, openings = len(bars) - 1, list[Opening]()
    if spec.through is Through.RAILS:
        bars[:2] = [replace(stile, meets=(last, 2)) for stile in (left, right)]
    for index, (low, high) in enumerate(rows):
        asked = spec.rows[index].columns
        columns = list(_columns(spec, share_out(asked, column_room(spec, len(asked)))))
        openings += [Opening(start, low, stop, high) for start, stop in columns]
        bars += [
            Bar("mid stile", True, low, high, x, x + post, None, (3 + index, 2 + index), -1 - index)
            for _, x in columns[:-1]
        ]
    return Layout(tuple(bars), tuple(openings))


def _columns_first(spec: RailedFrame) -> Layout:
    bars, openings = _outer(spec), list[Opening]()
    rail, post, asked = spec.mid_rail or ZERO, spec.mid_stile or ZERO, spec.columns or ()
    columns = list(_columns(spec, share_out([one.opening for one in asked], column_room(spec, len(asked)))))
    clear = (spec.bottom_rail, spec.height - spec.top_rail)
    bars += [
        Bar("mid stile", True, *clear, x, x + post, None, (3, 2), 4 + index)
        for index, (_, x) in enumerate(columns[:-1])
    ]
    uprights = [0, *range(4, len(bars)), 1]
    for index, (start, stop) in enumerate(columns):
        heights = asked[index].rows
        rows = list(_rows(spec, share_out(heights, row_room(spec, len(heights)))))
        openings += [Opening(start, low, stop, high) for low, high in rows]
        ends = (uprights[index], uprights[index + 1])
        bars += [
            Bar("mid rail", False, start, stop, low - rail, low, None, ends, -1 - index) for low, _ in rows[:-1]
        ]
    return Layout(tuple(bars), tuple(openings))
