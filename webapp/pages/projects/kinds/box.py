"""The form of a box."""

from __future__ import annotations

from domain.spec.assemblies import Box
from webapp.form.common import FITS, whole_form
from webapp.form.fields import AssemblyForm, Field, Group, Sort, Start

FORM = AssemblyForm(
    kind="box",
    title="Box",
    use="Four walls, with bottom, top panel and lid as you like",
    spec=Box,
    groups=whole_form(
        Group(
            "Size",
            (
                Field(
                    "measure",
                    "Measured over",
                    Sort.CHOICE,
                    start="outside",
                    options=(("outside", "Outside"), ("inside", "Inside")),
                ),
                Field("length", "Length", start=Start("312", "12 1/4")),
                Field("width", "Width", start=Start("206", "8 1/8")),
                Field("height", "Height", start=Start("118", "4 5/8")),
                Field("wall", "Wall", start=Start("14", "9/16")),
                Field(
                    "corner",
                    "Corners",
                    Sort.CHOICE,
                    start="mitre",
                    options=(("mitre", "Mitred"), ("butt", "Butted")),
                ),
                Field("lining", "Lining, thickness", required=False),
                Field("veneer", "Veneer, thickness", required=False),
            ),
        ),
        Group(
            "Bottom",
            (
                Field("bottom.fit", "Let in", Sort.CHOICE, start="groove", options=FITS),
                Field("bottom.thickness", "Thickness", start=Start("4", "5/32")),
                Field("bottom.depth", "Depth into the wall", start=Start("3.5", "1/8")),
                Field("bottom.up", "Up from the edge", start=Start("7", "9/32"), required=False),
            ),
            switch="bottom",
            switch_label="A bottom let into the walls",
        ),
        Group(
            "Top panel",
            (
                Field("top.material", "Material", Sort.TEXT, start="glass"),
                Field("top.thickness", "Thickness", start=Start("2", "3/32")),
                Field("top.depth", "Depth into the wall", start=Start("3", "1/8")),
                Field("top.down", "Down from the edge", start=Start("5", "3/16")),
            ),
            switch="top",
            switch_label="A top panel or glazing in a groove",
        ),
        Group(
            "Lid",
            (
                Field("lid.height", "Height of the lid", start=Start("34", "1 3/8")),
                Field("lid.kerf", "Saw kerf", start=Start("1.6", "1/16")),
                Field("lid.lip", "Lip", start=Start("5", "3/16"), required=False),
                Field("lid.clearance", "Clearance of the lip", start=Start("0.15", "0.15 mm"), required=False),
            ),
            switch="lid",
            switch_label="A lid sawn off the glued box",
        ),
    ),
)
