"""Railed frames (face frames, doors): stiles run through, rails between, mid stiles between rails.

Rows are given from the top, columns from the left. Grooves and rabbets may run out at the ends of rails
and mid stiles; in a stile they stop at the rails, and in a rail at its mid stiles, so that the mating face
which a slot is milled into from the side stays whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.assemblies.openings import between, check_openings, share_out
from domain.assemblies.parts_list import PartsList, grooves_stop, under
from domain.faces.face import Backing, Behind, MatingFace, between_ends
from domain.faces.region import Region, Void
from domain.lengths import ZERO, Length, Mm
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Side, Single, Spot, rectangle
from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem
from domain.spec.assemblies import Fit, FramePanel, RailedFrame
from domain.spec.choices import Entry, KeyChoices

ANY_ENTRY = (Entry.BACK, Entry.FRONT, Entry.BOTH)


def check(spec: RailedFrame) -> Iterator[Problem]:
    """Rails and stiles that leave openings, rows and columns that add up, a panel that fits its stock."""
    if len(spec.rows) > 1 and spec.mid_rail is None:
        yield Problem.of(("mid_rail",), "missing", ProblemCode.MISSING_BETWEEN_ROWS, rows_n=len(spec.rows))
        return
    if any(len(row.columns) > 1 for row in spec.rows) and spec.mid_stile is None:
        yield Problem.of(("mid_stile",), "missing", ProblemCode.MISSING_BETWEEN_COLUMNS)
        return
    yield from under(spec.width.mm / 2, ("stile",), spec.stile.mm, "half the width")
    yield from under(
        (spec.height - spec.top_rail).mm, ("bottom_rail",), spec.bottom_rail.mm, "what the top rail leaves"
    )
    paths: list[Path] = [("rows", index, "opening") for index in range(len(spec.rows))]
    yield from check_openings([row.opening for row in spec.rows], _row_room(spec), paths)
    for index, row in enumerate(spec.rows):
        paths = [("rows", index, "columns", column) for column in range(len(row.columns))]
        yield from check_openings(row.columns, _column_room(spec, len(row.columns)), paths)
    if spec.panel is not None:
        yield from _check_panel(spec, spec.panel)


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


def _row_room(spec: RailedFrame) -> Length:
    inside = spec.height - spec.top_rail - spec.bottom_rail
    return between(inside, spec.mid_rail or ZERO, len(spec.rows))


def _column_room(spec: RailedFrame, count: int) -> Length:
    return between(spec.width - spec.stile * 2, spec.mid_stile or ZERO, count)


@dataclass(frozen=True, slots=True)
class _Bar:
    """A rail, as the mid stiles above and below it see it: y of its lower edge, its width.

    ``upper`` and ``lower`` say what its edges look into.
    """

    piece: Single
    y: float
    width: float
    upper: Side
    lower: Side

    @property
    def mark(self) -> str:
        """Its mark."""
        return self.piece.mark


def expand(spec: RailedFrame, choices: KeyChoices) -> Expansion:
    """Stiles, rails from the top, mid stiles row by row; a joint at every rail end and mid-stile end."""
    parts = PartsList(spec, choices, "Face frame or door")
    thickness, height, inside = spec.thickness.mm, spec.height.mm, (spec.width - spec.stile * 2).mm
    stile = parts.member("stile", 2, height, spec.stile.mm, thickness, stands=(Side.LEFT, Side.RIGHT))
    stiles = (parts.single(stile), parts.single(stile))
    rows = share_out([row.opening for row in spec.rows], _row_room(spec))
    bars = _rails(spec, parts, inside, rows)
    drawing = _Drawing(spec, stile)
    for index, bar in enumerate(bars):
        inner = 0 < index < len(bars) - 1
        kind, place = (JointKind.TEE, "rail end") if inner else (JointKind.BUTT, "corner")
        backings = (Backing(spec.stile.mm, Behind.EDGE), *between_ends(inside))
        face = _end_face(spec, bar.width, 2 if inner else 1, backings)
        joint = parts.joint(kind, place, 2, (bar.mark, stile), face, (Entry.BACK,), ANY_ENTRY)
        drawing.rail(bar, joint, inner_edge_down=index == 0)
        _meet_stiles(parts, joint, bar, stiles, top=index == 0)
    for index, row in enumerate(spec.rows):
        openings = share_out(row.columns, _column_room(spec, len(row.columns)))
        _mid_stiles(spec, parts, drawing, bars, index, openings, rows[index])
    notes = []
    if spec.panel is not None:
        _panels(spec, spec.panel, parts, drawing, bars, rows)
        # a rail's groove would run through under a mid stile's end
        through = "mid stile" if any(len(row.columns) > 1 for row in spec.rows) else "rail"
        stop = grooves_stop("panel", spec.panel.fit, through, spec.panel.depth.mm)
        notes = [stop, Note.of(NoteCode.PANEL_FULL)]
    return parts.expansion(drawing.elevation(), notes)


def _meet_stiles(parts: PartsList, joint: str, bar: _Bar, stiles: tuple[Single, Single], *, top: bool) -> None:
    """A rail between both stiles, counted from its upper edge at the top, else from its lower."""
    start, away, up = (Side.TOP, Side.BOTTOM, 0.0) if top else (Side.BOTTOM, Side.TOP, bar.y)
    for stile, end, into in zip(stiles, (Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT), strict=True):
        at_rail, at_stile = Spot(bar.piece, end, start), Spot(stile, Side.INSIDE, start, Mm(up))
        parts.meet(joint, at_rail, at_stile, into.way, away.way)


def _rails(spec: RailedFrame, parts: PartsList, inside: float, rows: list[Length]) -> list[_Bar]:
    """Every rail from the top with its lower edge's y."""
    widths = [spec.top_rail, *[spec.mid_rail or ZERO] * (len(rows) - 1), spec.bottom_rail]
    names = ["top rail", *["mid rail"] * (len(rows) - 1), "bottom rail"]
    y, bars = spec.height, []
    for index, (name, width) in enumerate(zip(names, widths, strict=True)):
        y = y - width
        mark = parts.member(name, 1, inside, width.mm, spec.thickness.mm)
        upper = Side.OUTSIDE if index == 0 else Side.TOP if index < len(rows) else Side.INSIDE
        lower = Side.OUTSIDE if index == len(rows) else Side.BOTTOM if index else Side.INSIDE
        bars.append(_Bar(parts.single(mark), y.mm, width.mm, upper, lower))
        if index < len(rows):
            y = y - rows[index]
    return bars


