"""An ordering plan on paper: what goes to each supplier, and why so many of each item."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.problems import Path
from webapp.papers.pictures import Json
from webapp.wording.order_plan import SupplierRow, WhyRow


@dataclass(frozen=True, slots=True)
class PlanOnPaper:
    """The page's words. ``left_out`` says what is not counted, ``doubt`` what is not proven; "" for nothing."""

    suppliers: tuple[SupplierRow, ...]
    why: tuple[WhyRow, ...]
    goods: str
    shipping: str
    total: str
    doubt: str
    woodless: str
    left_out: tuple[str, ...]


def plan_data(words: PlanOnPaper) -> Json:
    """What the template sets."""
    unmet = [f"{row.item}, {row.short} short: {row.unmet}." for row in words.why if row.unmet]
    return {
        "cautions": list(words.left_out),
        "unmet": unmet,
        "nothing": "" if words.suppliers or unmet else "Nothing needs to be bought.",
        "sums": [["Goods", words.goods], ["Shipping", words.shipping], ["Together", words.total]],
        "says": [said for said in (words.doubt, words.woodless) if said],
        "suppliers": [
            {
                "name": supplier.name,
                "lines": [
                    [line.item, str(line.packs), line.size, line.pieces, line.article, line.price, line.sum]
                    for line in supplier.lines
                ],
                "sums": [
                    ["Goods", supplier.minimum, supplier.goods],
                    ["Shipping", "", supplier.shipping],
                    ["Total", "", supplier.total],
                ],
            }
            for supplier in words.suppliers
        ],
        "why": [[row.item, row.sum, row.end] for row in words.why],
    }


def plan_fields(words: PlanOnPaper) -> Iterator[tuple[Path, str]]:
    """Where the texts were typed."""
    for supplier in words.suppliers:
        yield ("the supplier's name",), supplier.name
        for line in supplier.lines:
            yield ("article number",), line.article
    for row in words.why:
        yield ("item",), row.item
