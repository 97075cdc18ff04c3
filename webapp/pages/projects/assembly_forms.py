"""Forms of the five kinds of assembly, described as data."""

from __future__ import annotations

from domain.spec.assemblies import Box, Carcass, MitredFrame, RailedFrame, SingleJoint
from webapp.form.common import ENTRIES, FITS, KEPT, LEVEL_ENTRIES, UPRIGHT_ENTRIES, whole_form
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Sort, StartValue, When

_RECTANGLE = When("sides", frozenset({"4"}), "for-rectangle")
_POLYGON = When("sides", frozenset(str(sides) for sides in range(3, 13) if sides != 4), "for-polygon")
_IN_A_GROOVE = When("top.fit", frozenset({"groove"}), "for-groove")
_SIDES = tuple((str(sides), f"{sides}, all equal" if sides != 4 else "4, a rectangle") for sides in range(3, 13))

MITRED_FRAME = AssemblyForm(
    kind="mitred_frame",
    title="Mitred frame",
    use="Picture and mirror frames, three to twelve sides",
    spec=MitredFrame,
    sized=("width", "height", "across"),
    kept=(*KEPT, "measure", "fit_allowance", "stock"),
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
                Field("width", "Width", when=_RECTANGLE),
                Field("height", "Height", when=_RECTANGLE),
                Field("across", "Across the flats", when=_POLYGON),
                Field(
                    "fit_allowance",
                    "Fit allowance",
                    start=StartValue("3", "1/8"),
                    required=False,
                    hint="How much smaller the glass is than its rabbet, over the whole",
                ),
            ),
        ),
        Group(
            "Moulding",
            (
                Field("stock.width", "Width"),
                Field("stock.thickness", "Thickness"),
                Field("stock.rabbet_width", "Rabbet, width", required=False),
                Field("stock.rabbet_depth", "Rabbet, depth", required=False),
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
        entries=LEVEL_ENTRIES,
    ),
)

RAILED_FRAME = AssemblyForm(
    kind="railed_frame",
    title="Face frame or door",
    use="Stiles, rails and what lies between them",
    spec=RailedFrame,
    sized=("width", "height"),
    kept=(*KEPT, "thickness", "stile", "top_rail", "bottom_rail", "mid_rail", "mid_stile", "through"),
    groups=whole_form(
        Group(
            "Size",
            (
                Field("width", "Width"),
                Field("height", "Height"),
                Field("thickness", "Thickness"),
            ),
        ),
        Group(
            "Stiles and rails",
            (
                Field("stile", "Stiles"),
                Field("top_rail", "Top rail"),
                Field("bottom_rail", "Bottom rail"),
                Field("mid_rail", "Rails between rows", required=False),
                Field("mid_stile", "Stiles between openings", required=False),
                Field(
                    "through",
                    "Through at the corners",
                    Sort.CHOICE,
                    start="stiles",
                    options=(("stiles", "Stiles"), ("rails", "Rails")),
                ),
            ),
        ),
        Group(
            "Openings",
            (
                Field(
                    "rows",
                    "Rows from the top",
                    Sort.IN_LINE,
                    required=False,
                    hint="Heights, as 150, rest; openings beside each other in brackets:"
                    " 150 (200, rest, 200), rest",
                ),
                Field(
                    "columns",
                    "Or columns from the left",
                    Sort.IN_LINE,
                    required=False,
                    hint="Where mid stiles run through from rail to rail. Widths, and in brackets what lies in"
                    " each from the top: 300 (rest, 150), rest",
                ),
            ),
            hint="Nothing here: one opening. “rest” takes what is left, once in a list.",
        ),
        Group(
            "Panel",
            (
                Field("panel.fit", "Let in", Sort.CHOICE, start="groove", options=FITS),
                Field("panel.thickness", "Thickness", start=StartValue("5", "3/16")),
                Field("panel.width", "Groove or rabbet, width", start=StartValue("5", "3/16")),
                Field("panel.depth", "Groove or rabbet, depth", start=StartValue("9", "11/32")),
            ),
            switch="panel",
            switch_label="A panel in every opening",
        ),
        entries=LEVEL_ENTRIES,
    ),
)