def _end_face(spec: RailedFrame, width: float, grooved: int, backings: tuple[Backing, ...]) -> MatingFace:
    """A bar's square end: x from the outer (or one) edge, v from the back; grooved on one edge or both."""
    thickness = spec.thickness.mm
    voids: tuple[Void, ...] = ()
    if spec.panel is not None:
        depth, across = spec.panel.depth.mm, spec.panel.width.mm
        low = (thickness - across) / 2 if spec.panel.fit is Fit.GROOVE else 0.0
        voids = (Void(width - depth, width, low, low + across),)
        if grooved == 2:
            voids = (Void(0.0, depth, low, low + across), *voids)
    return MatingFace(Region(width, thickness, voids=voids), 90.0, (Entry.BACK, Entry.FRONT), backings)


def _mid_stiles(
    spec: RailedFrame,
    parts: PartsList,
    drawing: _Drawing,
    bars: list[_Bar],
    index: int,
    openings: list[Length],
    height: Length,
) -> None:
    if len(openings) == 1 or spec.mid_stile is None:
        return
    width, count = spec.mid_stile.mm, len(openings) - 1
    mark = parts.member("mid stile", count, height.mm, width, spec.thickness.mm)
    above, below = bars[index], bars[index + 1]
    xs = list(_bar_edges(spec, openings))
    pieces = [parts.single(mark) for _ in xs]
    for bar, other_row, end_y, end, edge in (
        (above, index - 1, above.y, Side.TOP, above.lower),
        (below, index + 1, below.y + below.width, Side.BOTTOM, below.upper),
    ):
        into = Side.BOTTOM if end is Side.TOP else Side.TOP
        for x, piece in zip(xs, pieces, strict=True):
            backings = (*_behind_mid_stile(spec, bar, other_row, x), *between_ends(height.mm))
            face = _end_face(spec, width, 2, backings)
            joint = parts.joint(
                JointKind.TEE, "mid-stile end", 1, (mark, bar.mark), face, (Entry.BACK,), ANY_ENTRY
            )
            drawing.mid_stile_end(joint, x, x + width, end_y)
            at_rail = Spot(bar.piece, edge, Side.LEFT, (Length.from_mm(x) - spec.stile).mm)
            parts.meet(joint, Spot(piece, end, Side.LEFT), at_rail, into.way, Side.RIGHT.way)
    for x in xs:
        drawing.mid_stile(mark, x, x + width, below.y + below.width, above.y)


