"""Laying pieces on sheets so that every cut runs from edge to edge.

A sheet begins as one free rectangle. A piece goes into a corner of one, and two cuts, of which either may come
first, leave two smaller ones. Which rectangle, which way round and which cut first are a ``Manner``; the order of
the pieces is given. Pieces and sheets are reckoned a kerf larger than they are, so that neighbours leave room for
the saw. Lengths are whole nanometres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces of one size: along the sheet and across it as they may lie, the first not turned."""

    ways: tuple[tuple[int, int], ...]
    turned: tuple[bool, ...]
    count: int

    @property
    def area(self) -> int:
        """Its area, with the kerf."""
        length, width = self.ways[0]
        return length * width


@dataclass(frozen=True, slots=True)
class Sheet:
    """A stock: its room with one kerf, what one costs, and how many there are (None: as many as needed)."""

    length: int
    width: int
    cost: int
    most: int | None = None

    @property
    def area(self) -> int:
        """Its area, with the kerf."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece of a kind on a sheet, from the sheet's corner."""

    kind: int
    x: int
    y: int
    length: int
    width: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """One sheet of a stock and what lies on it."""

    stock: int
    laid: tuple[Laid, ...]

    def counts(self, kinds: int) -> tuple[int, ...]:
        """How many of each kind."""
        found = [0] * kinds
        for piece in self.laid:
            found[piece.kind] += 1
        return tuple(found)


class Fit(Enum):
    """Which free rectangle a piece takes: the one that leaves least on one side, on the other, or in all."""

    SHORT_SIDE = auto()
    LONG_SIDE = auto()
    AREA = auto()


class Split(Enum):
    """Which cut comes first: along the sheet, across, or what leaves the larger or the smaller rest whole."""

    ALONG = auto()
    ACROSS = auto()
    LARGER_REST = auto()
    SMALLER_REST = auto()


@dataclass(frozen=True, slots=True)
class Manner:
    """How pieces are laid. ``stocks`` are tried in this order where a new sheet is needed."""

    fit: Fit
    split: Split
    stocks: tuple[int, ...]


Free = tuple[int, int, int, int]
"""A free rectangle: x, y, length, width."""


class _Open:
    """A sheet that pieces are being laid on."""

    __slots__ = ("free", "laid", "stock")

    def __init__(self, stock: int, sheet: Sheet) -> None:
        self.stock = stock
        self.free: list[Free] = [(0, 0, sheet.length, sheet.width)]
        self.laid: list[Laid] = []

    def best(self, kind: Kind, fit: Fit) -> tuple[int, int, int] | None:
        """How ill the best free rectangle fits, its place, and which way round; None where none does."""
        found: tuple[int, int, int] | None = None
        for at, (_, _, length, width) in enumerate(self.free):
            for way, (along, across) in enumerate(kind.ways):
                if along <= length and across <= width:
                    if fit is Fit.AREA:
                        ill = length * width - along * across
                    elif fit is Fit.SHORT_SIDE:
                        ill = min(length - along, width - across)
                    else:
                        ill = max(length - along, width - across)
                    if found is None or ill < found[0]:
                        found = (ill, at, way)
        return found

    def lay(self, index: int, kind: Kind, at: int, way: int, split: Split) -> None:
        x, y, length, width = self.free.pop(at)
        along, across = kind.ways[way]
        self.laid.append(Laid(index, x, y, along, across, kind.turned[way]))
        if _first_along(split, length, width, along, across):
            rests = ((x + along, y, length - along, across), (x, y + across, length, width - across))
        else:
            rests = ((x + along, y, length - along, width), (x, y + across, along, width - across))
        self.free += [rest for rest in rests if rest[2] > 0 and rest[3] > 0]


def _first_along(split: Split, length: int, width: int, along: int, across: int) -> bool:
    """Whether the first cut runs along the sheet, beside the piece's long way."""
    if split is Split.ALONG:
        return True
    if split is Split.ACROSS:
        return False
    larger_along = length * (width - across) >= (length - along) * width
    return larger_along is (split is Split.LARGER_REST)


def lay_out(
    kinds: Sequence[Kind], sheets: Sequence[Sheet], order: Sequence[int], manner: Manner
) -> tuple[list[Layout], list[int]]:
    """The pieces, kinds in this order, on as many sheets as it takes; and those that no sheet was left for."""
    opened: list[_Open] = []
    left = [sheet.most for sheet in sheets]
    missing: list[int] = []
    for index in order:
        kind = kinds[index]
        best = _best_of(opened, kind, manner.fit)
        if best is None:
            stock = next((at for at in manner.stocks if left[at] != 0 and _takes(sheets[at], kind)), None)
            if stock is None:
                missing.append(index)
                continue
            number = left[stock]
            left[stock] = None if number is None else number - 1
            opened.append(_Open(stock, sheets[stock]))
            best = _best_of(opened[-1:], kind, manner.fit)
            assert best is not None
        sheet, at, way = best
        sheet.lay(index, kind, at, way, manner.split)
    return [Layout(sheet.stock, tuple(sheet.laid)) for sheet in opened], missing


def _best_of(opened: Sequence[_Open], kind: Kind, fit: Fit) -> tuple[_Open, int, int] | None:
    found: tuple[int, _Open, int, int] | None = None
    for sheet in opened:
        best = sheet.best(kind, fit)
        if best is not None and (found is None or best[0] < found[0]):
            found = (best[0], sheet, best[1], best[2])
    return None if found is None else found[1:]


def _takes(sheet: Sheet, kind: Kind) -> bool:
    return any(along <= sheet.length and across <= sheet.width for along, across in kind.ways)
