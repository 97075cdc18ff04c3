"""The form of a key section: measured with calipers, in the shop's units, typed as it comes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from domain.lengths import Length
from domain.measuring import flank_from_widths, suggested_name
from domain.spec.catalogue import KeyEnd, Section, check_section
from webapp.form.fields import A_LENGTH, Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.site.incoming import SentForm
from webapp.store.catalogue import StoredSection
from webapp.wording.exact import length_text, number_text, price_text

ONE_SIDE, WHOLE_KEY = "one_side", "whole_key"
MOST_ROWS = 24
_SPARE_ROWS = 2
_FIRST_ROWS = 4
_AN_ANGLE = "must be an angle above 0 and up to 45 degrees, such as 12 or 8,5"


def _size(name: str, label: str, hint: str | None = None) -> Field:
    return Field(name, label, hint=hint, needed=A_LENGTH, zero=False)


def _maybe(name: str, label: str, hint: str) -> Field:
    return Field(name, label, hint=hint, required=False, zero=False)


KEY = Group(
    "The key, by caliper",
    (
        _maybe("overall", "Overall width", "Where it is widest."),
        _size("waist", "Waist", "Where it is narrowest, at the joint line."),
        _size("depth", "Depth"),
        Field(
            "depth_of",
            "Depth measured over",
            Sort.CHOICE,
            start=ONE_SIDE,
            options=((ONE_SIDE, "one side, waist to face"), (WHOLE_KEY, "whole key, face to face")),
            tiles=True,
        ),
        Field(
            "flank",
            "Flank angle",
            Sort.NUMBER,
            unit="°",
            required=False,
            must=_AN_ANGLE,
            hint="From the normal to the face. Empty: worked out from the widths.",
        ),
        Field(
            "end",
            "Leading end",
            Sort.CHOICE,
            start=KeyEnd.ROUND.value,
            options=tuple((end.value, end.words) for end in KeyEnd),
            tiles=True,
            hint="The end that is driven in first, seen on the wide face: a half circle, or straight.",
        ),
        Field(
            "name",
            "Name",
            Sort.TEXT,
            required=False,
            longest=120,
            hint="Empty: the overall width in whole mm.",
        ),
    ),
)
CUTTERS = Group(
    "Its cutters",
    (
        _size("tip_diameter", "Cutter tip", "Diameter at the tip, the widest place."),
        _maybe(
            "free_tip_diameter",
            "Free-fit cutter tip",
            "A second, larger one lets keys be driven deeper.",
        ),
    ),
)
USE = Group(
    "Its use",
    (
        _size("stock_from", "Stock from", "Thinnest stock that it is meant for."),
        _size("stock_to", "Stock to", "Thickest stock that it is meant for."),
        _maybe(
            "drive_limit",
            "Drive limit",
            "How deep keys drive in the close-fit cutter's slot. Empty: the longest length.",
        ),
        _maybe("reach_limit", "Reach limit", "Farthest a place on the joint may be from a key. Empty: 40 mm."),
    ),
)


@cache
def section_form(rows: int) -> SimpleForm:
    """The form with so many rows of lengths and prices."""
    lengths = tuple(field for row in range(rows) for field in _row(row))
    groups = (KEY, CUTTERS, USE, Group("Lengths and prices", lengths))
    return SimpleForm(groups, {"half_depth": "depth", "lengths": "length[0]", "prices": "price[0]"}, _compared)


def _row(row: int) -> tuple[Field, Field]:
    return (
        Field(f"length[{row}]", f"Length {row + 1}", zero=False),
        Field(f"price[{row}]", f"Price {row + 1}", Sort.MONEY, required=False),
    )


def _compared(texts: Mapping[str, str]) -> dict[str, str]:
    """What two editors compare: the overall width is measured, not stored; lengths stand in one line."""
    fields = (field for group in (KEY, CUTTERS, USE) for field in group.nodes if isinstance(field, Field))
    said = {field.label: texts.get(field.name, "") for field in fields if field.name != "overall"}
    rows = ((texts.get(f"length[{row}]", ""), texts.get(f"price[{row}]", "")) for row in range(MOST_ROWS))
    return said | {
        "Lengths": ", ".join(f"{length} at {price}" if price else length for length, price in rows if length)
    }


@dataclass(slots=True)
class MeasuredKey:
    """What of a key's section could be read so far; ``flank_worked_out`` where the widths gave the angle."""

    waist: Length | None = None
    half_depth: Length | None = None
    flank: float | None = None
    overall: Length | None = None
    tip_diameter: Length | None = None
    free: Length | None = None
    flank_worked_out: bool = False


def blank_section(plain: Plain) -> Filled:
    """An empty form."""
    return blank(section_form(_FIRST_ROWS), plain)


def shown_section(stored: StoredSection, plain: Plain) -> Filled:
    """The form of a section that is in the catalogue; every text reads back to the same value."""
    form = section_form(0)
    filled = shown(form, plain, stored.section, stored.version)
    own = {"depth": length_text(stored.section.half_depth, plain.units), "depth_of": ONE_SIDE}
    rows: dict[str, str] = {}
    for row, (length, price) in enumerate(stored.prices.items()):
        rows[f"length[{row}]"] = length_text(length, plain.units)
        rows[f"price[{row}]"] = price_text(price, plain.currency)
    return with_room(replace(filled, texts={**filled.texts, **own, **rows}))


def sent_section(given: SentForm, plain: Plain, *, edits: bool) -> Filled:
    """The form as it was sent. Rows beyond the most there can be are left away."""
    rows = {
        f"{name}[{row}]": text
        for name in ("length", "price")
        for row, text in enumerate(given.texts(name)[:MOST_ROWS])
    }
    filled = sent(section_form(0), plain, given, edits=edits)
    measured = {"depth_of": filled.texts["depth_of"] or ONE_SIDE, "end": filled.texts["end"] or KeyEnd.ROUND.value}
    return with_room(replace(filled, texts={**filled.texts, **measured, **rows}))


