"""The form of a carcass."""

from __future__ import annotations

from domain.spec.assemblies import Carcass
from webapp.form.common import FITS, whole_form
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Sort, Start

FORM = AssemblyForm(
    kind="carcass",
    title="Carcass",
    use="Cabinets: sides, top, bottom, shelves, partitions, back",
    spec=Carcass,
    groups=whole_form(
        Group(
            "Size",
            (
                Field("width", "Width", start=Start("720", "28")),
                Field("height", "Height", start=Start("840", "33")),
                Field("depth", "Depth", start=Start("320", "12 5/8")),
                Field("thickness", "Thickness", start=Start("19", "3/4")),
                Field(
                    "corner",
                    "Top",
                    Sort.CHOICE,
                    start="top_between",
                    options=(
                        ("top_between", "Between the sides"),
                        ("top_over", "Over the sides"),
                        ("mitre", "Mitred to them"),
                    ),
                ),
                Field("plinth", "Plinth, height", required=False),
            ),
        ),
        Group(
            "Fixed shelves",
            (ListOf("shelves", "Shelf", (Field("", ""),), "Add a shelf"),),
            hint="From the outside bottom up to each shelf's lower face, lowest first.",
        ),
        Group(
            "Partitions",
            (ListOf("partitions", "Partition", (Field("", ""),), "Add a partition"),),
            hint="From the outside left to each partition's left face, leftmost first.",
        ),
        Group(
            "Back",
            (
                Field("back.fit", "Let in", Sort.CHOICE, start="groove", options=FITS),
                Field("back.thickness", "Thickness", start=Start("5", "3/16")),
                Field("back.depth", "Depth into the panels", start=Start("7", "9/32")),
                Field("back.inset", "In from the back edges", start=Start("12", "1/2"), required=False),
            ),
            switch="back",
            switch_label="A back let into the panels",
        ),
    ),
)
