"""A cutting plan as every face says it: each bar and sheet with its pieces, its cuts, and what is left to keep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting
from domain.cutting.laid import LaidBar, laid_bar
from domain.cutting.plan import BarPlan, CutBar, CutSheet, SheetPlan
from domain.cutting.request import BarItem, SheetItem
from domain.cutting.sawing import Rect, SawnSheet, sawn_sheet, worth_keeping
from domain.lengths import ZERO, Length, Units
from webapp.wording.cutting import bar_pieces, cost_words, stock_words, total_cost, unplaced_words
from webapp.wording.figures import by, size
from webapp.wording.money import format_money

HEADINGS = ("Pieces in order", "Left over")
ABOUT = (
    "Every bar begins with its trim, and a kerf is counted between neighbours. Pieces are sawn in the order in"
    " which they stand; lengths are rough ones, to the long points."
)
ABOUT_SHEETS = (
    "Every cut goes through what lies on the saw from edge to edge. Rip is along the sheet's length, crosscut"
    " across it; a cut is measured from the part's lower or left edge as drawn, and its kerf falls beyond."
)
KEEP = "keep"
WASTE = "waste"


@dataclass(frozen=True, slots=True)
class BarWords:
    """So many bars cut alike: ``title`` is how many of what; ``left`` what is over, ``kept``: to be kept."""

    title: str
    times: int
    stock: str
    pieces: str
    lengths: str
    left: str
    kept: bool
    laid: LaidBar


@dataclass(frozen=True, slots=True)
class CutWords:
    """One cut of a sheet, by its number: what is done to which part, and what falls free."""

    number: int
    says: str


@dataclass(frozen=True, slots=True)
class SheetWords:
    """So many sheets cut alike, with their cuts in order and the offcuts that are kept."""

    title: str
    times: int
    stock: str
    trim: str
    cuts: tuple[CutWords, ...]
    pieces: str
    left: str
    kept: tuple[str, ...]
    size: tuple[Length, Length]
    sawn: SawnSheet


@dataclass(frozen=True, slots=True)
class ItemWords:
    """The plan of one wood. ``says`` is what it takes and what is proven; ``missing`` what is not in the plan.

    ``remarks`` are what is to be said of the wood before that.
    """

    key: str
    item: str
    says: str
    proven: bool
    facts: str
    bars: tuple[BarWords, ...]
    sheets: tuple[SheetWords, ...]
    remarks: tuple[str, ...]
    missing: tuple[str, ...]
    stock: str


@dataclass(frozen=True, slots=True)
class CuttingWords:
    """The whole plan. ``total`` is what all woods with prices cost, "" where none has one."""

    items: tuple[ItemWords, ...]
    total: str


def cutting_words(asked: Stocked, cutting: Cutting, units: Units) -> CuttingWords:
    """A plan of a cut list in words, bars first."""
    request, said = asked.request, list[ItemWords]()
    for bar, plan in zip(request.bars, cutting.bars, strict=True):
        rows = tuple(_bar(bar, cut, units) for cut in plan.cuts)
        said.append(_item(len(said), bar, plan, request.currency, units, asked, bars=rows))
    for sheet, layout in zip(request.sheets, cutting.sheets, strict=True):
        sheets = tuple(_sheet(sheet, cut, units) for cut in layout.cuts)
        said.append(_item(len(said), sheet, layout, request.currency, units, asked, sheets=sheets))
    total = total_cost(request, cutting)
    return CuttingWords(
        tuple(said),
        "" if total is None else format_money(total, request.currency),
    )


def _item(
    number: int,
    item: BarItem | SheetItem,
    plan: BarPlan | SheetPlan,
    currency: str,
    units: Units,
    asked: Stocked,
    *,
    bars: tuple[BarWords, ...] = (),
    sheets: tuple[SheetWords, ...] = (),
) -> ItemWords:
    return ItemWords(
        key=f"wood-{number + 1}",
        item=item.item,
        says=cost_words(plan, item, currency) if plan.cuts else "",
        proven=plan.proven,
        facts=_facts(item, units),
        bars=bars,
        sheets=sheets,
        remarks=tuple(remark.text(units) for remark in asked.remarks if remark.item == item.item),
        missing=tuple(f"{unplaced_words(each, units)}." for each in plan.unplaced) if item.stock else (),
        stock="from the stockroom" if item.item in asked.shops else "",
    )


def _facts(item: BarItem | SheetItem, units: Units) -> str:
    """What is counted on: kerf, trim, what is kept."""
    said = [f"Kerf {size(item.kerf, units)}"]
    if item.trim > ZERO:
        where = "each end" if isinstance(item, BarItem) else "each edge"
        said.append(f"trim {size(item.trim, units)} at {where}")
    if item.least_offcut > ZERO:
        said.append(f"offcuts are kept from {size(item.least_offcut, units)}")
    if isinstance(item, BarItem) and item.nest_width is not None:
        said.append("pieces lie tip to tip: turn the stock over after every cut")
    return f"{', '.join(said)}."


def _title(times: int, stock: str) -> str:
    return stock if times == 1 else f"{times} × {stock}"


def _bar(item: BarItem, cut: CutBar, units: Units) -> BarWords:
    laid, stock = laid_bar(item, cut), stock_words(item.stock[cut.stock], units)
    lengths = {piece.mark: piece.length for piece in item.pieces}
    lengths |= {mark: length for match in item.matched for mark, length in match.together}
    each = dict.fromkeys(mark for mark, _ in cut.pieces)
    return BarWords(
        title=_title(cut.times, stock),
        times=cut.times,
        stock=stock,
        pieces=bar_pieces(cut),
        lengths=", ".join(f"{mark} {size(lengths[mark], units)}" for mark in each),
        left=_left(laid.offcut, item.least_offcut, units),
        kept=laid.kept,
        laid=laid,
    )


def _left(offcut: Length, least: Length, units: Units) -> str:
    word = KEEP if offcut >= least else WASTE
    return f"{size(offcut, units)}, {word}" if least > ZERO else str(size(offcut, units))


def _sheet(item: SheetItem, cut: CutSheet, units: Units) -> SheetWords:
    sawn, stock = sawn_sheet(item, cut), stock_words(item.stock[cut.stock], units)
    trim = f"Trim all four edges by {size(item.trim, units)}." if item.trim > ZERO else ""
    marks: dict[str, int] = {}
    for piece in cut.placed:
        marks[piece.mark] = marks.get(piece.mark, 0) + 1
    kept = tuple(by(units, part.length, part.width) for part in worth_keeping(sawn.offcuts, item.least_offcut))
    return SheetWords(
        title=_title(cut.times, stock),
        times=cut.times,
        stock=stock,
        trim=trim,
        cuts=tuple(CutWords(number, says) for number, says in enumerate(_cuts(sawn, units), start=1)),
        pieces=", ".join(mark if count == 1 else f"{mark} × {count}" for mark, count in marks.items()),
        left="; ".join(kept) or "no offcut to keep",
        kept=kept,
        size=(item.stock[cut.stock].length, item.stock[cut.stock].width),
        sawn=sawn,
    )


def _cuts(sawn: SawnSheet, units: Units) -> Iterator[str]:
    """Every cut in words; parts that are cut again have letters."""
    names = {part: piece.mark for part, piece in sawn.pieces}
    offcuts, letters = set(sawn.offcuts), _letters()
    names[sawn.trimmed] = names.get(sawn.trimmed, "the sheet")
    for cut in sawn.cuts:
        falls = [_falls(part, names, offcuts, letters, units) for part in (cut.near, cut.far) if part]
        what = "Rip" if cut.along else "Crosscut"
        yield f"{what} {names[cut.of]} at {size(cut.at, units)}: {' and '.join(falls) or 'only dust is left'}."


def _falls(part: Rect, names: dict[Rect, str], offcuts: set[Rect], letters: Iterator[str], units: Units) -> str:
    if part in offcuts:
        return f"an offcut of {by(units, part.length, part.width)}"
    if part in names:
        return names[part]
    names[part] = next(letters)
    return f"{names[part]} ({by(units, part.length, part.width)})"


def _letters() -> Iterator[str]:
    """Names for parts that are cut again: part a, part b … part z, part aa."""
    number = 0
    while True:
        number += 1
        name, rest = "", number
        while rest:
            rest, digit = divmod(rest - 1, 26)
            name = chr(ord("a") + digit) + name
        yield f"part {name}"


def offcut_labels(words: Sequence[ItemWords], units: Units) -> Iterator[tuple[str, str]]:
    """A label for every offcut to keep: its wood, and its size."""
    for item in words:
        for bar in item.bars:
            if bar.kept:
                yield from [(item.item, str(size(bar.laid.offcut, units)))] * bar.times
        for sheet in item.sheets:
            for kept in sheet.kept:
                yield from [(item.item, kept)] * sheet.times
