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
                Field("length", "Length", start=Start("280", "11")),
                Field("width", "Width", start=Start("180", "7")),
                Field("height", "Height", start=Start("100", "4")),
                Field("wall", "Wall", start=Start("15", "5/8")),
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
                Field("bottom.thickness", "Thickness", start=Start("5", "3/16")),
                Field("bottom.depth", "Depth into the wall", start=Start("4", "5/32")),
                Field("bottom.up", "Up from the edge", start=Start("6", "1/4"), required=False),
            ),
            switch="bottom",
            switch_label="A bottom let into the walls",
        ),
        Group(
            "Top panel",
            (
                Field("top.material", "Material", Sort.TEXT, start="glass"),
                Field("top.thickness", "Thickness", start=Start("3", "1/8")),
                Field("top.depth", "Depth into the wall", start=Start("4", "5/32")),
                Field("top.down", "Down from the edge", start=Start("4", "5/32")),
            ),
            switch="top",
            switch_label="A top panel or glazing in a groove",
        ),
        Group(
            "Lid",
            (
                Field("lid.height", "Height of the lid", start=Start("30", "1 1/4")),
                Field("lid.kerf", "Saw kerf", start=Start("2", "3/32")),
                Field("lid.lip", "Lip", start=Start("6", "1/4"), required=False),
                Field("lid.clearance", "Clearance of the lip", start=Start("0.1", "0.1 mm"), required=False),
            ),
            switch="lid",
            switch_label="A lid sawn off the glued box",
        ),
    ),
)
