"""The form of a calibration: which scale, what it read, what the slot measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from domain.lengths import Units
from domain.problems import BadInput
from domain.reading import read
from domain.trials.calibration import Calibration, Figure, Scale
from webapp.form.fields import A_DAY
from webapp.form.refusals import field_errors
from webapp.form.values import Fields
from webapp.pages.trials.tools import read_tool, tool_value
from webapp.site.incoming import SentForm

LABELS = {"figure": "Scale", "reading": "Reading", "measured": "Measured", "day": "Day"}
FENCE = "fence"
_AT = {"section": "figure", "cutter": "figure", "scale": "figure"}


@dataclass(frozen=True, slots=True)
class CalibrationReading:
    """The form, read: ``calibration`` where all is well, else ``errors`` by field."""

    calibration: Calibration | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def blank_calibration(today: str) -> dict[str, str]:
    """The form as it is first shown."""
    return dict.fromkeys(LABELS, "") | {"day": today}


def sent_calibration(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def figure_value(figure: Figure) -> str:
    """What the form sends for a scale."""
    if figure.section is None or figure.cutter is None:
        return FENCE
    return tool_value(figure.section, figure.cutter)


def figures(known: Iterable[Figure]) -> list[tuple[str, str]]:
    """The scales as value and words."""
    return [(figure_value(figure), figure.text[:1].upper() + figure.text[1:]) for figure in known]


def read_calibration(texts: Mapping[str, str], units: Units) -> CalibrationReading:
    """Read the form; every field that cannot be used has its sentence."""
    fields = Fields(texts, units)
    tool = read_tool(texts["figure"])
    if tool is None and texts["figure"] != FENCE:
        fields.errors["figure"] = "choose the scale that was checked"
    given = {name: fields.length(name, zero=True) for name in ("reading", "measured")}
    fields.text("day", A_DAY)
    if fields.errors:
        return CalibrationReading(errors=fields.errors)
    of = {"scale": Scale.FENCE} if tool is None else {"scale": Scale.DEPTH, "section": tool[0], "cutter": tool[1]}
    try:
        return CalibrationReading(read(Calibration, {**of, **given, "day": texts["day"]}))
    except BadInput as refusal:
        return CalibrationReading(errors=calibration_errors(refusal, units))


def calibration_errors(refusal: BadInput, units: Units) -> dict[str, str]:
    """The refusal's sentences at the form's fields."""
    return field_errors(refusal, units, _AT)
