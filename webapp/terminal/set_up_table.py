"""The set-up sheet as lines of text, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from domain.lengths import Units
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet
from webapp.terminal.result_tables import Row, columns
from webapp.wording.set_up import CHANGES, Handed, PieceRow, SetUpBlock, sheet_view

_SET_UPS: Row = ("Set-up", *(name.capitalize() for name in CHANGES.values()), "Left", "Right", "Minutes")
_PIECES: Row = ("Piece", "", "Joint", "Slotted in its", "At the fence", "Down", "L", "R")


def set_up_tables(sheet: Sheet, sources: Sequence[Source], units: Units) -> Iterator[str]:
    """The set-ups in order, then the pieces of each; several projects are named at their pieces."""
    view = sheet_view(sheet, sources, units)
    yield from columns([_SET_UPS, *map(_set_up, view.blocks)], left=2)
    yield ""
    yield f"{view.minutes} of changing. {view.certainty}"
    for block in view.blocks:
        yield ""
        yield from _work(block)


def _set_up(block: SetUpBlock) -> Row:
    figures = (reading.value for reading in block.readings)
    return (str(block.number), *figures, str(block.left), str(block.right), block.minutes)


def _work(block: SetUpBlock) -> Iterator[str]:
    yield f"Set-up {block.number}: {block.change}. {block.test.sentence}"
    yield from columns([_PIECES, *map(_piece, block.pieces)], left=len(_PIECES))
    if block.lie:
        yield f"  {block.lie}"
    for note in block.notes:
        yield f"  {note}"


def _piece(row: PieceRow) -> Row:
    mark = f"{row.project}, {row.member}" if row.project else row.member
    return (mark, row.name, row.joint, row.place, row.at_fence, row.down, _handed(row.left), _handed(row.right))


def _handed(found: Handed) -> str:
    return f"{found.count}: {found.pieces}" if found.count else "–"
