"""The form of a plug: its wood, its height, what one costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from domain.lengths import Units
from domain.problems import BadInput
from domain.reading import read
from domain.spec.catalogue import Plug
from webapp.form.values import Fields
from webapp.site.incoming import SentForm
from webapp.store.catalogue import StoredPlug
from webapp.wording.exact import length_text, price_text

LABELS = {"material": "Wood", "height": "Height", "price": "Price of one"}
BLANK = dict.fromkeys(LABELS, "")


@dataclass(frozen=True, slots=True)
class PlugReading:
    """The form, read: ``plug`` and ``price`` where all is well, else ``errors`` by field."""

    plug: Plug | None = None
    price: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def shown_plug(stored: StoredPlug, units: Units, currency: str) -> dict[str, str]:
    """The form of a plug that is in the catalogue."""
    return {
        "material": stored.plug.material,
        "height": length_text(stored.plug.height, units),
        "price": price_text(stored.price, currency),
    }


def sent_plug(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_plug(texts: Mapping[str, str], units: Units, currency: str) -> PlugReading:
    """Read the form; every field that cannot be used has its sentence."""
    fields = Fields(texts, units)
    material = fields.text("material", "needs the wood's name, such as walnut")
    height = fields.length("height")
    price = fields.price("price", currency)
    if not fields.errors:
        try:
            return PlugReading(read(Plug, {"material": material, "height": height}), price)
        except BadInput as refusal:
            fields.errors.update({str(problem.path[0]): problem.text(units) for problem in refusal.problems})
    return PlugReading(errors=fields.errors)
