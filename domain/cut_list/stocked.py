"""A cut list with what it may be cut from: the cutting request of one project or several.

A wood is cut from what its project says (``Project.stock``): an entry by its name, else the one without a name;
where it says nothing, from what the shop has and can buy. Of several projects everything that any of them names.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from domain.cut_list.listing import CutList, Group
from domain.cut_list.part import CutPart, Sort
from domain.cut_list.to_cut import to_cut
from domain.cutting.request import (
    TAPERS_ALIKE,
    BarItem,
    BarMatch,
    BarPiece,
    BarStock,
    CuttingRequest,
    SheetItem,
    SheetStock,
)
from domain.lengths import Length, Units
from domain.sayings import Code, Figures, worded
from domain.spec.wood import WoodStock, WoodsToCut, WoodToCut
from domain.timber.item_names import item_key


class CuttingNote(Code):
    """What is to be said of a wood before it is planned."""

    NO_STOCK = (
        "no_stock",
        "There is no stock of {item_text}: give the lengths or sheets that it is cut from; {pieces_n} wait.",
    )
    NOT_NESTED = (
        "not_nested",
        "{item_text} is not nested tip to tip: its pieces must all be mitred alike, without a groove, rabbet or"
        " moulding along them.",
    )


@dataclass(frozen=True, slots=True)
class Remark:
    """A note of a wood, with its figures."""

    item: str
    code: CuttingNote
    figures: Figures

    def text(self, units: Units = Units.MM) -> str:
        """The note in words."""
        return worded(self.code, self.figures, units)


@dataclass(frozen=True, slots=True)
class ShopStock:
    """What the shop has and can buy, by item: what is on hand has a count and no price."""

    bars: Mapping[str, tuple[BarStock, ...]] = field(default_factory=dict)
    sheets: Mapping[str, tuple[SheetStock, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Stocked:
    """A cut list as a cutting request, and what is to be said of it.

    ``shops`` are the items that are cut from the shop's stock.
    """

    request: CuttingRequest
    remarks: tuple[Remark, ...]
    shops: frozenset[str]


def stocked(
    listed: CutList, woods: Sequence[WoodsToCut | None], currency: str, shop: ShopStock | None = None
) -> Stocked:
    """Everything to be planned, each item with its stock; ``woods`` are the projects' own, in their order.

    Raises BadInput for more pieces than are planned in one go.
    """
    plain, shop = to_cut(listed), shop or ShopStock()
    groups = {(group.sort, group.item): group for group in listed.groups}
    remarks, shops = list[Remark](), set[str]()
    bars, sheets = list[BarItem](), list[SheetItem]()
    for bar in plain.bars:
        group = groups[Sort.BAR, bar.item]
        own = _own(group, woods)
        changes = _ways(own)
        named = _bars(own)
        changes["stock"] = named or shop.bars.get(bar.item, ())
        made = _matched(listed, group, bar.model_copy(update=changes))
        if any(wood.nested for wood in own):
            nested = _nested(listed, group, made)
            remarks += [] if nested else [_remark(CuttingNote.NOT_NESTED, group)]
            made = nested or made
        bars.append(made)
        remarks += [] if made.stock else [_remark(CuttingNote.NO_STOCK, group)]
        shops |= set() if named else {bar.item}
    for sheet in plain.sheets:
        group = groups[Sort.SHEET, sheet.item]
        own = _own(group, woods)
        of_own = _sheets(own)
        stock = of_own or shop.sheets.get(sheet.item, ())
        sheets.append(sheet.model_copy(update=_ways(own) | {"stock": stock}))
        remarks += [] if stock else [_remark(CuttingNote.NO_STOCK, group)]
        shops |= set() if of_own else {sheet.item}
    request = CuttingRequest(currency=currency, bars=tuple(bars), sheets=tuple(sheets))
    return Stocked(request, tuple(remarks), frozenset(shops))


def _remark(code: CuttingNote, group: Group) -> Remark:
    figures: Figures = (("item_text", group.item), ("pieces_n", group.pieces))
    return Remark(group.item, code, figures if code is CuttingNote.NO_STOCK else figures[:1])


def _own(group: Group, woods: Sequence[WoodsToCut | None]) -> tuple[WoodToCut, ...]:
    """What the projects whose parts these are say of their wood, each once."""
    found = dict.fromkeys(
        _of_project(group, woods[source] or ()) for source in {part.source for part in group.parts}
    )
    return tuple(wood for wood in found if wood is not None)


def _of_project(group: Group, woods: WoodsToCut) -> WoodToCut | None:
    fitting = [wood for wood in woods if not wood.stock or any(_is_for(group, stock) for stock in wood.stock)]
    named = (wood for wood in fitting if wood.item is not None and item_key(wood.item) == item_key(group.item))
    return next(named, None) or next((wood for wood in fitting if wood.item is None), None)


def _is_for(group: Group, stock: WoodStock) -> bool:
    return (stock.width is None) is (group.sort is Sort.BAR)


def _ways(own: Iterable[WoodToCut]) -> dict[str, object]:
    """How it is sawn, where that is said: of projects that differ the widest kerf and trim, the least offcut."""
    woods = tuple(own)
    said = {
        "kerf": max((wood.kerf for wood in woods if wood.kerf is not None), default=None),
        "trim": max((wood.trim for wood in woods if wood.trim is not None), default=None),
        "least_offcut": min((wood.least_offcut for wood in woods if wood.least_offcut is not None), default=None),
    }
    return {name: size for name, size in said.items() if size is not None}


def _each_once(own: Iterable[WoodToCut], *, sheets: bool) -> Iterator[WoodStock]:
    yield from dict.fromkeys(each for wood in own for each in wood.stock if (each.width is not None) is sheets)


def _bars(own: Iterable[WoodToCut]) -> tuple[BarStock, ...]:
    return tuple(
        BarStock(length=each.length, price=each.price, count=each.count) for each in _each_once(own, sheets=False)
    )


def _sheets(own: Iterable[WoodToCut]) -> tuple[SheetStock, ...]:
    return tuple(
        SheetStock(length=each.length, width=each.width, price=each.price, count=each.count)
        for each in _each_once(own, sheets=True)
        if each.width is not None
    )


def _matched(listed: CutList, group: Group, item: BarItem) -> BarItem:
    """Members of an assembly that come from one length as sets, one a copy, in their order round it."""
    by_assembly: dict[tuple[int, str], list[CutPart]] = defaultdict(list)
    for part in group.parts:
        if part.one_length:
            by_assembly[part.source, part.assembly].append(part)
    lengths = {piece.mark: piece.length for piece in item.pieces}
    matches, taken = list[BarMatch](), set[str]()
    for parts in by_assembly.values():
        marks = _round(Counter({listed.called(part): part.quantity // part.copies for part in parts}))
        if len(marks) < 2 or any(mark not in lengths for mark in marks):
            continue
        taken |= set(marks)
        together = tuple((mark, lengths[mark]) for mark in marks)
        name = " + ".join(dict.fromkeys(marks))
        matches.append(BarMatch(mark=name[:120], together=together, count=parts[0].copies))
    pieces = tuple(piece for piece in item.pieces if piece.mark not in taken)
    return item.model_copy(update={"pieces": pieces, "matched": tuple(matches)})


def _round(counts: Counter[str]) -> list[str]:
    """One of each again and again: so a box's sides follow one another as they stand round it.

    >>> _round(Counter({"A1": 2, "A2": 2}))
    ['A1', 'A2', 'A1', 'A2']
    """
    order, left = list[str](), +counts
    while left:
        order += list(left)
        left -= Counter(list(left))
    return order


def _nested(listed: CutList, group: Group, item: BarItem) -> BarItem | None:
    """The item with its pieces tip to tip; None where they cannot be turned over, or are not mitred alike."""
    tapers = {listed.called(part): _taper(part) for part in group.parts}
    found = [taper for taper in tapers.values() if taper is not None]
    if len(found) < len(tapers) or max(found) - min(found) > TAPERS_ALIKE:
        return None
    pieces = tuple(_mitred(piece, tapers.get(piece.mark)) for piece in item.pieces)
    if not pieces or any(piece.short_length is None for piece in pieces):
        return None
    return item.model_copy(update={"pieces": pieces, "nest_width": Length.from_mm(group.rough.width)})


def _taper(part: CutPart) -> Length | None:
    """Long less short of a part that may be turned over, None of any other."""
    alike = part.ends[0] == part.ends[1] and not part.bevelled and not part.shapes
    if not alike or part.short_length is None or part.short_length >= part.finished.length:
        return None
    return Length.from_mm(round(part.finished.length - part.short_length, 3))


def _mitred(piece: BarPiece, taper: Length | None) -> BarPiece:
    if taper is None or taper >= piece.length:
        return piece
    return piece.model_copy(update={"short_length": piece.length - taper})
