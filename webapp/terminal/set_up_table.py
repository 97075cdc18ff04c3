"""The set-up sheet as lines of text, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units, format_fine, format_mm
from domain.machine.hands import Hand
from domain.machine.set_ups import Milling, Piece
from domain.machine.sheet import Line, Sheet
from webapp.terminal.takeoff_table import Row, columns
from webapp.wording.joint import tool

_SET_UPS: Row = (
    "Set-up",
    "Cutter",
    "Fence",
    "Projection",
    "Fence reading",
    "Depth stop",
    "Clamp height",
    "Left",
    "Right",
    "Minutes",
)
_PIECES: Row = ("Piece", "", "Joint", "Where", "Down", "At the fence", "Left", "Right")


def set_up_tables(sheet: Sheet, units: Units, *, several: bool) -> Iterator[str]:
    """The set-ups in order, then the pieces of each; ``several`` projects are named at their pieces."""
    yield from columns([_SET_UPS, *(_set_up(line, units) for line in sheet.lines)], left=3)
    yield ""
    yield _verdict(sheet)
    for line in sheet.lines:
        yield ""
        yield from _work(line, units, several=several)


def _verdict(sheet: Sheet) -> str:
    taken = f"Setting up takes {format_mm(sheet.minutes)} minutes"
    if sheet.proven:
        return f"{taken}; no order takes less."
    return f"{taken}; no order takes less than {format_mm(sheet.bound)}."


def _set_up(line: Line, units: Units) -> Row:
    milling, set_up = line.milling, line.milling.set_up
    readings = (set_up.projection, set_up.fence_reading, set_up.depth_stop, set_up.clamp_height)
    return (
        str(line.number),
        tool(set_up.section, set_up.cutter),
        f"{'mitre' if set_up.mitred else 'butt'} {format_mm(set_up.angle)}°",
        *(format_fine(reading, units) for reading in readings),
        str(milling.left),
        str(milling.right),
        format_mm(line.minutes),
    )


def _work(line: Line, units: Units, *, several: bool) -> Iterator[str]:
    yield f"Set-up {line.number}: {_what_changes(line)}. {_tests(line.milling)}"
    yield from columns([_PIECES, *_piece_rows(line.milling, several=several)], left=6)
    for note in line.milling.notes:
        yield f"  {note.text(units)}"


def _what_changes(line: Line) -> str:
    if line.number == 1:
        return "set everything"
    return "change " + ", ".join(change.value.replace("_", " ") for change in line.changes)


def _tests(milling: Milling) -> str:
    if not milling.tests:
        return "No test joint is asked for."
    return f"Test joints first: {milling.tests}."


def _piece_rows(milling: Milling, *, several: bool) -> Iterator[Row]:
    """A row for every member's place, its two hands beside each other."""
    rows: dict[tuple[str, ...], dict[Hand, int]] = {}
    for piece in milling.pieces:
        counts = rows.setdefault(_place(piece, several=several), {})
        counts[piece.hand] = counts.get(piece.hand, 0) + piece.quantity
    for place, counts in rows.items():
        yield (*place, str(counts.get(Hand.LEFT, 0)), str(counts.get(Hand.RIGHT, 0)))


def _place(piece: Piece, *, several: bool) -> tuple[str, ...]:
    return (
        f"{piece.project}, {piece.member.mark}" if several else piece.member.mark,
        piece.member.name,
        piece.joint,
        piece.place.value.replace("_", " "),
        ", then ".join(entry.value for entry in piece.entries),
        piece.datum.value.replace("_", " "),
    )
