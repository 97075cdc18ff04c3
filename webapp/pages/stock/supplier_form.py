"""The form of a supplier: its name, its currency, shipping and the least order it takes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from domain.lengths import Units
from domain.problems import BadInput
from domain.reading import read
from webapp.form.values import Fields
from webapp.site.incoming import SentForm
from webapp.store.stock_values import SupplierTerms
from webapp.wording.exact import price_text

LABELS = {"name": "Name", "currency": "Currency", "shipping": "Shipping", "minimum_order": "Minimum order"}
CURRENCY = re.compile("[A-Z]{3}")
HOW_TO_NAME_CURRENCY = "must be a currency's three letters (ISO 4217), such as EUR"


@dataclass(frozen=True, slots=True)
class SupplierReading:
    """The form, read: ``terms`` where all is well, else ``errors`` by field."""

    terms: SupplierTerms | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def blank_supplier(currency: str) -> dict[str, str]:
    """The form of a new supplier, in the shop's currency."""
    return {"name": "", "currency": currency, "shipping": "", "minimum_order": ""}


def shown_supplier(terms: SupplierTerms) -> dict[str, str]:
    """The form of a supplier that is there."""
    return {
        "name": terms.name,
        "currency": terms.currency,
        "shipping": price_text(terms.shipping, terms.currency),
        "minimum_order": price_text(terms.minimum_order, terms.currency),
    }


def sent_supplier(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_supplier(texts: Mapping[str, str]) -> SupplierReading:
    """Read the form; every field that cannot be used has its sentence."""
    fields = Fields(texts, Units.MM)
    name = fields.text("name", "needs the supplier's name")
    currency = fields.text("currency", HOW_TO_NAME_CURRENCY).upper()
    if not CURRENCY.fullmatch(currency):
        return SupplierReading(errors={**fields.errors, "currency": HOW_TO_NAME_CURRENCY})
    given = {
        "name": name,
        "currency": currency,
        "shipping": fields.price("shipping", currency) or 0,
        "minimum_order": fields.price("minimum_order", currency) or 0,
    }
    if not fields.errors:
        try:
            return SupplierReading(read(SupplierTerms, given))
        except BadInput as refusal:
            fields.errors.update({str(problem.path[0]): problem.text() for problem in refusal.problems})
    return SupplierReading(errors=fields.errors)
