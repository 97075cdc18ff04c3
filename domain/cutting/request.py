"""What is asked of the saw: pieces, the stock that they may be cut from, the kerf and the trim.

The open JSON, version 1. An item is one kind of wood: one section of bars, one thickness of sheets. Money in
whole minor units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import Field

from domain.bounds import check_lengths
from domain.lengths import Length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem
from domain.reading import check_format, read
from domain.spec.fields import Money, Name, Quantity, Room, Size, Spec
from domain.spec.wood import Grain

FORMAT: Literal["dovetally-cutting-request"] = "dovetally-cutting-request"
MOST_PIECES = 20_000
"""Pieces of all items together: what a large shop saws in a month."""
TAPERS_ALIKE = Length(1_000)
"""Mitres are alike where long less short comes to the same within this: an angle leaves no whole numbers."""


class Stock(Spec):
    """What pieces are cut from. No ``price``: it is in hand and paid for. No ``count``: as many as are needed."""

    length: Size
    price: Money | None = None
    count: Annotated[int, Field(strict=True, ge=1, le=100_000)] | None = None


class BarStock(Stock):
    """A length of stock."""


class BarPiece(Spec):
    """So many pieces of a length; mitred alike at both ends where ``short_length`` is given."""

    mark: Name
    length: Size
    count: Quantity
    short_length: Size | None = None


class BarMatch(Spec):
    """So many sets of pieces that come from one length, in this order, a kerf between them: a grain that runs on.

    ``together`` gives the mark and the length of each. In a nested item all are mitred as the item's pieces are.
    """

    mark: Name
    together: Annotated[tuple[tuple[Name, Size], ...], Field(min_length=2, max_length=100)]
    count: Quantity


class CutItem(Spec):
    """One kind of wood. ``kerf`` lies between neighbours, ``trim`` comes off every end, or edge, of the stock.

    ``least_offcut`` is the shortest offcut that the shop keeps, of a sheet its shorter side; 0: it keeps none.
    """

    item: Name
    kerf: Room
    trim: Room = Field(default=0, validate_default=True)
    least_offcut: Room = Field(default=0, validate_default=True)


class BarItem(CutItem):
    """Bars of one section.

    ``nest_width``: pieces are laid tip to tip, each turned over against its neighbours, in bars of this width (as
    the mitre crosses it). All of them must be mitred, and alike.
    """

    nest_width: Size | None = None
    stock: Annotated[tuple[BarStock, ...], Field(max_length=100)]
    pieces: Annotated[tuple[BarPiece, ...], Field(max_length=5_000)]
    matched: Annotated[tuple[BarMatch, ...], Field(max_length=5_000)] = ()


class SheetStock(Stock):
    """A size of sheet."""

    width: Size


class SheetPiece(Spec):
    """So many pieces of a size; ``grain`` says along which side of the sheet their length lies."""

    mark: Name
    length: Size
    width: Size
    count: Quantity
    grain: Grain = Grain.ANY


class SheetItem(CutItem):
    """Sheets of one material and thickness, sawn edge to edge."""

    stock: Annotated[tuple[SheetStock, ...], Field(max_length=100)]
    pieces: Annotated[tuple[SheetPiece, ...], Field(max_length=5_000)]


class CuttingRequest(Spec):
    """Everything that decides how the wood is cut."""

    format: Literal["dovetally-cutting-request"] = FORMAT
    version: Literal[1] = 1
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = "EUR"
    bars: Annotated[tuple[BarItem, ...], Field(max_length=500)] = ()
    sheets: Annotated[tuple[SheetItem, ...], Field(max_length=500)] = ()


def is_priced(stock: Sequence[Stock]) -> bool:
    """Whether a plan is weighed by what its stock costs; else by how much of it is used."""
    return any(each.price is not None for each in stock)


def costs(stock: Sequence[Stock]) -> list[int]:
    """What one of each stock counts for in a plan's cost."""
    priced = is_priced(stock)
    return [(each.price or 0) if priced else 1 for each in stock]


def read_cutting_request(document: object) -> CuttingRequest:
    """A request from parsed JSON. Raises BadInput with every problem that can be seen at once."""
    check_format(document, FORMAT)
    if isinstance(document, Mapping) and "version" not in document:
        raise BadInput([Problem.of(("version",), "missing", ProblemCode.MISSING)])
    check_lengths(CuttingRequest, document)
    request = read(CuttingRequest, document)
    problems = tuple(check_cutting_request(request))
    if problems:
        raise BadInput(problems)
    return request


def check_cutting_request(request: CuttingRequest) -> Iterator[Problem]:
    """What fields cannot see: an item or a mark twice, more pieces than are planned in one go."""
    everything: tuple[tuple[str, tuple[BarItem | SheetItem, ...]], ...] = (
        ("bars", request.bars),
        ("sheets", request.sheets),
    )
    for group, items in everything:
        yield from _named_twice((group,), "item", [item.item for item in items])
        for index, item in enumerate(items):
            yield from _named_twice((group, index, "pieces"), "mark", [piece.mark for piece in item.pieces])
    for index, bars in enumerate(request.bars):
        yield from _check_bars(("bars", index), bars)
    total = sum(piece.count for _, items in everything for item in items for piece in item.pieces)
    total += sum(match.count * len(match.together) for bars in request.bars for match in bars.matched)
    if total > MOST_PIECES:
        yield Problem.of((), total, ProblemCode.TOO_MANY_PIECES, most_n=MOST_PIECES)


def _check_bars(path: Path, item: BarItem) -> Iterator[Problem]:
    """A mark has one length, whatever it comes with; and what is nested is mitred alike."""
    lengths = {piece.mark: piece.length for piece in item.pieces}
    for number, match in enumerate(item.matched):
        for at, (mark, length) in enumerate(match.together):
            if lengths.setdefault(mark, length) != length:
                place: Path = (*path, "matched", number, "together", at)
                yield Problem.of(
                    place, length.mm, ProblemCode.ANOTHER_LENGTH, mark_text=mark, told=lengths[mark].mm
                )
    for number, piece in enumerate(item.pieces):
        if piece.short_length is not None and piece.short_length > piece.length:
            place = (*path, "pieces", number, "short_length")
            yield Problem.of(place, piece.short_length.mm, ProblemCode.LONGER_THAN_PIECE, length=piece.length.mm)
    if item.nest_width is not None and (fault := _why_not_nested(item)):
        yield Problem.of((*path, "nest_width"), item.nest_width.mm, fault)


def _why_not_nested(item: BarItem) -> ProblemCode | None:
    tapers = [piece.length.nm - piece.short_length.nm for piece in item.pieces if piece.short_length is not None]
    if not tapers or len(tapers) < len(item.pieces) or max(tapers) - min(tapers) > TAPERS_ALIKE.nm:
        return ProblemCode.NOT_MITRED_ALIKE
    if item.nest_width is not None and item.kerf > item.nest_width:
        return ProblemCode.KERF_WIDER_THAN_BAR
    return None


def _named_twice(path: Path, field: str, names: list[str]) -> Iterator[Problem]:
    for name, times in Counter(names).items():
        if times > 1:
            first = names.index(name)
            place = f"{path[-1]}[{first}]"
            again = names.index(name, first + 1)
            yield Problem.of((*path, again, field), name, ProblemCode.USED_ALREADY, place_text=place)
