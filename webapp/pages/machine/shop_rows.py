"""The set-ups as they are read at the machine: large figures, and rows to tick off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import uuid4

from domain.lengths import Units
from domain.machine.changing import Change
from domain.machine.set_ups import Source
from domain.machine.sheet import Line, Sheet
from domain.machine.ticking import Tickable
from domain.trials.calibration import Corrections
from webapp.usecases.shop_sheet import ShopSheet
from webapp.wording import cautions
from webapp.wording.pieces import HANDS, LETTERS
from webapp.wording.set_up import PlaceWords, SetUpBlock, sheet_view

AT_THE_COLLET = frozenset({Change.CUTTER, Change.PROJECTION})
MANY, HANDFUL = 10, 5
"""From how many equal pieces on they are ticked by the handful, and how many that is."""
DISCONNECT = cautions.DISCONNECT.loud
NOTHING_LOOSE = cautions.NOTHING_LOOSE.loud + cautions.NOTHING_LOOSE.rest
"""One line beside the readings; the page of cautions has the rest."""


@dataclass(frozen=True, slots=True)
class TickRow:
    """A row to tick off. ``name`` with ``hand`` tells it from the others; ``how`` says how the piece lies.

    ``uuid`` is for the tick of a page without script; ``last`` is the tick that would be taken back, or "".
    """

    keys: tuple[str, ...]
    name: str
    hand: str
    letter: str
    how: str
    quantity: int
    done: int
    uuid: str
    last: str
    last_count: int

    @property
    def many(self) -> bool:
        """True where there are so many that they are also ticked by the handful."""
        return self.quantity >= MANY

    @property
    def rest(self) -> int:
        """How many are left to do."""
        return self.quantity - self.done

    @property
    def said(self) -> str:
        """The row in a few words, for a button that is heard without the rest of it."""
        return f"{self.name}, {self.hand}" if self.hand else self.name


@dataclass(frozen=True, slots=True)
class ShopBlock:
    """A set-up at the machine. ``last`` is the row that was ticked last, with ``last_uuid`` and how many."""

    key: str
    block: SetUpBlock
    rows: tuple[TickRow, ...]
    finished: bool
    last: TickRow | None
    last_uuid: str
    last_count: int
    caution: str

    @property
    def undoes(self) -> str:
        """What Undo takes back, in words; "" where there is nothing to."""
        return "" if self.last is None else undo_words(self.last_count, self.last.said)

    @property
    def done(self) -> int:
        """Rows' pieces that are ticked off, tests counted."""
        return sum(row.done for row in self.rows)

    @property
    def quantity(self) -> int:
        """Pieces to tick off, tests counted."""
        return sum(row.quantity for row in self.rows)


@dataclass(frozen=True, slots=True)
class ShopView:
    """Every set-up in the order of the sheet; ``first`` is the number of the one to go on with."""

    blocks: tuple[ShopBlock, ...]
    unmade: tuple[str, ...]

    @property
    def first(self) -> int:
        """The first set-up that is not finished; 0 where all are."""
        return next((each.block.number for each in self.blocks if not each.finished), 0)

    @property
    def done(self) -> int:
        """Everything ticked off."""
        return sum(each.done for each in self.blocks)

    @property
    def quantity(self) -> int:
        """Everything to tick off."""
        return sum(each.quantity for each in self.blocks)


def undo_words(count: int, said: str) -> str:
    """What a tick was for: the row, and how many of it where it was more than one; static/ticks.js says the same.

    >>> undo_words(1, "A1, left-hand"), undo_words(5, "A1, left-hand")
    ('A1, left-hand', '5 of A1, left-hand')
    """
    return said if count == 1 else f"{count} of {said}"


def shop_view(
    sheet: Sheet, sources: Sequence[Source], state: ShopSheet, units: Units, corrections: Corrections
) -> ShopView:
    """The sheet with what is ticked off of it; scales that are out are set by ``corrections``."""
    read = sheet_view(sheet, sources, units, corrections)
    blocks = tuple(_block(line, block, state) for line, block in zip(sheet.lines, read.blocks, strict=True))
    return ShopView(blocks, read.unmade)


def _block(line: Line, block: SetUpBlock, state: ShopSheet) -> ShopBlock:
    key = line.work.key
    rows = tuple(_rows(state.rows[key], block, state))
    last = state.last_of(key, (name for row in rows for name in row.keys))
    return ShopBlock(
        key=key,
        block=block,
        rows=rows,
        finished=state.finished(key),
        last=next((row for row in rows if last and last.piece in row.keys), None),
        last_uuid=last.uuid if last else "",
        last_count=last.count if last else 0,
        caution=DISCONNECT if AT_THE_COLLET & set(line.changes) else NOTHING_LOOSE,
    )


def _rows(work: Sequence[Tickable], block: SetUpBlock, state: ShopSheet) -> Iterator[TickRow]:
    for row in work:
        last = state.last_of(row.set_up, row.keys)
        batch, numbers = row.batch, (row.quantity, row.done(state.sums))
        if batch is None:
            words = (block.test.row, "", "", block.test.how)
        else:
            places = block.batches[batch.key]
            words = (batch.member.mark, HANDS[batch.hand], LETTERS[batch.hand], _how(places))
        yield TickRow(
            row.keys,
            *words,
            *numbers,
            uuid=str(uuid4()),
            last=last.uuid if last else "",
            last_count=last.count if last else 0,
        )


def _how(places: Sequence[PlaceWords]) -> str:
    """How the places of a row lie; what differs between them stands with the pieces that it is said of."""
    first = places[0]
    each = "; ".join(f"{one.pieces}: {one.place}, {one.at_fence} at the fence" for one in places)
    parts = [first.name, f"{first.joint}: {each}", f"{first.down} down"]
    return ", ".join([*parts, first.project] if first.project else parts)
