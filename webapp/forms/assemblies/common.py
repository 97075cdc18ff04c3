"""What the forms of all five kinds have: the head, the choice of keys, joints set apart."""

from __future__ import annotations

from webapp.forms.assemblies.fields import Field, Group, ListOf, Node, Offer, Options, Sort, Start

ENTRIES: Options = (
    ("back", "Back"),
    ("front", "Front"),
    ("both", "Both edges"),
    ("top", "Top"),
    ("bottom", "Bottom"),
)
FITS: Options = (("groove", "In a groove"), ("rabbet", "In a rabbet"))
ANY = "any"
PLUG_AS_BEFORE, PLUG_NONE, PLUG_OWN = "", "none", "own"

HEAD = Group(
    "What it is",
    (
        Field("mark", "Mark", Sort.TEXT, hint="Leads the marks of its parts: A1, A2 …"),
        Field("quantity", "How many", Sort.WHOLE, start="1"),
        Field("name", "Name", Sort.TEXT, required=False),
        Field("material", "Wood", Sort.TEXT, required=False),
    ),
)

KEYS = Group(
    "Keys",
    (
        Field(
            "keys.section",
            "Section",
            Sort.CHOICE,
            required=False,
            options=(("", "As suits it"),),
            offer=Offer.SECTIONS,
        ),
        Field("keys.count", "Rows at a joint", Sort.WHOLE, required=False),
        Field(
            "keys.entry",
            "Driven in from",
            Sort.CHOICE,
            required=False,
            options=(("", "As suits it"), *ENTRIES),
        ),
        Field("keys.recess", "Recess", required=False),
    ),
    hint="Left open, each joint gets what suits its wood and the shop's rules.",
)

PLUG = Group(
    "Plugs",
    (
        Field("keys.plug.material", "Wood of the plugs", Sort.TEXT, offer=Offer.MATERIALS),
        Field("keys.plug.height", "Height of a plug", start=Start("3", "1/8")),
    ),
    switch="keys.plug",
    switch_label="Wooden plugs over the keys",
)

_APART: tuple[Node, ...] = (
    Field("joint", "Joint", Sort.TEXT, hint="J1, J2 … as in the list of joints"),
    Field(
        "section",
        "Section",
        Sort.CHOICE,
        required=False,
        options=(("", "As the others"), (ANY, "As suits it")),
        offer=Offer.SECTIONS,
        any_word=True,
    ),
    Field("count", "Rows", Sort.WHOLE, required=False, any_word=True),
    Field(
        "entry",
        "Driven in from",
        Sort.CHOICE,
        required=False,
        options=(("", "As the others"), (ANY, "As suits it"), *ENTRIES),
        any_word=True,
    ),
    Field("recess", "Recess", required=False, any_word=True),
    Field(
        "plug_choice",
        "Plugs",
        Sort.CHOICE,
        required=False,
        options=((PLUG_AS_BEFORE, "As the others"), (PLUG_NONE, "None here"), (PLUG_OWN, "These:")),
    ),
    Field("plug.material", "Wood of the plugs", Sort.TEXT, required=False, offer=Offer.MATERIALS),
    Field("plug.height", "Height of a plug", required=False),
)

JOINTS_LIST = "joints"
JOINTS = Group(
    "Joints set apart",
    (ListOf(JOINTS_LIST, "Joint set apart", _APART, "Set a joint apart"),),
    hint='For a joint that needs other keys than the rest. "any" in a field leaves it open for this joint.',
)


def whole_form(*groups: Group) -> tuple[Group, ...]:
    """A kind's own groups between what all kinds have."""
    return (HEAD, *groups, KEYS, PLUG, JOINTS)
