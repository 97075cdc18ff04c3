"""The form that keeps a moulding: its stock, and what the machine was set to when it came out well."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from domain.lengths import Length, LengthError, Units, parse_length
from domain.problems import BadInput
from domain.reading import read
from domain.spec.assemblies import FrameStock
from domain.trials.mouldings import Moulding
from webapp.form.fields import A_DAY
from webapp.form.refusals import field_errors
from webapp.form.values import Fields
from webapp.pages.trials.tools import read_tool, tool_value
from webapp.site.incoming import SentForm
from webapp.wording.exact import length_text, number_text

LABELS = {
    "name": "Name",
    "width": "Stock width",
    "thickness": "Stock thickness",
    "rabbet_width": "Rabbet width",
    "rabbet_depth": "Rabbet depth",
    "front": "Profile of the front",
    "angle": "Angle of the joint",
    "tool": "Section and cutter",
    "projection": "Projection",
    "fence_readings": "Fence readings",
    "day": "Day",
}
BLANK = dict.fromkeys(LABELS, "") | {"angle": "45"}
_STOCK = ("width", "thickness", "rabbet_width", "rabbet_depth")


@dataclass(frozen=True, slots=True)
class MouldingReading:
    """The form, read: ``moulding`` where all is well, else ``errors`` by field."""

    moulding: Moulding | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def shown_moulding(moulding: Moulding, units: Units) -> dict[str, str]:
    """The form filled with a moulding."""
    stock = moulding.stock
    return {
        "name": moulding.name,
        **{name: length_text(getattr(stock, name), units) for name in _STOCK},
        "front": "\n".join("; ".join(length_text(each, units) for each in point) for point in stock.front or ()),
        "angle": number_text(moulding.angle),
        "tool": tool_value(moulding.section, moulding.cutter),
        "projection": length_text(moulding.projection, units),
        "fence_readings": "; ".join(length_text(each, units) for each in moulding.fence_readings),
        "day": moulding.day,
    }


def sent_moulding(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_moulding(texts: Mapping[str, str], units: Units) -> MouldingReading:
    """Read the form; every field that cannot be used has its sentence."""
    fields = Fields(texts, units)
    tool = read_tool(texts["tool"])
    if tool is None:
        fields.errors["tool"] = "choose the section and the cutter that milled it"
    name = fields.text("name", "needs a name that the shop knows it by")
    stock = {each: fields.length(each) for each in ("width", "thickness")}
    stock |= {each: fields.length(each, optional=True, zero=True) or Length(0) for each in _STOCK[2:]}
    front = [_lengths(fields, "front", line) for line in texts["front"].splitlines() if line.strip()]
    if any(len(point) != 2 for point in front):
        fields.errors.setdefault("front", "write one point a line: from the outer edge; height, such as 0; 12")
    if fields.missing("fence_readings"):
        fields.errors["fence_readings"] = "needs at least one reading; write several as 16.5; 47.1"
    angle = fields.number("angle")
    if angle is None:
        fields.errors.setdefault("angle", "needs degrees, such as 45")
    projection = fields.length("projection")
    readings = _lengths(fields, "fence_readings", texts["fence_readings"])
    fields.text("day", A_DAY)
    if fields.errors or tool is None or angle is None:
        return MouldingReading(errors=fields.errors)
    try:
        made = read(
            Moulding,
            {
                "name": name,
                "stock": read(FrameStock, {**stock, "front": front or None}),
                "angle": float(angle),
                "section": tool[0],
                "cutter": tool[1],
                "projection": projection,
                "fence_readings": readings,
                "day": texts["day"],
            },
        )
    except BadInput as refusal:
        return MouldingReading(errors=moulding_errors(refusal, units))
    return MouldingReading(made)


def moulding_errors(refusal: BadInput, units: Units) -> dict[str, str]:
    """The refusal's sentences at the form's fields."""
    return field_errors(refusal, units)


def _lengths(fields: Fields, name: str, text: str) -> list[Length]:
    """Lengths parted by semicolons; the first that is none is the field's error."""
    found = []
    for each in filter(None, (part.strip() for part in text.split(";"))):
        try:
            found.append(parse_length(each, fields.units))
        except LengthError as error:
            fields.errors.setdefault(name, str(error))
    return found
