"""The form of a railed frame."""

from __future__ import annotations

from domain.spec.assemblies import RailedFrame
from webapp.form.common import FITS, whole_form
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Sort, Start

_OPENINGS = ListOf("columns", "Opening", (Field("", "", Sort.OPENING),), "Add an opening beside")

FORM = AssemblyForm(
    kind="railed_frame",
    title="Railed frame",
    use="Face frames and doors: stiles run through, rails between",
    spec=RailedFrame,
    groups=whole_form(
        Group(
            "Size",
            (
                Field("width", "Width", start=Start("640", "25")),
                Field("height", "Height", start=Start("780", "31")),
                Field("thickness", "Thickness", start=Start("22", "7/8")),
            ),
        ),
        Group(
            "Stiles and rails",
            (
                Field("stile", "Stiles", start=Start("54", "2 1/8")),
                Field("top_rail", "Top rail", start=Start("54", "2 1/8")),
                Field("bottom_rail", "Bottom rail", start=Start("68", "2 5/8")),
                Field("mid_rail", "Rails between rows", start=Start("42", "1 5/8"), required=False),
                Field("mid_stile", "Stiles between openings", start=Start("42", "1 5/8"), required=False),
            ),
        ),
        Group(
            "Openings",
            (
                ListOf(
                    "rows",
                    "Row",
                    (Field("opening", "Opening height", Sort.OPENING, start="rest"), _OPENINGS),
                    "Add a row below",
                    starts=1,
                ),
            ),
            hint='Rows from the top, openings from the left. "rest" takes what is left, once in a list.',
        ),
        Group(
            "Panel",
            (
                Field("panel.fit", "Let in", Sort.CHOICE, start="groove", options=FITS),
                Field("panel.thickness", "Thickness", start=Start("5", "3/16")),
                Field("panel.width", "Groove or rabbet, width", start=Start("5", "3/16")),
                Field("panel.depth", "Groove or rabbet, depth", start=Start("9", "11/32")),
            ),
            switch="panel",
            switch_label="A panel in every opening",
        ),
    ),
)
