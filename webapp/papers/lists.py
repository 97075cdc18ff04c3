"""The parts list, and the list of keys and plugs to buy."""

from __future__ import annotations

from domain.lengths import Units
from domain.parts import Expansion
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from webapp.papers.pictures import Json
from webapp.wording.bought import BoughtWords, counting_words, fastening_words, glue_words, key_words, plug_words
from webapp.wording.parts import PartWords, part_words
from webapp.wording.words import notes_text


def members_data(takeoff: Takeoff, units: Units) -> Json:
    """What the parts list's template sets."""
    return {
        "assemblies": [
            {
                "mark": each.expansion.mark,
                "name": each.expansion.name,
                "quantity": each.expansion.quantity,
                "parts": part_rows(each.expansion, units),
                "notes": list(notes_text(each.expansion.notes, units)),
            }
            for each in takeoff.assemblies
        ],
        "notes": list(notes_text(takeoff.notes, units)),
    }


def keys_data(takeoff: Takeoff, rules: Rules, units: Units) -> Json:
    """What the list of keys' template sets; ``rules`` are those that the takeoff was counted with."""
    totals = takeoff.totals
    return {
        "keys": [_counted(key_words(key)) for key in totals.keys],
        "plugs": [_counted(plug_words(plug)) for plug in totals.plugs],
        "fastenings": [_counted(fastening_words(each)) for each in totals.fastenings],
        "glue": glue_words(totals),
        "rule": list(counting_words(rules)),
        "notes": list(notes_text(takeoff.notes, units)),
    }


def _counted(words: BoughtWords) -> Json:
    return {"item": words.item, "counts": list(words.counts)}


def part_rows(expansion: Expansion, units: Units) -> list[Json]:
    """Members, then panels: sizes as bare figures in ``units``."""
    return [_row(part_words(part, units)) for part in expansion.parts]


def _row(words: PartWords) -> Json:
    return {
        "mark": words.mark,
        "name": words.name,
        "quantity": str(words.quantity),
        "length": words.length.bare,
        "width": words.width.bare,
        "thickness": words.thick,
        "ends": words.ends,
        "short": "" if words.short is None else words.short.bare,
        "material": words.material,
        "panel": words.panel,
    }
