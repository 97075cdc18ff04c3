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
                Field("width", "Width", start=Start("600", "24")),
                Field("height", "Height", start=Start("720", "28")),
                Field("thickness", "Thickness", start=Start("20", "3/4")),
            ),
        ),
        Group(
            "Stiles and rails",
            (
                Field("stile", "Stiles", start=Start("45", "1 3/4")),
                Field("top_rail", "Top rail", start=Start("45", "1 3/4")),
                Field("bottom_rail", "Bottom rail", start=Start("60", "2 1/4")),
                Field("mid_rail", "Rails between rows", start=Start("38", "1 1/2"), required=False),
                Field("mid_stile", "Stiles between openings", start=Start("38", "1 1/2"), required=False),
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
                Field("panel.thickness", "Thickness", start=Start("6", "1/4")),
                Field("panel.width", "Groove or rabbet, width", start=Start("6", "1/4")),
                Field("panel.depth", "Groove or rabbet, depth", start=Start("10", "3/8")),
            ),
            switch="panel",
            switch_label="A panel in every opening",
        ),
    ),
)
