"""The form of a key section: measured with calipers, in the shop's units, typed as it comes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache

from domain.lengths import Length
from domain.measuring.proportions import DepthOver
from domain.measuring.use import ProposedUse, proposed_use
from domain.spec.catalogue import KeyEnd, Section, check_section
from webapp.form.fields import A_LENGTH, Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.pages.catalogue.key_measures import AN_ANGLE, AS_MEASURED, MeasuredKey, question_of, suggested
from webapp.site.incoming import SentForm
from webapp.store.catalogue import StoredSection
from webapp.wording.exact import length_text, price_text

IT_IS_SO = "It is so, as measured"
PROPOSED = ("stock_from", "stock_to", "drive_limit", "reach_limit")
MOST_ROWS = 24
_SPARE_ROWS = 2
_FIRST_ROWS = 4
_WHICH = "choose one: the slot is milled to half of the key, so it matters"


def _size(name: str, label: str, hint: str | None = None) -> Field:
    return Field(name, label, hint=hint, needed=A_LENGTH, zero=False)


def _maybe(name: str, label: str, hint: str) -> Field:
    return Field(name, label, hint=hint, required=False, zero=False)


KEY = Group(
    "The key and its cutter, by caliper",
    (
        _maybe("overall", "Overall width", "Where it is widest. Not needed where the flank angle below is known."),
        _size("waist", "Waist", "Where it is narrowest, at the joint line."),
        _size("depth", "Depth"),
        Field(
            "depth_of",
            "Depth measured over",
            Sort.CHOICE,
            needed=_WHICH,
            must=_WHICH,
            options=(
                (DepthOver.WHOLE_KEY.value, "whole key, face to face"),
                (DepthOver.ONE_SIDE.value, "one side, waist to face"),
            ),
            tiles=True,
        ),
        _size("tip_diameter", "Cutter tip", "Diameter at the tip, the widest place."),
    ),
)
SHAPE = Group(
    "More about the key",
    (
        Field(
            "flank",
            "Flank angle",
            Sort.NUMBER,
            unit="°",
            required=False,
            must=AN_ANGLE,
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
        _maybe(
            "free_tip_diameter",
            "Free-fit cutter tip",
            "A second, larger one lets keys be driven deeper.",
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
USE = Group(
    "Its use",
    (
        _maybe("stock_from", "Thinnest wood", "That it is meant for."),
        _maybe("stock_to", "Thickest wood", "That it is meant for."),
        _maybe("drive_limit", "Drive limit", "How deep keys drive in the close-fit cutter's slot."),
        _maybe("reach_limit", "Reach limit", "Farthest a place on the joint may be from a key."),
    ),
    hint="What stands grey is proposed from the width, common practice (no source). "
    "Leave a field empty to take it, or type your own.",
)
BESIDE = Group("", (Field(AS_MEASURED, "The key’s proportions", Sort.TEXT, required=False),))
"""What stands beside the drawing."""


@cache
def section_form(rows: int) -> SimpleForm:
    """The form with so many rows of lengths and prices."""
    lengths = tuple(field for row in range(rows) for field in _row(row))
    groups = (KEY, SHAPE, USE, BESIDE, Group("Lengths and prices", lengths))
    return SimpleForm(groups, {"half_depth": "depth", "lengths": "length[0]", "prices": "price[0]"}, _compared)


def _row(row: int) -> tuple[Field, Field]:
    return (
        Field(f"length[{row}]", f"Length {row + 1}", zero=False),
        Field(f"price[{row}]", f"Price {row + 1}", Sort.MONEY, required=False),
    )


def _compared(texts: Mapping[str, str]) -> dict[str, str]:
    """What two editors compare: the overall width is measured, not stored; lengths stand in one line."""
    fields = (field for group in (KEY, SHAPE, USE) for field in group.nodes if isinstance(field, Field))
    said = {field.label: texts.get(field.name, "") for field in fields if field.name != "overall"}
    rows = ((texts.get(f"length[{row}]", ""), texts.get(f"price[{row}]", "")) for row in range(MOST_ROWS))
    return said | {
        "Lengths": ", ".join(f"{length} at {price}" if price else length for length, price in rows if length)
    }


def blank_section(plain: Plain) -> Filled:
    """An empty form."""
    return blank(section_form(_FIRST_ROWS), plain)


def shown_section(stored: StoredSection, plain: Plain) -> Filled:
    """The form of a section that is in the catalogue; every text reads back to the same value."""
    form = section_form(0)
    filled = shown(form, plain, stored.section, stored.version)
    section = stored.section
    own = {
        "depth": length_text(section.half_depth, plain.units),
        "depth_of": DepthOver.ONE_SIDE.value,
        AS_MEASURED: MeasuredKey(section.waist, section.half_depth, DepthOver.ONE_SIDE, section.flank).mark,
    }
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
    end = filled.texts["end"] or KeyEnd.ROUND.value
    return with_room(replace(filled, texts={**filled.texts, "end": end, **rows}))


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
    """The section and the prices of its lengths; what is empty of its use is as proposed. Raises Unusable."""
    _ask(values, key)
    prices, values = _read_rows(values)
    lengths = tuple(prices)
    proposed = proposed_of(values, key, lengths)
    data = {
        "name": values["name"] or suggested(key),
        "waist": key.waist,
        "half_depth": key.half_depth,
        "flank": key.flank,
        "end": values["end"],
        "tip_diameter": key.tip_diameter,
        "free_tip_diameter": key.free,
        "lengths": lengths,
    }
    use = {name: values[name] or (proposed and getattr(proposed, name)) for name in PROPOSED}
    values.check()
    section = values.made(Section, {**data, **use})
    values.check(check_section(section))
    return section, prices


def _ask(values: Values, key: MeasuredKey) -> None:
    """A key out of the usual is asked about once; whoever says that it is so, has it so."""
    question = question_of(key, values.filled.texts.get(AS_MEASURED, ""))
    if question is None or not question.asked or question.answered:
        return
    why = " ".join(finding.text(values.filled.plain.units) for finding in question.findings)
    values.refuse(AS_MEASURED, f"{why} Measure again, or tick “{IT_IS_SO}” and save.")


def proposed_of(values: Values, key: MeasuredKey, lengths: Iterable[Length] = ()) -> ProposedUse | None:
    """The use that is proposed for the key; None until its width is known."""
    shape = key.shape
    width = shape.overall_width if shape is not None else None if key.overall is None else key.overall.mm
    if width is None:
        return None
    return proposed_use(
        width,
        values.filled.plain.units,
        stock_from=values["stock_from"],
        stock_to=values["stock_to"],
        lengths=lengths,
    )


def lengths_so_far(values: Values) -> tuple[Length, ...]:
    """Lengths that can be read so far."""
    found = (values[f"length[{row}]"] for row in range(rows_of(values.filled)))
    return tuple(length for length in found if length is not None)


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
