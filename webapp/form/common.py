"""What the forms of all five kinds have: the head, the choice of keys, exceptions for single joints."""

from __future__ import annotations

from typing import Any

from webapp.form.fields import Field, Group, ListOf, Node, Offer, Options, Sort, StartValue, When, joined

ENTRIES: Options = (
    ("back", "Back"),
    ("front", "Front"),
    ("both", "Both edges"),
    ("top", "Top"),
    ("bottom", "Bottom"),
)
FITS: Options = (("groove", "In a groove"), ("rabbet", "In a rabbet"))
ANY = "any"
SUITS = "As suits it"
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


def key_fields(lead: str, *, before: str | None) -> tuple[Node, ...]:
    """The choices that may be pinned, under ``lead`` ("" in a joint's own item).

    ``before`` names what an empty field leaves the choice to, where somebody has chosen before: the
    word "any" then opens it again.
    """
    again = before is not None
    opened: Options = (("", before), (ANY, SUITS)) if before is not None else (("", SUITS),)
    no_plug = (PLUG_NONE, "None")
    plug_choices: Options = (("", before), no_plug) if before is not None else (("", "None"),)
    when = When(joined(lead, "plug_choice"), frozenset({PLUG_OWN}), "for-plug") if lead else None

    def field(name: str, label: str, sort: Sort = Sort.LENGTH, **more: Any) -> Field:
        return Field(joined(lead, name), label, sort, **{"required": False, **more})

    return (
        field("section", "Section", Sort.CHOICE, options=opened, offer=Offer.SECTIONS, any_word=again),
        field("count", "Rows", Sort.WHOLE, any_word=again),
        field("entry", "Driven in from", Sort.CHOICE, options=(*opened, *ENTRIES), any_word=again),
        field("recess", "Recess", any_word=again),
        field("plug_choice", "Plugs", Sort.CHOICE, options=(*plug_choices, (PLUG_OWN, "These:"))),
        field(
            "plug.material",
            "Wood of the plugs",
            Sort.TEXT,
            offer=Offer.MATERIALS,
            when=when,
            required=when is not None,
        ),
        field(
            "plug.height",
            "Height of a plug",
            start=StartValue("3", "1/8") if lead else "",
            when=when,
            required=when is not None,
        ),
    )


PROJECT_KEYS = Group(
    "Keys",
    key_fields("keys", before=None),
    hint="For all of the project's joints. Left open, each gets what suits its wood and the shop's rules.",
)
KEYS = Group(
    "Keys",
    key_fields("keys", before="As the project"),
    hint="Settled here for this assembly. “As suits it”, or the word any, leaves it open.",
)

_APART: tuple[Node, ...] = (
    Field("joint", "Joint", Sort.TEXT, hint="J1, J2 … as in the list of joints"),
    *key_fields("", before="As the others"),
)

JOINTS_LIST = "joints"
JOINTS = Group(
    "Exceptions for single joints",
    (ListOf(JOINTS_LIST, "Exception", _APART, "Add an exception"),),
    hint="For a joint that needs other keys than the rest. “As suits it”, or the word any, leaves it open.",
)


def whole_form(*groups: Group) -> tuple[Group, ...]:
    """A kind's own groups between what all kinds have."""
    return (HEAD, *groups, KEYS, JOINTS)
