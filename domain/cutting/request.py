"""What is asked of the saw: pieces, the stock that they may be cut from, the kerf and the trim.

The open JSON, version 1. An item is one kind of wood: one section of bars, one thickness of sheets. Money in
whole minor units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem
from domain.reading import check_format, read
from domain.spec.fields import Money, Name, Quantity, Room, Size, Spec

FORMAT: Literal["dovetally-cutting-request"] = "dovetally-cutting-request"
MOST_PIECES = 20_000
"""Pieces of all items together: what a large shop saws in a month."""


class Grain(StrEnum):
    """Along which side of a sheet a piece's length lies."""

    LENGTH = "length"
    WIDTH = "width"
    ANY = "any"


class Stock(Spec):
    """What pieces are cut from. No ``price``: it is in hand and paid for. No ``count``: as many as are needed."""

    length: Size
    price: Money | None = None
    count: Annotated[int, Field(strict=True, ge=1, le=100_000)] | None = None


class BarStock(Stock):
    """A length of stock."""


class BarPiece(Spec):
    """So many pieces of a length."""

    mark: Name
    length: Size
    count: Quantity


class CutItem(Spec):
    """One kind of wood. ``kerf`` lies between neighbours, ``trim`` comes off every end, or edge, of the stock."""

    item: Name
    kerf: Room
    trim: Room = Field(default=0, validate_default=True)


class BarItem(CutItem):
    """Bars of one section. ``least_offcut`` is the shortest offcut that the shop keeps."""

    least_offcut: Room = Field(default=0, validate_default=True)
    stock: Annotated[tuple[BarStock, ...], Field(max_length=100)]
    pieces: Annotated[tuple[BarPiece, ...], Field(max_length=5_000)]


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
    total = sum(piece.count for _, items in everything for item in items for piece in item.pieces)
    if total > MOST_PIECES:
        yield Problem.of((), total, ProblemCode.TOO_MANY_PIECES, most_n=MOST_PIECES)


def _named_twice(path: Path, field: str, names: list[str]) -> Iterator[Problem]:
    for name, times in Counter(names).items():
        if times > 1:
            first = names.index(name)
            place = f"{path[-1]}[{first}]"
            again = names.index(name, first + 1)
            yield Problem.of((*path, again, field), name, ProblemCode.USED_ALREADY, place_text=place)