BOX = AssemblyForm(
    kind="box",
    title="Box",
    use="Four walls, with bottom, top panel and lid as you like",
    spec=Box,
    sized=("length", "width", "height"),
    kept=(*KEPT, "measure", "wall", "corner"),
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
                Field("length", "Length"),
                Field("width", "Width"),
                Field("height", "Height"),
                Field("wall", "Walls, thickness"),
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
                Field("bottom.thickness", "Thickness", start=StartValue("4", "5/32")),
                Field("bottom.depth", "Depth into the wall", start=StartValue("3.5", "1/8")),
                Field("bottom.up", "Up from the edge", start=StartValue("7", "9/32"), required=False),
            ),
            switch="bottom",
            switch_label="A bottom let into the walls",
        ),
        Group(
            "Top panel",
            (
                Field("top.material", "Material", Sort.TEXT, start="glass"),
                Field(
                    "top.fit",
                    "Lies",
                    Sort.CHOICE,
                    start="groove",
                    options=(("groove", "In a groove"), ("over", "Over the walls")),
                ),
                Field("top.thickness", "Thickness", start=StartValue("2", "3/32")),
                Field("top.depth", "Depth into the wall", start=StartValue("3", "1/8"), when=_IN_A_GROOVE),
                Field("top.down", "Down from the edge", start=StartValue("5", "3/16"), when=_IN_A_GROOVE),
            ),
            switch="top",
            switch_label="A top panel or glazing",
        ),
        Group(
            "Lid",
            (
                Field("lid.height", "Height of the lid", start=StartValue("34", "1 3/8")),
                Field("lid.kerf", "Saw kerf", start=StartValue("1.6", "1/16")),
                Field("lid.lip", "Lip", start=StartValue("5", "3/16"), required=False),
                Field(
                    "lid.clearance", "Clearance of the lip", start=StartValue("0.15", "0.15 mm"), required=False
                ),
            ),
            switch="lid",
            switch_label="A lid sawn off the glued box",
        ),
        entries=UPRIGHT_ENTRIES,
    ),
)

CARCASS = AssemblyForm(
    kind="carcass",
    title="Carcass",
    use="Cabinets: sides, top, bottom, shelves, partitions, back",
    spec=Carcass,
    sized=("width", "height", "depth"),
    kept=(*KEPT, "thickness", "corner"),
    groups=whole_form(
        Group(
            "Size",
            (
                Field("width", "Width"),
                Field("height", "Height"),
                Field("depth", "Depth"),
                Field("thickness", "Thickness"),
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
                Field("plinth.height", "Plinth, height", required=False),
                Field(
                    "plinth.setback",
                    "Plinth, set back",
                    required=False,
                    hint="From the front edges, for the toes; empty: flush with them",
                ),
            ),
        ),
        Group(
            "Fixed shelves",
            (
                Field(
                    "shelves",
                    "Heights of the shelves",
                    Sort.IN_LINE,
                    required=False,
                    hint="As 300, 600, or 300 in bay 2, 600 set back 20",
                ),
                Field(
                    "shelf_load",
                    "Load on each metre of shelf",
                    Sort.NUMBER,
                    unit="kg",
                    required=False,
                    hint="A full row of books is 30 to 60; 1 lb on each foot is 1.5 kg on each metre.",
                ),
            ),
            hint="From the outside bottom up to each shelf's lower face, lowest first. Bays are counted from the"
            " left; a shelf that names none lies in all of them. Set back: so far behind the front edges.",
        ),
        Group(
            "Partitions",
            (
                Field(
                    "partitions",
                    "Distances of the partitions",
                    Sort.IN_LINE,
                    required=False,
                    hint="As 270, 540, or 270 set back 20",
                ),
            ),
            hint="From the outside left to each partition's left face, leftmost first. A shelf beside one that is"
            " set back is set back as far, or farther.",
        ),
        Group(
            "Back",
            (
                Field("back.fit", "Let in", Sort.CHOICE, start="groove", options=FITS),
                Field("back.thickness", "Thickness", start=StartValue("5", "3/16")),
                Field("back.depth", "Depth into the panels", start=StartValue("7", "9/32")),
                Field("back.inset", "In from the back edges", start=StartValue("12", "1/2"), required=False),
            ),
            switch="back",
            switch_label="A back let into the panels",
        ),
        entries=LEVEL_ENTRIES,
        apart=ENTRIES,
    ),
)

SINGLE_JOINT = AssemblyForm(
    kind="single_joint",
    title="Single joint",
    use="One joint typed in by hand, for all that is none of these",
    spec=SingleJoint,
    kept=(*KEPT, "angle", "entry"),
    groups=whole_form(
        Group(
            "Mating face",
            (
                Field("breadth", "Along the joint line"),
                Field("run", "Along the slot"),
                Field(
                    "angle",
                    "Angle to the outer edge",
                    Sort.NUMBER,
                    start="90",
                    unit="°",
                    hint="45 a square mitre, 90 a butt joint",
                ),
                Field(
                    "entry",
                    "Keys may go in from",
                    Sort.CHOICE,
                    start="back",
                    options=(("back", "Back"), ("both", "Both edges")),
                ),
            ),
        ),
        Group(
            "Wood behind the face",
            (
                Field("behind.0", "First member"),
                Field("behind.1", "Second member"),
            ),
        ),
        entries=LEVEL_ENTRIES,
    ),
)

FORMS: dict[str, AssemblyForm] = {
    form.kind: form for form in (MITRED_FRAME, RAILED_FRAME, BOX, CARCASS, SINGLE_JOINT)
}
"""Every form by its kind."""
