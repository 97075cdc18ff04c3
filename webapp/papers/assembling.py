"""The assembly sheet on paper: every step with its drawing, as the page has it."""

from __future__ import annotations

from collections.abc import Mapping

from domain.assembling.sheet import assembly_sheet
from domain.lengths import Units
from domain.spec.assemblies import Assembly
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.assembling import step_drawings
from webapp.drawings.model import Drawing
from webapp.papers.pictures import Json, picture
from webapp.wording.assembling import CAUTIONS, DRY_FIT, GLUE_UP, HEADINGS, StepWords, sheet_words
from webapp.wording.words import notes_text


def assembling_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the assembly sheet's template sets; every assembly of ``takeoff`` is the project's, by its mark."""
    noted = project.notes or {}
    specs, rules = {spec.mark: spec for spec in project.assemblies}, project.rules or Rules()
    return {
        "headings": list(HEADINGS),
        "dry_fit": DRY_FIT,
        "glue_up": GLUE_UP,
        "care": " ".join(CAUTIONS),
        "notes": list(notes_text(takeoff.notes, units)),
        "assemblies": [
            _assembly(specs[each.expansion.mark], each, rules, units, noted) for each in takeoff.assemblies
        ],
    }


def _assembly(
    spec: Assembly, takeoff: AssemblyTakeoff, rules: Rules, units: Units, noted: Mapping[str, str]
) -> Json:
    expansion, sheet = takeoff.expansion, assembly_sheet(spec, takeoff, rules)
    words = sheet_words(sheet, expansion, units)
    return {
        "mark": expansion.mark,
        "name": expansion.name,
        "quantity": expansion.quantity,
        "noted": noted.get(expansion.mark, ""),
        "notes": list(words.notes),
        "hindrances": list(words.hindrances),
        "after": list(words.after),
        "steps": list(map(_step, words.steps, step_drawings(sheet, takeoff))),
    }


def _step(words: StepWords, drawing: Drawing) -> Json:
    return {
        "title": words.title,
        "says": words.says,
        "joints": [[row.joint, row.count, row.entries, row.keys, row.slots] for row in words.joints],
        "figures": [{"name": name, "said": said} for name, said in words.figures],
        "warning": words.warning,
        "checks": list(words.checks),
        "drawing": picture(drawing),
    }
