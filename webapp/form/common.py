"""What the forms of all five kinds have: the head, the choice of keys, exceptions for single joints."""

from __future__ import annotations

import re
from typing import Any

from domain.lengths import format_mm
from domain.spec.catalogue import Plug
from webapp.form.fields import Field, Group, ListOf, Node, Offer, Options, Sort, StartValue, When, joined

ENTRIES: Options = (
    ("back", "Back"),
    ("front", "Front"),
    ("both", "Both edges"),
    ("top", "Top"),
    ("bottom", "Bottom"),
)
LEVEL_ENTRIES = tuple(one for one in ENTRIES if one[0] in {"back", "front", "both"})
UPRIGHT_ENTRIES = tuple(one for one in ENTRIES if one[0] in {"top", "bottom", "both"})
MIDDLES: Options = (("tenons", "Loose tenons"), ("screws", "Screws"))
FITS: Options = (("groove", "In a groove"), ("rabbet", "In a rabbet"))
KEPT = ("material", "species", "cut", "keys.plug_choice", "keys.plug")
"""What a new form of every kind takes over from the shop's last one: its wood and its plugs."""
ANY = "any"
SUITS = "As suits it"
CLAMPED = "Nothing: clamp it"
PLUG_AS_BEFORE, PLUG_NONE, PLUG_OWN = "", "none", "own"
_PLUG = re.compile(r"(?P<height>[0-9.]+ mm) (?P<material>\S.*)")


def plug_choice(plug: Plug) -> str:
    """The choice of this plug, with all that makes it.

    >>> plug_choice(Plug(material="walnut", height="1/8 in"))
    '3.175 mm walnut'
    """
    return f"{format_mm(plug.height.mm, 6)} mm {plug.material}"


def chosen_plug(choice: str) -> dict[str, str] | None:
    """The plug of a choice, as the spec writes it; None where the choice is no plug."""
    found = _PLUG.fullmatch(choice)
    return None if found is None else found.groupdict()


def plug_words(choice: str) -> str:
    """A plug as the lists of what is bought call it, its height in millimetres; what is no plug as it is."""
    plug = chosen_plug(choice)
    return choice if plug is None else f"{plug['material']}, {plug['height']} high"


HEAD = Group(
    "What it is",
    (
        Field("mark", "Mark", Sort.TEXT, hint="Leads the marks of its parts: A1, A2 …"),
        Field("quantity", "How many", Sort.WHOLE, start="1"),
        Field("name", "Name", Sort.TEXT, required=False),
        Field("material", "Wood", Sort.TEXT, required=False, suggest="woods"),
    ),
)


def key_fields(lead: str, *, before: str | None, entries: Options = ENTRIES) -> tuple[Node, ...]:
    """The choices that may be pinned, under ``lead`` ("" in a joint's own item).

    ``before`` names what an empty field leaves the choice to, where somebody has chosen before: the
    word "any" then opens it again.
    """
    again = before is not None
    opened: Options = (("", before), (ANY, SUITS)) if before is not None else (("", SUITS),)
    no_plug = (PLUG_NONE, "None")
    plug_choices: Options = (("", before), no_plug) if before is not None else (("", "None"),)
    middle_opened: Options = (("", before), (ANY, CLAMPED)) if before is not None else (("", CLAMPED),)
    when = When(joined(lead, "plug_choice"), frozenset({PLUG_OWN}), "for-plug") if lead else None

    def field(name: str, label: str, sort: Sort = Sort.LENGTH, **more: Any) -> Field:
        return Field(joined(lead, name), label, sort, **{"required": False, **more})

    return (
        field("section", "Section", Sort.CHOICE, options=opened, offer=Offer.SECTIONS, any_word=again),
        field("count", "Keys side by side", Sort.WHOLE, any_word=again, hint="Along the joint line"),
        field("entry", "Driven in from", Sort.CHOICE, options=(*opened, *entries), any_word=again),
        field("recess", "Recess", any_word=again, hint="How far a driven key stops below its edge"),
        field(
            "middle",
            "Between the keys of a long edge",
            Sort.CHOICE,
            options=(*middle_opened, *MIDDLES),
            any_word=again,
        ),
        field(
            "plug_choice", "Plugs", Sort.CHOICE, options=(*plug_choices, (PLUG_OWN, "These:")), offer=Offer.PLUGS
        ),
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
JOINTS_LIST = "joints"
_EDGES: Options = (("", "Choose one"), *(one for one in ENTRIES if one[0] != "both"))
IN_SIGHT = Group(
    "In sight",
    (
        ListOf(
            "show",
            "Edge",
            (Field("", "", Sort.CHOICE, options=_EDGES),),
            "Add an edge",
            required=True,
        ),
    ),
    switch="show",
    switch_label="Other edges are looked at than usual",
    hint="Where somebody looks, a note says which keys and plugs show. Name no edge where nobody does.",
)


SAWN: Options = (
    ("", "Not said"),
    ("flat", "Flat-sawn: rings lie along the face"),
    ("quarter", "Quarter-sawn: rings stand across it"),
    ("unknown", "Unknown: taken as flat-sawn"),
)
THE_WOOD = Group(
    "The wood",
    (
        Field(
            "species",
            "Species",
            Sort.TEXT,
            required=False,
            hint="Where the wood's name does not say it",
            suggest="species",
        ),
        Field("cut", "Sawn", Sort.CHOICE, options=SAWN, required=False),
        Field(
            "one_length",
            "Cut from one length",
            Sort.YES_NO,
            options=(("", "No"), ("yes", "Yes")),
            required=False,
            hint="Its members are cut one after the other, so that the grain runs on round it",
        ),
    ),
)


def whole_form(*groups: Group, entries: Options, apart: Options | None = None) -> tuple[Group, ...]:
    """A kind's own groups between what all kinds have.

    ``entries`` are those that the kind's joints know, ``apart`` those of joints that may be excepted, if more.
    """
    keys = Group(
        "Keys",
        key_fields("keys", before="As the project", entries=entries),
        hint="Settled here for this assembly. “As suits it”, or the word any, leaves it open.",
    )
    exception: tuple[Node, ...] = (
        Field("joint", "Joint", Sort.TEXT, hint="J1, J2 … as in the list of joints"),
        *key_fields("", before="As the others", entries=apart or entries),
    )
    joints = Group(
        "Exceptions for single joints",
        (ListOf(JOINTS_LIST, "Exception", exception, "Add an exception"),),
        hint="For a joint that needs other keys than the rest. “As suits it”, or the word any, leaves it open.",
    )
    return (HEAD, *groups, THE_WOOD, IN_SIGHT, keys, joints)
