"""What two takeoffs were planned with, side by side: the rules, and the key sections by their names."""

from __future__ import annotations

from domain.spec.catalogue import KeyEnd, Section
from domain.spec.rules import Rules
from domain.takeoff.comparison import (
    Difference,
    Field,
    FieldChange,
    Measure,
    compare_fields,
    differences,
    plain,
)
from domain.takeoff.document import Json


def compare_rules(before: Json, after: Json) -> tuple[FieldChange, ...]:
    """The rules that differ, as a project file writes them; one that was not known yet had its usual value."""
    usual: Json = Rules().model_dump(mode="json")
    return compare_fields(_RULES, usual | before, usual | after)


def compare_sections(before: list[Json], after: list[Json]) -> tuple[Difference, ...]:
    """The sections that were added, removed or changed, as a project file writes them."""
    marked = ([section | {"mark": section["name"]} for section in sections] for sections in (before, after))
    return differences(_SECTION, *marked)


_OTHER_RULES = {
    "hold_target": Measure.SHARE,
    "spare": Measure.SHARE,
    "cross_grooves": Measure.YES_NO,
    "test_joints": Measure.COUNT,
    "glue_spread": Measure.GRAMS,
    "milling_minutes": Measure.MINUTES,
    "driving_minutes": Measure.MINUTES,
    "open_seconds": Measure.SECONDS,
    "heaviest_piece": Measure.KILOGRAMS,
    "sag_limit": Measure.COUNT,
    "creep": Measure.SHARE,
    "waste": Measure.SHARE,
}
_OTHER_SIZES = {"flank": Measure.ANGLE}


def _minutes(name: str) -> Field:
    words = "minutes to change the " + name.replace("_", " ")
    return Field(words, Measure.MINUTES, lambda rules: rules.get("change_minutes", {}).get(name))


_RULES = (
    *(
        plain(name.replace("_", " "), _OTHER_RULES.get(name, Measure.FINE))
        for name in Rules.model_fields
        if name != "change_minutes"
    ),
    *(_minutes(name) for name in type(Rules().change_minutes).model_fields),
)
_SECTION = (
    *(
        plain(name.replace("_", " "), _OTHER_SIZES.get(name, Measure.FINE))
        for name in Section.model_fields
        if name not in {"name", "lengths", "end"}
    ),
    # sections were written without it as long as all keys were taken for round
    Field("end", Measure.TEXT, lambda section: section.get("end", KeyEnd.ROUND.value)),
    Field("lengths", Measure.LENGTHS, lambda section: tuple(sorted(section.get("lengths", ())))),
)