def _bar_edges(spec: RailedFrame, openings: list[Length]) -> Iterator[float]:
    """The left edge of every mid stile of a row."""
    x = spec.stile
    for opening in openings[:-1]:
        x = x + opening
        yield x.mm
        x = x + (spec.mid_stile or ZERO)


def _behind_mid_stile(spec: RailedFrame, bar: _Bar, row: int, x: float) -> tuple[Backing, ...]:
    """What the rail has behind a mid stile at ``x``; ``row`` is the one beyond the rail, if any.

    Another mid stile there shares the wood. Where none covers it, the next panel's groove or rabbet is
    cut into the rail's far edge.
    """
    if not 0 <= row < len(spec.rows) or spec.mid_stile is None:
        return (Backing(bar.width, Behind.EDGE),)
    columns = spec.rows[row].columns
    openings = share_out(columns, _column_room(spec, len(columns)))
    apart = min((abs(edge - x) for edge in _bar_edges(spec, openings)), default=spec.mid_stile.mm)
    backings = []
    if apart < spec.mid_stile.mm:
        backings.append(Backing(bar.width, Behind.OPPOSITE_SLOT))
    if apart > 0:
        cut = spec.panel.depth.mm if spec.panel else 0.0
        backings.append(Backing(bar.width - cut, Behind.EDGE))
    return tuple(backings)


def _panels(
    spec: RailedFrame,
    panel: FramePanel,
    parts: PartsList,
    drawing: _Drawing,
    bars: list[_Bar],
    rows: list[Length],
) -> None:
    grown = panel.depth * 2
    for index, row in enumerate(spec.rows):
        openings = share_out(row.columns, _column_room(spec, len(row.columns)))
        edges = [spec.stile.mm, *(x + (spec.mid_stile or ZERO).mm for x in _bar_edges(spec, openings))]
        for x, opening in zip(edges, openings, strict=True):
            length, width = (rows[index] + grown).mm, (opening + grown).mm
            mark = parts.panel("panel", 1, length, width, panel.thickness.mm)
            drawing.panel(mark, x, bars[index].y - rows[index].mm, x + opening.mm, bars[index].y)


class _Drawing:
    """The elevation as it is drawn up, piece by piece."""

    def __init__(self, spec: RailedFrame, stile: str) -> None:
        self._spec = spec
        width, height, across = spec.width.mm, spec.height.mm, spec.stile.mm
        self._members = [
            rectangle(stile, 0.0, 0.0, across, height),
            rectangle(stile, width - across, 0.0, width, height),
        ]
        self._panels: list[Outline] = []
        self._joints: list[JointLine] = []

    def rail(self, bar: _Bar, joint: str, *, inner_edge_down: bool) -> None:
        left, right = self._spec.stile.mm, (self._spec.width - self._spec.stile).mm
        self._members.append(rectangle(bar.mark, left, bar.y, right, bar.y + bar.width))
        start, end = (bar.y + bar.width, bar.y) if inner_edge_down else (bar.y, bar.y + bar.width)
        self._joints += [JointLine(joint, (x, start), (x, end)) for x in (left, right)]

    def mid_stile(self, mark: str, left: float, right: float, low: float, high: float) -> None:
        self._members.append(rectangle(mark, left, low, right, high))

    def mid_stile_end(self, joint: str, left: float, right: float, y: float) -> None:
        self._joints.append(JointLine(joint, (left, y), (right, y)))

    def panel(self, mark: str, left: float, low: float, right: float, high: float) -> None:
        self._panels.append(rectangle(mark, left, low, right, high))

    def elevation(self) -> Elevation:
        width, height = self._spec.width.mm, self._spec.height.mm
        members, panels, joints = tuple(self._members), tuple(self._panels), tuple(self._joints)
        return Elevation("front", width, height, members, panels, joints)
