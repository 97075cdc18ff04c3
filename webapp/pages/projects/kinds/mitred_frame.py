"""The form of a mitred frame."""

from __future__ import annotations

from domain.spec.assemblies import MitredFrame
from webapp.form.common import whole_form
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Sort, Start, When

_RECTANGLE = When("sides", frozenset({"4"}), "for-rectangle")
_POLYGON = When("sides", frozenset(str(sides) for sides in range(3, 13) if sides != 4), "for-polygon")
_SIDES = tuple((str(sides), f"{sides}, all equal" if sides != 4 else "4, a rectangle") for sides in range(3, 13))

FORM = AssemblyForm(
    kind="mitred_frame",
    title="Mitred frame",
    use="Picture and mirror frames, three to twelve sides",
    spec=MitredFrame,
    groups=whole_form(
        Group(
            "Size",
            (
                Field("sides", "Sides", Sort.WHOLE, start="4", options=_SIDES),
                Field(
                    "measure",
                    "Measured over",
                    Sort.CHOICE,
                    start="outside",
                    options=(
                        ("outside", "Outside edges"),
                        ("opening", "Opening"),
                        ("rabbet", "Rabbet"),
                        ("glass", "Glass or panel"),
                    ),
                ),
                Field("width", "Width", start=Start("430", "17"), when=_RECTANGLE),
                Field("height", "Height", start=Start("320", "12 5/8"), when=_RECTANGLE),
                Field("across", "Across the flats", start=Start("380", "15"), when=_POLYGON),
                Field(
                    "fit_allowance",
                    "Fit allowance",
                    start=Start("3", "1/8"),
                    required=False,
                    hint="How much smaller the glass is than its rabbet, over the whole",
                ),
            ),
        ),
        Group(
            "Stock",
            (
                Field("stock.width", "Width", start=Start("42", "1 5/8")),
                Field("stock.thickness", "Thickness", start=Start("22", "7/8")),
                Field("stock.rabbet_width", "Rabbet, width", start=Start("7", "9/32"), required=False),
                Field("stock.rabbet_depth", "Rabbet, depth", start=Start("9", "11/32"), required=False),
            ),
        ),
        Group(
            "Profile",
            (
                ListOf(
                    "stock.front",
                    "Point",
                    (
                        Field("0", "From the edge"),
                        Field("1", "Height"),
                    ),
                    "Add a point",
                    starts=2,
                    required=True,
                ),
            ),
            switch="stock.front",
            switch_label="The front is shaped",
            hint="Points of the profile, from the outer edge to the inner one; heights are from the back.",
        ),
    ),
)
