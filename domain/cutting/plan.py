"""A cutting plan: which bars are cut, how, and what is left; what could not be placed, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from domain.lengths import Length, Units
from domain.sayings import Code, Figures, worded


class WhyUnplaced(Code):
    """Why pieces are in no plan."""

    NO_STOCK = ("no_stock", "there is no stock to cut it from")
    TOO_LONG = ("too_long", "no stock is long enough; the shortest that would do is {needed}")
    TOO_LARGE = ("too_large", "no sheet is large enough; the smallest that would do is {length} x {width}")
    GRAIN = (
        "grain",
        "it would fit turned, which its grain forbids; the smallest sheet that would do is {length} x {width}",
    )
    NONE_LEFT = ("none_left", "no stock that is long enough is left over for it; {needed} would do")
    NO_SHEET_LEFT = ("no_sheet_left", "no sheet is left over for it; one of {length} x {width} would do")


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Pieces of a mark that no stock is left for."""

    mark: str
    count: int
    code: WhyUnplaced
    figures: Figures = ()

    def why(self, units: Units = Units.MM) -> str:
        """Why, in words."""
        return worded(self.code, self.figures, units)


@dataclass(frozen=True, slots=True)
class CutBar:
    """So many bars of a stock, cut alike: pieces by mark, in the order they are sawn.

    ``asked`` has the same as the request asks for it: what comes from one length has one mark there.
    ``left`` is what they leave of the bar between its trims; the saw takes a kerf of that where it is sawn free.
    """

    stock: int
    times: int
    pieces: tuple[tuple[str, int], ...]
    left: Length
    asked: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece on a sheet: x along the sheet's length and y across it, from its corner before trimming.

    ``turned``: the piece's length lies across the sheet.
    """

    mark: str
    x: Length
    y: Length
    length: Length
    width: Length
    turned: bool

    @property
    def along(self) -> Length:
        """How far it goes along the sheet."""
        return self.width if self.turned else self.length

    @property
    def across(self) -> Length:
        """How far it goes across the sheet."""
        return self.length if self.turned else self.width


@dataclass(frozen=True, slots=True)
class CutSheet:
    """So many sheets of a stock, cut alike."""

    stock: int
    times: int
    placed: tuple[Placed, ...]


Cut = TypeVar("Cut", CutBar, CutSheet)


@dataclass(frozen=True, slots=True)
class Plan(Generic[Cut]):
    """How an item's stock is cut. ``cost`` and ``bound`` in minor units; where no stock has a price, in number."""

    item: str
    cuts: tuple[Cut, ...]
    cost: int
    bound: int
    unplaced: tuple[Unplaced, ...]

    @property
    def used(self) -> int:
        """Bars or sheets in all."""
        return sum(cut.times for cut in self.cuts)

    @property
    def proven(self) -> bool:
        """True where no plan for what is placed costs less."""
        return self.cost == self.bound


BarPlan = Plan[CutBar]
SheetPlan = Plan[CutSheet]
