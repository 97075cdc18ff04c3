"""The form of a project's own fields, and of the choices of keys that it pins."""

from __future__ import annotations

from dataclasses import replace

from domain.lengths import Units
from domain.spec.project import Project
from webapp.form.common import PROJECT_KEYS
from webapp.form.fields import Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, blank, shown
from webapp.form.reading import plug_chosen
from webapp.form.showing import choice_texts
from webapp.store.shop import Shop
from webapp.usecases.projects import Bench

HEAD = Group(
    "The project",
    (
        Field("name", "Name", Sort.TEXT, longest=120),
        Field("customer", "Customer", Sort.TEXT, required=False, longest=120),
        Field(
            "units",
            "Shown in",
            Sort.CHOICE,
            options=((Units.MM.value, "Millimetres"), (Units.INCH.value, "Inches and fractions")),
            hint="Either may be typed anywhere.",
        ),
        Field(
            "currency",
            "Currency",
            Sort.CURRENCY,
            required=False,
            longest=3,
            hint="Three letters, such as EUR",
            must="must be three letters, such as EUR",
        ),
    ),
)
NEW = SimpleForm((HEAD,))
EDIT = SimpleForm((HEAD, PROJECT_KEYS))


def new_head(shop: Shop) -> Filled:
    """The form of a new project, in the shop's units and currency."""
    return blank(NEW, Plain(shop.units), units=shop.units.value, currency=shop.currency)


def shown_head(bench: Bench) -> Filled:
    """The form of a project that is there."""
    head = bench.head
    filled = shown(EDIT, Plain(head.units), head, head.version)
    return replace(filled, texts={**filled.texts, **choice_texts("keys", bench.means.choices, head.units)})


def read_head(filled: Filled) -> Project:
    """The project without its assemblies. Raises Unusable."""
    values = filled.values()
    return values.made(Project, {**values.data, "keys": plug_chosen(values.data.get("keys", {}))})
