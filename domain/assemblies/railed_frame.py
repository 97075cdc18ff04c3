"""Railed frames (face frames, doors): stiles and rails, what lies between them, and a joint at every end.

Rows are given from the top, columns from the left; ``frame_layout`` says what runs through. Grooves and rabbets
may run out at the ends of pieces that no other one stands against; in the others they stop there, so that the
mating face which a slot is milled into from the side stays whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from domain.assemblies.frame_layout import Bar, Layout, Opening, column_room, layout_of, row_room
from domain.assemblies.openings import check_openings
from domain.assemblies.parts_list import PartsList, grooves_stop, under
from domain.faces.face import Backing, Behind, MatingFace, between_ends
from domain.faces.region import Region, Void
from domain.lengths import Length, Mm
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Point, Side, Spot, rectangle
from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem
from domain.spec.assemblies import ONE_ROW, Column, Fit, FramePanel, RailedFrame, Through
from domain.spec.choices import Entry, KeyChoices

STILES = (Side.LEFT, Side.RIGHT)
OPPOSITE = {
    Side.LEFT: Side.RIGHT,
    Side.RIGHT: Side.LEFT,
    Side.BOTTOM: Side.TOP,
    Side.TOP: Side.BOTTOM,
}
ANY_ENTRY = (Entry.BACK, Entry.FRONT, Entry.BOTH)


def check(spec: RailedFrame) -> Iterator[Problem]:
    """Rails and stiles that leave openings, rows and columns that add up, a panel that fits its stock."""
    missing = tuple(_check_bars(spec))
    if missing:
        yield from missing
        return
    yield from under(spec.width.mm / 2, ("stile",), spec.stile.mm, "half the width")
    yield from under(
        (spec.height - spec.top_rail).mm, ("bottom_rail",), spec.bottom_rail.mm, "what the top rail leaves"
    )
    yield from _check_columns(spec, spec.columns) if spec.columns else _check_rows(spec)
    if spec.panel is not None:
        yield from _check_panel(spec, spec.panel)


def _check_bars(spec: RailedFrame) -> Iterator[Problem]:
    """Rows or columns, with the bars that stand between them."""
    if spec.columns is None:
        if len(spec.rows) > 1 and spec.mid_rail is None:
            yield Problem.of(("mid_rail",), "missing", ProblemCode.MISSING_BETWEEN_ROWS, rows_n=len(spec.rows))
        elif any(len(row.columns) > 1 for row in spec.rows) and spec.mid_stile is None:
            yield Problem.of(("mid_stile",), "missing", ProblemCode.MISSING_BETWEEN_COLUMNS)
        return
    count = len(spec.columns)
    if spec.rows != ONE_ROW:
        yield Problem.of(("columns",), count, ProblemCode.ROWS_OR_COLUMNS)
    elif count > 1 and spec.mid_stile is None:
        code = ProblemCode.MISSING_BETWEEN_THROUGH_COLUMNS
        yield Problem.of(("mid_stile",), "missing", code, columns_n=count)
    elif any(len(column.rows) > 1 for column in spec.columns) and spec.mid_rail is None:
        yield Problem.of(("mid_rail",), "missing", ProblemCode.MISSING_BETWEEN_ROWS_OF_COLUMN)


def _check_rows(spec: RailedFrame) -> Iterator[Problem]:
    paths: list[Path] = [("rows", index, "opening") for index in range(len(spec.rows))]
    yield from check_openings([row.opening for row in spec.rows], row_room(spec, len(spec.rows)), paths)
    for index, row in enumerate(spec.rows):
        paths = [("rows", index, "columns", column) for column in range(len(row.columns))]
        yield from check_openings(row.columns, column_room(spec, len(row.columns)), paths)


def _check_columns(spec: RailedFrame, columns: Sequence[Column]) -> Iterator[Problem]:
    paths: list[Path] = [("columns", index, "opening") for index in range(len(columns))]
    yield from check_openings([one.opening for one in columns], column_room(spec, len(columns)), paths)
    for index, column in enumerate(columns):
        paths = [("columns", index, "rows", row) for row in range(len(column.rows))]
        yield from check_openings(column.rows, row_room(spec, len(column.rows)), paths)


def _check_panel(spec: RailedFrame, panel: FramePanel) -> Iterator[Problem]:
    bars = [("stile", spec.stile), ("top_rail", spec.top_rail), ("bottom_rail", spec.bottom_rail)]
    bars += [(name, width) for name, width in _inner_bars(spec) if width is not None]
    for name, width in bars:
        cuts = 2 if name.startswith("mid") else 1
        yield from under(width.mm / cuts, ("panel", "depth"), panel.depth.mm, f"what {name} can give")
    yield from under(spec.thickness.mm, ("panel", "width"), panel.width.mm, "the frame's thickness")
    if panel.fit is Fit.GROOVE and panel.thickness > panel.width:
        yield Problem.of(
            ("panel", "thickness"),
            panel.thickness.mm,
            ProblemCode.MORE_THAN,
            what_text="the groove's width",
            most=panel.width.mm,
        )


def _inner_bars(spec: RailedFrame) -> list[tuple[str, Length | None]]:
    return [("mid_rail", spec.mid_rail), ("mid_stile", spec.mid_stile)]


@dataclass(frozen=True, slots=True)
class _End:
    """An end of a bar and the bar that it stands against, with their places in the layout."""

    bar: Bar
    at: int
    end: Side
    other: Bar
    against: int

    @property
    def start(self) -> Side:
        """Which edge of the bar the joint line is counted from: the outer one, else the lower or left one."""
        return self.bar.outer or (Side.LEFT if self.bar.upright else Side.BOTTOM)

    @property
    def offset(self) -> Mm:
        """How far that edge comes from the other bar's end."""
        if self.start in {Side.TOP, Side.RIGHT}:
            return (self.other.stop - self.bar.high).mm
        return (self.bar.low - self.other.start).mm

    @property
    def edge(self) -> Side:
        """What the other bar's edge is called that the end stands against."""
        return Side.INSIDE if self.other.outer else OPPOSITE[self.end]

    @property
    def line(self) -> tuple[Point, Point]:
        """Where they meet in the elevation, from the edge that it is counted from."""
        bar, low_end = self.bar, self.end in {Side.BOTTOM, Side.LEFT}
        across = (bar.low.mm, bar.high.mm) if self.start in {Side.BOTTOM, Side.LEFT} else (bar.high.mm, bar.low.mm)
        along = (bar.start if low_end else bar.stop).mm
        one, other = ((each, along) if bar.upright else (along, each) for each in across)
        return one, other


