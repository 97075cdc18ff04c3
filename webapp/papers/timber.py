"""The wood to buy of one project or several as a document: what the page shows, worded already."""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units
from domain.problems import Path
from webapp.papers.pictures import Json
from webapp.wording.timber import ABOUT, MeasureWords, TimberRow, TimberWords, headings, without_price


def timber_data(words: TimberWords, waste: str, units: Units) -> Json:
    """What the template sets: woods by material, sums, what has no price; ``waste`` is the rules', in words."""
    names = headings(units)
    return {
        "about": f"{ABOUT} Waste: {waste}.",
        "names": [names.length, names.net, names.gross, names.other, names.area],
        "groups": [
            {
                "material": group.material,
                "rows": [_row(row) for row in group.rows],
                "sums": _measures(group.sums) if group.sums else [],
            }
            for group in words.groups
        ],
        "whole": _measures(words.whole) if words.whole else [],
        "total": words.total,
        "unpriced": without_price(words.unpriced),
        "boards": any(row.boards for group in words.groups for row in group.rows),
    }


def _row(row: TimberRow) -> Json:
    return {
        "item": row.item,
        "section": row.section,
        "pieces": str(row.pieces),
        "measures": _measures(row.measures),
        "bought": row.bought,
        "boards": row.boards,
        "price": row.price,
        "priced": row.is_priced,
    }


def _measures(words: MeasureWords) -> list[str]:
    return [words.length, words.net, words.gross, words.other, words.area]


def timber_fields(words: TimberWords) -> Iterator[tuple[Path, str]]:
    """Where the list's texts were typed."""
    for group in words.groups:
        for row in group.rows:
            yield ("wood",), f"{row.item} {row.bought}"
