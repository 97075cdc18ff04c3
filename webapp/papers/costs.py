"""What a project costs, on paper: what the page shows, worded already."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.problems import Path
from webapp.papers.pictures import Json
from webapp.wording.costs import ABOUT_PACKS, AGAIN, NOT_YET, PacksWords, RepeatWords, SharesWords


@dataclass(frozen=True, slots=True)
class CostsOnPaper:
    """The page's words; ``about`` says of what and of which day, ``clashes`` are marks that are not counted."""

    about: str
    packs: PacksWords
    shares: SharesWords
    unpriced: str
    clashes: tuple[str, ...]
    repeat: RepeatWords | None


def costs_data(words: CostsOnPaper) -> Json:
    """What the template sets."""
    packs, shares, repeat = words.packs, words.shares, words.repeat
    clash = f"Not counted, for their sizes clash: {', '.join(words.clashes)}." if words.clashes else ""
    return {
        "about": f"{words.about[:1].upper()}{words.about[1:]}.",
        "cautions": [said for said in (words.unpriced, clash) if said],
        "about_packs": ABOUT_PACKS,
        "packs": {
            "heading": packs.heading,
            "rows": [[row.item, row.supplier, row.packs, row.size, row.sum] for row in packs.rows],
            "shipping": packs.shipping,
            "total": packs.total,
            "unmet": packs.unmet,
        },
        "shares": {
            "heading": shares.heading,
            "by_part": shares.by_part,
            "each": shares.each,
            "parts": [
                {
                    "name": part.name,
                    "cost": part.cost,
                    "lines": [[row.item, row.quantity, row.each, row.source, row.cost] for row in part.lines],
                }
                for part in shares.parts
            ],
            "total": shares.total,
            "about": shares.about,
        },
        "again": {
            "says": NOT_YET if repeat is None else repeat.says,
            "each_then": "" if repeat is None else repeat.each_then,
            "rows": []
            if repeat is None
            else [[row.item, row.quantity, row.then, row.now, row.direction] for row in repeat.rows],
            "about": AGAIN,
        },
    }


def costs_fields(words: CostsOnPaper) -> Iterator[tuple[Path, str]]:
    """Where the texts were typed."""
    for row in words.packs.rows:
        yield ("the supplier's name",), row.supplier
    for part in words.shares.parts:
        yield (part.name, "name"), part.name
        for line in part.lines:
            yield ("item",), f"{line.item} {line.source}"
