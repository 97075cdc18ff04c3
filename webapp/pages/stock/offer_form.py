"""The forms of an offer: what is in the pack, its article number and lead time, and a dated price."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from domain.lengths import Units
from domain.ordering.items import HOW_TO_NAME, Item, parse_item
from domain.problems import BadInput
from domain.reading import read
from webapp.form.values import Fields
from webapp.pages.stock.movement_form import read_whole
from webapp.site.incoming import SentForm
from webapp.store.stock_values import OfferTerms, Price

LABELS = {
    "item": "Item",
    "size": "Pack size",
    "article": "Article number",
    "lead_days": "Lead time",
    "price": "Price of a pack",
    "since": "Holds from",
}
TERMS = ("article", "lead_days")
PRICE = ("price", "since")
_FIELD_OF = {"minor": "price"}


@dataclass(frozen=True, slots=True)
class OfferReading:
    """A form, read: what it asks for is there where all is well, else ``errors`` has sentences by field."""

    item: Item | None = None
    terms: OfferTerms | None = None
    price: Price | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def sent_offer(form: SentForm) -> dict[str, str]:
    """A form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_new_offer(texts: Mapping[str, str], currency: str) -> OfferReading:
    """Read the form of a new offer: item, terms and first price."""
    item, item_errors = _item(texts["item"])
    terms = read_terms(texts, _size(texts["size"]))
    price = read_price(texts, currency)
    errors = {**item_errors, **terms.errors, **price.errors}
    return OfferReading(item, terms.terms, price.price, errors)


def read_terms(texts: Mapping[str, str], size: int | str) -> OfferReading:
    """Read article number and lead time of a pack of ``size``; where that is a sentence, it says what is wrong."""
    errors = {"size": size} if isinstance(size, str) else {}
    try:
        lead_days = read_whole(texts["lead_days"].removesuffix("days").removesuffix("day") or "0")
    except ValueError as error:
        return OfferReading(errors={**errors, "lead_days": str(error)})
    if errors:
        return OfferReading(errors=errors)
    try:
        terms = read(OfferTerms, {"size": size, "article": texts["article"], "lead_days": lead_days})
    except BadInput as refusal:
        return OfferReading(errors={str(problem.path[0]): problem.text() for problem in refusal.problems})
    return OfferReading(terms=terms)


def read_price(texts: Mapping[str, str], currency: str) -> OfferReading:
    """Read a price in ``currency``, and the day that it holds from."""
    fields = Fields(texts, Units.MM)
    fields.text("price", "needs the price of one pack")
    minor = fields.price("price", currency)
    try:
        since = date.fromisoformat(texts["since"])
    except ValueError:
        fields.errors["since"] = "must be a day such as 2026-03-02 (year, month, day)"
    if fields.errors:
        return OfferReading(errors=fields.errors)
    try:
        return OfferReading(price=read(Price, {"minor": minor, "currency": currency, "since": since}))
    except BadInput as refusal:
        names = ((str(problem.path[0]), problem.text()) for problem in refusal.problems)
        return OfferReading(errors={_FIELD_OF.get(name, name): allowed for name, allowed in names})


def _item(text: str) -> tuple[Item | None, dict[str, str]]:
    try:
        return parse_item(text), {}
    except BadInput as refusal:
        return None, {"item": refusal.problems[0].text() if text else HOW_TO_NAME}


def _size(text: str) -> int | str:
    try:
        return read_whole(text)
    except ValueError as error:
        return str(error)
