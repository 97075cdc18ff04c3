"""Sizes that somebody types into a new form, which begins without any: the demo's keys can join them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from httpx import Response

from domain.lengths import Units
from tests.webapp.pages.reading import fields, soup
from webapp.form.fields import AssemblyForm
from webapp.form.showing import starting_texts

USUAL: dict[str, dict[str, tuple[str, str]]] = {
    "mitred_frame": {
        "width": ("430", "17"),
        "height": ("320", "12 5/8"),
        "across": ("380", "15"),
        "stock.width": ("42", "1 5/8"),
        "stock.thickness": ("22", "7/8"),
        "stock.rabbet_width": ("7", "9/32"),
        "stock.rabbet_depth": ("9", "11/32"),
    },
    "railed_frame": {
        "width": ("640", "25"),
        "height": ("780", "31"),
        "thickness": ("22", "7/8"),
        "stile": ("54", "2 1/8"),
        "top_rail": ("54", "2 1/8"),
        "bottom_rail": ("68", "2 5/8"),
        "mid_rail": ("42", "1 5/8"),
        "mid_stile": ("42", "1 5/8"),
    },
    "box": {
        "length": ("312", "12 1/4"),
        "width": ("206", "8 1/8"),
        "height": ("118", "4 5/8"),
        "wall": ("14", "9/16"),
    },
    "carcass": {
        "width": ("720", "28"),
        "height": ("840", "33"),
        "depth": ("320", "12 5/8"),
        "thickness": ("19", "3/4"),
    },
    "single_joint": {
        "breadth": ("70", "2 3/4"),
        "run": ("24", "15/16"),
        "behind.0": ("55", "2 1/8"),
        "behind.1": ("55", "2 1/8"),
    },
}
"""By kind and field: in mm, and in inches."""


def usual(kind: str, units: Units = Units.MM) -> dict[str, str]:
    """The usual sizes of a kind, by field."""
    return {name: mm if units is Units.MM else inch for name, (mm, inch) in USUAL[kind].items()}


def begun(form: AssemblyForm, units: Units, mark: str) -> dict[str, str]:
    """A new form with its usual sizes typed in."""
    return starting_texts(form, units, mark) | usual(form.kind, units)


def typed_into(page: Response, changes: Mapping[str, str] | None = None) -> dict[str, Any]:
    """What the page's form sends with these changes, and with the usual sizes where a new form has none."""
    found = fields(page)
    form = soup(page).select_one("#assembly-form")
    kind = str(form["action"]).rsplit("/", 1)[-1] if form else ""
    sizes = usual(kind) if kind in USUAL else {}
    return found | {name: size for name, size in sizes.items() if not found.get(name)} | dict(changes or {})
