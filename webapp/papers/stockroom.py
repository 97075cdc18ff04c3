"""The stockroom's list on paper: the page's rows, shelf by shelf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.problems import Path
from webapp.papers.pictures import Json
from webapp.wording.stockroom import ABOUT, HEADINGS, StockWords


@dataclass(frozen=True, slots=True)
class StockOnPaper:
    """The page's shelves by name; ``shown`` says which items they are, ``late`` what should have come."""

    shown: str
    late: tuple[str, ...]
    shelves: tuple[tuple[str, tuple[StockWords, ...]], ...]


def stock_data(words: StockOnPaper) -> Json:
    """What the template sets."""
    return {
        "shown": words.shown,
        "late": list(words.late),
        "headings": list(HEADINGS),
        "shelves": [{"name": name, "rows": [_row(row) for row in rows]} for name, rows in words.shelves],
        "about": ABOUT,
    }


def _row(row: StockWords) -> Json:
    return {
        "item": row.item,
        "short": row.short,
        "figures": [row.on_hand, row.reserved],
        "by": [f"{count} {name}" for count, name in row.by],
        "more": [row.free, row.on_order, row.minimum],
    }


def stock_fields(words: StockOnPaper) -> Iterator[tuple[Path, str]]:
    """Where the texts were typed."""
    for _, rows in words.shelves:
        for row in rows:
            yield ("item",), row.item
            for _, name in row.by:
                yield ("the projects' names",), name
