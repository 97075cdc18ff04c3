"""The form of a project's terms, and of the shop's usual ones."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from domain.problems import Refused
from domain.quoting.materials import Material, PricedBy
from domain.spec.quote import QuoteTerms, ShopTerms, TypedPrice, UsualTerms
from webapp.form.fields import Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, Values, shown
from webapp.form.quote_lines import HOW_OWN, HOW_WORK, own_lines, read_own, read_work, text_lines, work_lines
from webapp.wording.exact import price_text
from webapp.wording.quote import DEPTHS, MINUTES, named, quantity_text, told_quantity

PRICES = "Prices typed by hand"
LEAD = "price."
"""What the names of fields for prices typed by hand begin with; the item and its quantity make the rest."""


def _usual(minutes_hint: str) -> tuple[Field, ...]:
    return (
        Field("rate", "Rate of work", Sort.MONEY, required=False, hint="An hour of work."),
        Field(
            "margin",
            "Margin",
            Sort.NUMBER,
            required=False,
            unit="%",
            hint="On the cost of materials and work: 20 % on 100.00 makes 120.00. 0 for none.",
        ),
        Field(
            "tax.name",
            "Name of the tax",
            Sort.TEXT,
            required=False,
            longest=120,
            hint="As it stands on the quote. Where you charge none: why.",
        ),
        Field(
            "tax.rate", "Rate of the tax", Sort.NUMBER, required=False, unit="%", hint="0 where you charge none."
        ),
        Field(
            "minutes",
            "Minutes at the machine",
            Sort.CHOICE,
            options=(("", "as usual"), *((kind.value, words) for kind, words in MINUTES.items())),
            required=False,
            hint=minutes_hint,
        ),
        Field(
            "depth",
            "The customer’s paper tells",
            Sort.CHOICE,
            options=(("", "as usual"), *((depth.value, words) for depth, words in DEPTHS.items())),
            required=False,
            hint="Never cost or margin.",
        ),
        Field(
            "valid_days", "Holds for", Sort.WHOLE, required=False, unit="days", hint="From the day it is issued."
        ),
    )


TERMS = Group("Terms", _usual("Those ticked are of set-ups whose ticks tell; the rest stays as planned."))
DISCOUNT = Field("discount", "Discount", Sort.NUMBER, required=False, unit="%", hint="Off everything before tax.")
WORK_AND_LINES = Group(
    "Other work and lines of your own",
    (
        Field("work", "Other work", Sort.TEXT, required=False, lines=4, longest=8_000, hint=f"{HOW_WORK}."),
        Field(
            "lines",
            "Your own lines",
            Sort.TEXT,
            required=False,
            lines=4,
            longest=8_000,
            hint=f"{HOW_OWN}. The customer pays them as they are, without margin.",
        ),
        DISCOUNT,
    ),
)
LETTER = Group(
    "The customer’s paper",
    (
        Field("address", "Customer’s address", Sort.TEXT, required=False, lines=4, longest=1_400),
        Field("note", "Note below the total", Sort.TEXT, required=False, lines=3, longest=1_400),
    ),
)
QUOTE = SimpleForm((TERMS, WORK_AND_LINES, LETTER))
"""Without the fields for prices, which go by what the project takes."""
SHOP = SimpleForm(
    (
        Group("Usual terms", _usual("As usual: those planned.")),
        Group(
            "On every quote",
            (
                Field("address", "The shop’s address", Sort.TEXT, required=False, lines=4, longest=1_400),
                Field(
                    "closing",
                    "Closing words",
                    Sort.TEXT,
                    required=False,
                    lines=4,
                    longest=1_400,
                    hint="At the foot of every quote: when it is to be paid, say.",
                ),
            ),
        ),
    )
)


def price_name(material: Material) -> str:
    """The field for a price typed by hand: another one where the project takes another quantity of the item."""
    said = f"{material.name} {told_quantity(material)}"
    return LEAD + hashlib.sha256(said.encode()).hexdigest()[:12]


def to_type(materials: Iterable[Material]) -> tuple[Material, ...]:
    """What has no price but one that is typed by hand."""
    return tuple(each for each in materials if each.cost is None or each.priced_by is PricedBy.HAND)


def quote_form(materials: Iterable[Material], plain: Plain) -> SimpleForm:
    """The form of a project that takes these."""
    fields = tuple(
        Field(
            price_name(each),
            named(each, plain.units),
            Sort.MONEY,
            required=False,
            hint=f"All of it: {quantity_text(each, plain.units)}.{_before(each, plain)}",
        )
        for each in to_type(materials)
    )
    prices = (Group(PRICES, fields, hint="Nobody offers these; 0 where it costs nothing."),)
    return SimpleForm((TERMS, *(prices if fields else ()), WORK_AND_LINES, LETTER))


def _before(material: Material, plain: Plain) -> str:
    if material.typed_for is None:
        return ""
    before = quantity_text(replace(material, quantity=material.typed_for), plain.units)
    return f" A price was typed for {before}, which goes for this quantity no longer."


def shown_terms(
    form: SimpleForm, plain: Plain, terms: UsualTerms, materials: Iterable[Material], version: int
) -> Filled:
    """The form with these terms in it."""
    filled = shown(form, plain, terms, version)
    texts = {**filled.texts, "address": "\n".join(getattr(terms, "address", ()))}
    if isinstance(terms, ShopTerms):
        texts["closing"] = "\n".join(terms.closing)
    if isinstance(terms, QuoteTerms):
        texts |= {
            "work": work_lines(terms.work),
            "lines": own_lines(terms.lines, plain),
            "note": "\n".join(terms.note),
        }
    typed = {price_name(each): each.cost for each in materials if each.priced_by is PricedBy.HAND}
    texts |= {name: price_text(price, plain.currency) for name, price in typed.items() if name in form.labels}
    return Filled(form, plain, texts, version)


def read_terms(values: Values, materials: Iterable[Material]) -> QuoteTerms:
    """The project's terms that were typed. Raises Unusable."""
    data = _said(values)
    plain, texts = values.filled.plain, values.filled.texts
    data |= _of_lines(values, "work", lambda: [each.model_dump() for each in read_work(texts.get("work", ""))])
    data |= _of_lines(
        values, "lines", lambda: [each.model_dump() for each in read_own(texts.get("lines", ""), plain)]
    )
    if values["discount"]:
        data["discount"] = values["discount"]
    prices = [
        TypedPrice(item=each.name, price=price, quantity=told_quantity(each)).model_dump()
        for each in to_type(materials)
        if (price := values[price_name(each)]) is not None
    ]
    data |= {"prices": prices} if prices else {}
    data |= {name: text_lines(texts[name]) for name in ("address", "note") if texts.get(name, "").strip()}
    return values.made(QuoteTerms, data)


def read_shop_terms(values: Values) -> ShopTerms:
    """The shop's usual terms that were typed. Raises Unusable."""
    texts = values.filled.texts
    data = _said(values)
    data |= {name: text_lines(texts[name]) for name in ("address", "closing") if texts.get(name, "").strip()}
    return values.made(ShopTerms, data)


def _said(values: Values) -> dict[str, Any]:
    """What was said of rate, margin, tax and the like."""
    data = {
        name: values[name]
        for name in ("rate", "margin", "minutes", "depth", "valid_days")
        if values[name] not in (None, "")
    }
    tax = {part: values[f"tax.{part}"] for part in ("name", "rate") if values[f"tax.{part}"] is not None}
    return data | ({"tax": tax} if tax else {})


def _of_lines(values: Values, name: str, read: Callable[[], list[Mapping[str, Any]]]) -> dict[str, Any]:
    try:
        found = read()
    except Refused as refusal:
        values.refuse(name, str(refusal))
        return {}
    return {name: found} if found else {}
