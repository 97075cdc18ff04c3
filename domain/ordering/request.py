"""What is asked of the ordering: needs, what is there or on its way, packs on offer, suppliers' terms.

The open JSON, version 1. Items are named by free text, so that anything sold in packs can be ordered;
our own items go by ``Item.name``. Counts are whole pieces (glue: grams), money whole minor units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from domain.bounds import check_lengths
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem
from domain.reading import check_format, read
from domain.spec.fields import Money, Name, Spec

FORMAT: Literal["dovetally-order-request"] = "dovetally-order-request"
MOST_PACKS_OF_ONE = 100
"""Packs of one item: more kinds than any shelf holds, and few enough to be weighed against each other."""

MOST_SUPPLIERS = 20

Count = Annotated[int, Field(strict=True, ge=0, le=100_000_000)]
Size = Annotated[int, Field(strict=True, ge=1, le=100_000_000)]
Counts = Annotated[dict[Name, Count], Field(max_length=5_000)]


class NeedLine(Spec):
    """So many of an item. An item may stand in several lines, one a project: they are added up."""

    item: Name
    count: Count


class Pack(Spec):
    """A pack on offer: ``size`` pieces (or grams) of an item for ``price``, from a supplier."""

    item: Name
    supplier: Name
    size: Size
    price: Money
    article: Name | None = None


class Supplier(Spec):
    """A supplier's terms: shipping for one order, and the goods' value that an order must reach.

    Shipping does not count towards the minimum order.
    """

    name: Name
    shipping: Money = 0
    minimum_order: Money = 0


class OrderRequest(Spec):
    """Everything that decides an order. A supplier without terms ships free, from the first pack."""

    format: Literal["dovetally-order-request"] = FORMAT
    version: Literal[1] = 1
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    needs: Annotated[tuple[NeedLine, ...], Field(max_length=5_000)]
    on_hand: Counts = Field(default_factory=dict)
    on_order: Counts = Field(default_factory=dict)
    minimum_stock: Counts = Field(default_factory=dict)
    packs: Annotated[tuple[Pack, ...], Field(max_length=20_000)]
    suppliers: Annotated[tuple[Supplier, ...], Field(max_length=MOST_SUPPLIERS)] = ()

    def needed(self) -> dict[str, int]:
        """How many of each item, lines added up."""
        total: Counter[str] = Counter()
        for line in self.needs:
            total[line.item] += line.count
        return dict(total)

    def shorts(self) -> dict[str, int]:
        """What each item is short of, by name.

        Every item that is needed or has a minimum stock is there, with 0 where it is covered.
        """
        needed = self.needed()
        return {
            item: short_of(
                needed.get(item, 0),
                self.minimum_stock.get(item, 0),
                self.on_hand.get(item, 0),
                self.on_order.get(item, 0),
            )
            for item in sorted({*needed, *self.minimum_stock})
        }


def short_of(need: int, minimum_stock: int, on_hand: int, on_order: int) -> int:
    """What is missing of an item: max(0, need + minimum stock − on hand − on order), in its own units.

    >>> short_of(16, 20, 7, 5), short_of(0, 0, 3, 0)
    (24, 0)
    """
    return max(0, need + minimum_stock - on_hand - on_order)


def read_order_request(document: object) -> OrderRequest:
    """A request from parsed JSON. Raises BadInput with every problem that can be seen at once."""
    check_format(document, FORMAT)
    if isinstance(document, Mapping) and "version" not in document:
        raise BadInput([Problem.of(("version",), "missing", ProblemCode.MISSING)])
    check_lengths(OrderRequest, document)
    request = read(OrderRequest, document)
    problems = (*check_order_request(request), *_same_items(document))
    if problems:
        raise BadInput(problems)
    return request


def check_order_request(request: OrderRequest) -> Iterator[Problem]:
    """What fields cannot see: a supplier twice, too many packs of an item."""
    first: dict[str, int] = {}
    for index, supplier in enumerate(request.suppliers):
        if supplier.name in first:
            place = f"suppliers[{first[supplier.name]}]"
            yield Problem.of(
                ("suppliers", index, "name"), supplier.name, ProblemCode.USED_ALREADY, place_text=place
            )
        first.setdefault(supplier.name, index)
    for item, packs in Counter(pack.item for pack in request.packs).items():
        if packs > MOST_PACKS_OF_ONE:
            yield Problem.of(("packs",), item, ProblemCode.TOO_MANY_PACKS, packs_n=packs, most_n=MOST_PACKS_OF_ONE)


def _same_items(document: object) -> Iterator[Problem]:
    """Names that stand for one item, written in two ways: only the document itself still has both."""
    counts = document if isinstance(document, Mapping) else {}
    for field in ("on_hand", "on_order", "minimum_stock"):
        yield from _same_names((field,), counts.get(field) or {})


def _same_names(path: Path, counts: Mapping[str, Any]) -> Iterator[Problem]:
    written: set[str] = set()
    for name in counts:
        plain = " ".join(name.split())
        if plain in written:
            yield Problem.of((*path, name), counts[name], ProblemCode.ITEM_TWICE)
        written.add(plain)