def rows_filled(filled: Filled) -> int:
    """How many rows there are up to the last one that has a text."""
    return max((row + 1 for row in range(MOST_ROWS) if any(_texts_of(filled, row))), default=0)


def rows_of(filled: Filled) -> int:
    """How many rows the form has."""
    return len(filled.form.groups[-1].nodes) // 2


def with_room(filled: Filled, more: int = 0) -> Filled:
    """The same with empty rows at the end to type in, ``more`` of them beyond the usual."""
    there = max((row + 1 for row in range(MOST_ROWS) if f"length[{row}]" in filled.texts), default=0)
    wanted = max(_FIRST_ROWS, rows_filled(filled) + _SPARE_ROWS, there) + more
    return replace(filled, form=section_form(min(wanted, MOST_ROWS)))


def _texts_of(filled: Filled, row: int) -> tuple[str, str]:
    return filled.texts.get(f"length[{row}]", ""), filled.texts.get(f"price[{row}]", "")


def read_section(values: Values, key: MeasuredKey) -> tuple[Section, Mapping[Length, int | None]]:
    """The section and the prices of its lengths. Raises Unusable."""
    prices, values = _read_rows(values)
    lengths = tuple(prices)
    data = {
        "name": values["name"] or suggested(key),
        "waist": key.waist,
        "half_depth": key.half_depth,
        "flank": key.flank,
        "end": values["end"],
        "tip_diameter": key.tip_diameter,
        "free_tip_diameter": key.free,
        "lengths": lengths,
        "drive_limit": values["drive_limit"] or max(lengths, default=None),
        "stock_from": values["stock_from"],
        "stock_to": values["stock_to"],
    }
    reach = values["reach_limit"]
    values.check()
    section = values.made(Section, data if reach is None else {**data, "reach_limit": reach})
    values.check(check_section(section))
    return section, prices


def read_key(values: Values) -> MeasuredKey:
    """What the measurements come to so far; what they cannot be is noted among the values' errors."""
    depth = values["depth"]
    halved = depth is not None and values["depth_of"] == WHOLE_KEY
    key = MeasuredKey(
        waist=values["waist"],
        half_depth=Length(max(1, round(depth.nm / 2))) if halved else depth,
        overall=values["overall"],
        tip_diameter=values["tip_diameter"],
        free=values["free_tip_diameter"],
    )
    key.flank = _flank(values, key)
    key.flank_worked_out = key.flank is not None and values["flank"] is None
    return key


def _flank(values: Values, key: MeasuredKey) -> float | None:
    typed: float | None = values["flank"]
    if typed is not None or "flank" in values.errors:
        if typed is not None and 0 < typed <= 45:
            return typed
        values.refuse("flank", _AN_ANGLE)
        return None
    if key.overall is None:
        if "overall" not in values.errors:
            values.refuse("flank", "type the angle, or leave it empty and measure the overall width instead")
        return None
    if key.waist is None or key.half_depth is None:
        return None
    return _flank_from(values, key.overall, key.waist, key.half_depth)


def _flank_from(values: Values, overall: Length, waist: Length, half_depth: Length) -> float | None:
    flank = flank_from_widths(overall, waist, half_depth)
    if flank is None or flank == 0:
        values.refuse("overall", "must be more than the waist: a key is widest at its ends")
        return None
    if flank > 45:
        lean = number_text(round(flank, 1))
        values.refuse(
            "overall",
            f"with this waist and depth the flank would lean {lean}°, and no more than 45° can be cut; "
            "measure width, waist and depth again",
        )
        return None
    return flank


def suggested(key: MeasuredKey) -> str:
    """The name that the measurements suggest; "" until they say enough."""
    shape = shape_of(key)
    return "" if shape is None else suggested_name(shape.overall_width)


def shape_of(key: MeasuredKey) -> Section | None:
    """The key as a section to be looked at, its other numbers made up; None until its shape is known.

    Without a cutter the tip is the waist's, which no cutter can be: ask ``key.tip_diameter`` first.
    """
    if key.waist is None or key.half_depth is None or key.flank is None:
        return None
    return Section(
        name="measured",
        waist=key.waist,
        half_depth=key.half_depth,
        flank=key.flank,
        tip_diameter=key.tip_diameter or key.waist,
        free_tip_diameter=key.free,
        lengths=(key.waist,),
        drive_limit=key.waist,
        stock_from=key.waist,
        stock_to=key.waist,
    )


def _read_rows(values: Values) -> tuple[dict[Length, int | None], Values]:
    """Prices by length, shortest first, and the values with the row of each length as its place."""
    prices: dict[Length, int | None] = {}
    rows: dict[Length, int] = {}
    for row in range(rows_of(values.filled)):
        name, length, price = f"length[{row}]", values[f"length[{row}]"], values[f"price[{row}]"]
        if length in prices:
            values.refuse(name, "stands there twice; keep one")
        elif length is not None:
            prices[length], rows[length] = price, row
        elif any(_texts_of(values.filled, row)):
            values.refuse(name, A_LENGTH)
    if not prices and not any(name.startswith(("length[", "price[")) for name in values.errors):
        values.refuse("length[0]", "at least one length is needed, such as 16 mm")
    ordered = dict(sorted(prices.items()))
    places = {f"lengths.{place}": f"length[{rows[length]}]" for place, length in enumerate(ordered)}
    return ordered, values.placed(places)
