"""The parts list, and the list of keys and plugs to buy."""

from __future__ import annotations

from domain.cut_list.listing import cut_list
from domain.cut_list.of_file import job_of_file
from domain.lengths import Units
from domain.parts import Expansion
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from webapp.papers.pictures import Json
from webapp.wording.bought import BoughtWords, counting_words, fastening_words, glue_words, key_words, plug_words
from webapp.wording.cut_list import ABOUT, CUT, CutListWords, CutRow, cut_list_words
from webapp.wording.parts import PartWords, part_words
from webapp.wording.words import notes_text


def members_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the parts list's template sets: parts by the wood they are cut from, then notes of assemblies."""
    words = cut_list_words(cut_list([job_of_file(project, takeoff)]), units)
    assemblies = [
        {
            "mark": each.expansion.mark,
            "name": each.expansion.name,
            "quantity": each.expansion.quantity,
            "notes": list(notes_text(each.expansion.notes, units)),
        }
        for each in takeoff.assemblies
    ]
    return parts_data(words) | {"assemblies": assemblies, "notes": list(notes_text(takeoff.notes, units))}


def parts_data(words: CutListWords) -> Json:
    """The same of a list that is worded, of one project or several, without notes."""
    return {
        "cut": CUT,
        "about": ABOUT,
        "rough": words.rough,
        "groups": [
            {
                "item": group.item,
                "section": group.section,
                "sums": group.sums,
                "strip": group.strip,
                "parts": [_cut_row(row) for row in group.rows],
            }
            for group in words.groups
        ],
        "runs": list(words.runs),
        "lost": [lost.text for lost in words.lost],
        "assemblies": [],
        "notes": [],
    }


def _cut_row(words: CutRow) -> Json:
    return {
        "mark": words.mark,
        "name": words.name,
        "quantity": str(words.quantity),
        "length": words.length,
        "width": words.width,
        "thickness": words.thick,
        "finished": words.finished,
        "ends": words.ends,
        "short": words.short,
        "grain": words.grain,
        "joints": words.joints,
        "panel": words.is_panel,
        "said": list(words.sentences),
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
