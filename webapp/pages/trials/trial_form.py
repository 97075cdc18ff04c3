"""The form of a trial: what was milled, and what the key did."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from domain.lengths import Length, Units
from domain.problems import BadInput
from domain.reading import read
from domain.spec.catalogue import CutterKind, Section
from domain.spec.fields import Day, Spec
from domain.trials.trial import Outcome, Trial
from webapp.form.fields import A_DAY
from webapp.form.refusals import field_errors
from webapp.form.values import Fields
from webapp.pages.trials.tools import read_tool, tool_value, tools
from webapp.site.incoming import SentForm

LABELS = {
    "tool": "Section and cutter",
    "species": "Species",
    "thickness": "Stock thickness",
    "projection": "Projection as set",
    "depth": "Depth of the slot",
    "fence_reading": "Fence reading",
    "outcome": "What the key did",
    "gap": "Gap",
    "stopped_at": "Stopped at",
    "tip_diameter": "Cutter’s tip on the day",
    "day": "Day",
}
OUTCOMES = (
    (Outcome.HELD_APART, "Held apart", "the joint would not close"),
    (Outcome.LOOSE, "Loose", "it closed and could be pulled open"),
    (Outcome.SNUG, "Snug", "closed, without play and without force"),
    (Outcome.TIGHT, "Tight", "driven with force, clamped"),
    (Outcome.BURST, "Burst", "the wood gave way"),
    (Outcome.STOPPED, "Key stopped", "it stuck and would go no further"),
)
LENGTHS = ("thickness", "projection", "depth")
_AT = {"section": "tool", "cutter": "tool"}


@dataclass(frozen=True, slots=True)
class TrialReading:
    """The form, read: ``trial`` and ``day`` where all is well, else ``errors`` by field."""

    trial: Trial | None = None
    day: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)


class _Dated(Spec):
    """Checks the day, which the book keeps beside the trial."""

    day: Day


def known_trial(known: Mapping[str, str], today: str, sections: Iterable[Section]) -> dict[str, str]:
    """The form as it is first shown: ``known`` by field, and the day today's unless known.

    Section and cutter may be known by themselves; where there is only one, it is chosen.
    """
    texts = {name: known.get(name, "") for name in LABELS} | {"day": known.get("day") or today}
    section, cutter = known.get("section", ""), known.get("cutter") or CutterKind.CLOSE.value
    choices = [value for value, _ in tools(sections)]
    if section and cutter in set(CutterKind):
        texts["tool"] = tool_value(section, CutterKind(cutter))
    elif len(choices) == 1:
        texts["tool"] = choices[0]
    return texts


def sent_trial(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_trial(texts: Mapping[str, str], units: Units, sections: Iterable[Section]) -> TrialReading:
    """Read the form; every field that cannot be used has its sentence."""
    fields = Fields(texts, units)
    tool, outcome = read_tool(texts["tool"]), texts["outcome"]
    if tool is None:
        fields.errors["tool"] = "choose the section and the cutter that milled it"
    known_tip = None if tool is None else _tip(*tool, sections)
    if tool is not None and known_tip is None:
        fields.errors["tool"] = "the catalogue has no such section and cutter any more; choose one of these"
    if outcome not in set(Outcome):
        fields.errors["outcome"] = "choose what the key did"
    found = {name: fields.length(name) for name in LENGTHS}
    found["fence_reading"] = fields.length("fence_reading", zero=True)
    found["gap"] = fields.length("gap", optional=True)
    found["stopped_at"] = fields.length("stopped_at", optional=True, zero=True)
    tip = fields.length("tip_diameter", optional=True)
    species = fields.text("species", "needs the wood’s name, such as oak")
    fields.text("day", A_DAY)
    if fields.errors or tool is None:
        return TrialReading(errors=fields.errors)
    given = {
        "section": tool[0],
        "cutter": tool[1],
        "species": species,
        "outcome": outcome,
        "tip_diameter": tip or known_tip,
        **found,
    }
    try:
        return TrialReading(read(Trial, given), read(_Dated, {"day": texts["day"]}).day)
    except BadInput as refusal:
        return TrialReading(errors=trial_errors(refusal, units))


def trial_errors(refusal: BadInput, units: Units) -> dict[str, str]:
    """The refusal's sentences at the form's fields."""
    return field_errors(refusal, units, _AT)


def _tip(section: str, cutter: CutterKind, sections: Iterable[Section]) -> Length | None:
    """The tip that the catalogue has; None where it has no such section or cutter."""
    return next((each.tip(cutter) for each in sections if each.name == section), None)