def _ends(bars: Sequence[Bar]) -> Iterator[_End]:
    """Every end that stands against another bar: of a row or column first all upper or left ones."""
    for _, group in groupby(enumerate(bars), key=lambda numbered: numbered[1].group):
        here = [(at, bar, bar.meets) for at, bar in group if bar.meets is not None]
        if here:
            sides = (Side.TOP, Side.BOTTOM) if here[0][1].upright else (Side.LEFT, Side.RIGHT)
            for end in sides:
                for at, bar, meets in here:
                    against = meets[0] if end in {Side.BOTTOM, Side.LEFT} else meets[1]
                    yield _End(bar, at, end, bars[against], against)


def expand(spec: RailedFrame, choices: KeyChoices) -> Expansion:
    """Every bar as the layout lists it; a joint at every end that stands against another one."""
    parts, layout = PartsList(spec, choices, "Face frame or door"), layout_of(spec)
    marks = [
        parts.member(bar.name, 1, bar.length, bar.width, spec.thickness.mm, stands=STILES * (bar.name == "stile"))
        for bar in layout.bars
    ]
    pieces = [parts.single(mark) for mark in marks]
    ends, lines = tuple(_ends(layout.bars)), []
    for one in ends:
        kind = JointKind.TEE if one.bar.outer is None else JointKind.BUTT
        place = "corner" if one.bar.outer else "mid-stile end" if one.bar.upright else "rail end"
        backings = (*_behind(spec, one, ends), *between_ends(one.bar.length))
        face = _end_face(spec, one.bar, backings)
        members = (marks[one.at], marks[one.against])
        joint = parts.joint(kind, place, 1, members, face, (Entry.BACK,), ANY_ENTRY)
        lines.append(JointLine(joint, *one.line))
        at_bar = Spot(pieces[one.at], one.end, one.start)
        at_other = Spot(pieces[one.against], one.edge, one.start, one.offset)
        parts.meet(joint, at_bar, at_other, OPPOSITE[one.end].way, OPPOSITE[one.start].way)
    panels: tuple[Outline, ...] = ()
    notes = []
    if spec.panel is not None:
        panels = tuple(_panels(spec.panel, parts, layout.openings))
        stop = grooves_stop("panel", spec.panel.fit, _run_through(spec, layout), spec.panel.depth.mm)
        notes = [stop, Note.of(NoteCode.PANEL_FULL)]
    outlines = tuple(rectangle(mark, *bar.box) for mark, bar in zip(marks, layout.bars, strict=True))
    return parts.expansion(
        Elevation("front", spec.width.mm, spec.height.mm, outlines, panels, tuple(lines)), notes
    )


