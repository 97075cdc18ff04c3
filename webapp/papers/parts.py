"""The part rows that schedule and parts list share."""

from __future__ import annotations

from domain.lengths import Units
from domain.parts import Expansion
from webapp.papers.pictures import Json
from webapp.wording.parts import PartWords, part_words, parts_of


def part_rows(expansion: Expansion, units: Units) -> list[Json]:
    """Members, then panels: sizes as bare figures in ``units``."""
    return [_row(part_words(part, units)) for part in parts_of(expansion)]


def _row(words: PartWords) -> Json:
    return {
        "mark": words.mark,
        "name": words.name,
        "quantity": str(words.quantity),
        "length": words.length.bare,
        "width": words.width.bare,
        "thickness": words.thickness.bare,
        "ends": words.ends,
        "short": "" if words.short is None else words.short.bare,
        "material": words.material,
        "panel": words.panel,
    }