def _end_face(spec: RailedFrame, bar: Bar, backings: tuple[Backing, ...]) -> MatingFace:
    """A bar's square end: x from the outer (or one) edge, v from the back; grooved on one edge or both."""
    thickness, width = spec.thickness.mm, bar.width
    voids: tuple[Void, ...] = ()
    if spec.panel is not None:
        depth, across = spec.panel.depth.mm, spec.panel.width.mm
        low = (thickness - across) / 2 if spec.panel.fit is Fit.GROOVE else 0.0
        voids = (Void(width - depth, width, low, low + across),)
        if bar.outer is None:
            voids = (Void(0.0, depth, low, low + across), *voids)
    # an outer bar's edge is flush with the end of the bar that it meets
    end_off = None if bar.outer is None else 0.0
    region = Region(width, thickness, voids=voids)
    return MatingFace(region, 90.0, (Entry.BACK, Entry.FRONT), backings, end_off=end_off)


def _behind(spec: RailedFrame, one: _End, ends: Sequence[_End]) -> tuple[Backing, ...]:
    """What the other bar has behind an end: its far edge, or what comes from there.

    Another end there shares the wood. Where none covers it, the next panel's groove or rabbet is cut into the
    far edge.
    """
    wood = one.other.width
    if one.other.outer is not None:
        return (Backing(wood, Behind.EDGE),)
    across = [each.bar for each in ends if each.against == one.against and each.end is not one.end]
    apart = min((abs((bar.low - one.bar.low).mm) for bar in across), default=one.bar.width)
    backings = []
    if apart < one.bar.width:
        backings.append(Backing(wood, Behind.OPPOSITE_SLOT))
    if apart > 0:
        cut = spec.panel.depth.mm if spec.panel else 0.0
        backings.append(Backing(wood - cut, Behind.EDGE))
    return tuple(backings)


def _run_through(spec: RailedFrame, layout: Layout) -> str:
    """Which pieces no other one stands against, so that a groove may run through in them."""
    columns_first = spec.columns is not None
    short = "mid rail" if columns_first else "mid stile"
    if any(bar.name == short for bar in layout.bars):
        return short
    if columns_first is (spec.through is Through.RAILS):
        # the outer bars of the other direction carry all of these
        return "stile" if columns_first else "rail"
    inner = [bar.name for bar in layout.bars if bar.outer is None]
    return inner[0] if inner else "rail" if columns_first else "stile"


def _panels(panel: FramePanel, parts: PartsList, openings: Sequence[Opening]) -> Iterator[Outline]:
    grown = panel.depth * 2
    for one in openings:
        length, width = (one.high - one.low + grown).mm, (one.right - one.left + grown).mm
        mark = parts.panel("panel", 1, length, width, panel.thickness.mm)
        yield rectangle(mark, one.left.mm, one.low.mm, one.right.mm, one.high.mm)
