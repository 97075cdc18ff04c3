"""The shop: its name, its units and its rules, each with what it is for and the usual value it starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units, format_length
from domain.spec.rules import Rules
from webapp.form.fields import Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, sent, shown
from webapp.form.showing import value_texts
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, SentForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.shop import Shop
from webapp.store.tokens import Sending
from webapp.usecases.shop import change_shop, the_shop

router = APIRouter(include_in_schema=False)

_UNITS = "choose millimetres or inches"
_CURRENCY = "must be three letters, such as EUR or USD"


def _length(name: str, label: str, purpose: str, *, required: bool = True) -> Field:
    return Field(name, label, hint=purpose, required=required)


def _minutes(name: str, label: str, purpose: str) -> Field:
    return Field(name, label, Sort.NUMBER, unit="min", hint=purpose)


SHOP = Group(
    "The shop",
    (
        Field("name", "Shop's name", Sort.TEXT, required=False, longest=120, hint="Stands on papers and files."),
        Field(
            "units",
            "Units",
            Sort.CHOICE,
            options=((Units.MM.value, "millimetres"), (Units.INCH.value, "inches")),
            needed=_UNITS,
            must=_UNITS,
            hint="What a plain number means; the other can be typed with its unit anywhere.",
        ),
        Field(
            "currency",
            "Currency",
            Sort.CURRENCY,
            needed=_CURRENCY,
            must=_CURRENCY,
            longest=3,
            hint="Three letters. Changing it does not convert prices.",
        ),
    ),
)
RULE_GROUPS = (
    Group(
        "Wood that must stay",
        (
            _length("wall", "Edge wood", "Least wood beside a slot, to the nearest edge of the stock."),
            _length(
                "short_grain_wall",
                "Edge wood of short grain",
                "Least wood between a slot and the end of a piece that is slotted in its face or edge, where the"
                " grain runs across it.",
            ),
            _length(
                "sheet_wall",
                "Edge wood in plywood and board",
                "Least wood beside a slot where the wood's name is that of a sheet: plywood, MDF, chipboard.",
            ),
            _length("skin", "Skin", "Least wood beyond a slot's end, under the show face."),
            _length("web", "Web", "Least wood between two slots."),
        ),
    ),
    Group(
        "Grooves",
        (
            Field(
                "cross_grooves",
                "Slots may cross grooves",
                Sort.YES_NO,
                options=(("yes", "yes"), ("no", "no")),
                hint="Grooves and rabbets of a box's bottom and top and of a carcass's back, where keys beside"
                " them hold less than wanted. The panel's corner is cut off by as much as the joint says.",
            ),
        ),
    ),
    Group(
        "How keys sit",
        (
            _length(
                "preload",
                "Test pieces start deeper by",
                "Than the snug projection: a little deeper pulls the joint shut.",
            ),
            _length(
                "squeeze_limit",
                "Squeeze limit",
                "Squeeze on each flank past which a joint is called over-tight: it may burst the corner.",
            ),
            _length("recess", "Recess", "How far a driven key sits below the entry edge."),
            _length("least_recess", "Least recess", "How far it sits below at the least, where the run is short."),
            _length(
                "plug_proud", "Plug stands proud", "How far a plug stands out of the edge, to be trimmed flush."
            ),
            Field(
                "hold_target",
                "Keys fill at least",
                Sort.PERCENT,
                most=100,
                hint="Share of the run, the way that keys are driven, that they should fill; below it a free-fit "
                "cutter is used where there is one.",
            ),
        ),
    ),
    Group(
        "The machine",
        (
            _length("stroke", "Stroke", "Deepest slot that the machine can mill; see its manual."),
            _length(
                "setting_step",
                "Setting step",
                "Fence and stops are set in whole steps of this, where a whole step fits; 0 for any figure.",
            ),
            _length(
                "inch_setting_step",
                "Setting step in inches",
                "The same for projects in inches, such as 1/64 or 1/32, as the fence is marked. Empty: as above.",
                required=False,
            ),
            _length(
                "scale_tip_diameter",
                "Cutter tip that set the depth scale",
                "Of the cutter that the depth stop's scale was set with. Empty where the stop is zeroed for "
                "each cutter.",
                required=False,
            ),
            _length(
                "fence_clearance", "Fence clearance", "Least room between the cutter and the fence beside it."
            ),
            _length(
                "least_piece",
                "Least piece by hand",
                "Shortest piece that is held by hand at the cutter; the machine's manual comes first. 0 for none.",
            ),
            _length(
                "longest_piece",
                "Longest piece without support",
                "A longer one is told how to be held: on stands, or against a tall fence. 0 for none.",
            ),
            Field(
                "heaviest_piece",
                "Heaviest piece for one person",
                Sort.NUMBER,
                unit="kg",
                hint="Reckoned from the density of the wood, where its name is that of a known one. 0 for none.",
            ),
        ),
    ),
    Group(
        "Counting",
        (
            Field(
                "test_joints",
                "Test joints",
                Sort.WHOLE,
                hint="Joints made in waste for each set-up; their keys are counted.",
            ),
            Field("spare", "Spare", Sort.PERCENT, most=1000, hint="Keys and plugs bought on top, rounded up."),
            Field(
                "glue_spread",
                "Glue per square metre",
                Sort.NUMBER,
                unit="g",
                hint="Spread on one face of the mating area.",
            ),
        ),
    ),
    Group(
        "Parts list and timber",
        (
            _length("kerf", "Saw kerf", "Wood lost to each cut."),
            _length("trim", "Trim of stock", "What comes off every end of a length, and every edge of a sheet."),
            _length(
                "least_offcut",
                "Least offcut to keep",
                "A shorter one is waste, of a sheet one whose shorter side is; 0 where none is kept.",
            ),
            _length(
                "length_allowance", "Longer for sawing", "Added to a part's finished length: to be trimmed off."
            ),
            _length(
                "width_allowance",
                "Wider for planing",
                "Added to its finished width: to be planed off.",
            ),
            _length(
                "thickness_allowance", "Thicker for planing", "Added to its thickness; 0 where stock comes planed."
            ),
            Field(
                "waste",
                "Waste of boards",
                Sort.PERCENT,
                most=300,
                hint="Bought on top where wood is bought by volume: knots, ends and what lies between parts.",
            ),
        ),
    ),
    Group(
        "Shelves",
        (
            Field(
                "sag_limit",
                "Sag allowed: length divided by",
                Sort.WHOLE,
                hint="A shelf that sags more than this part of its length in years is warned of.",
            ),
            Field(
                "creep",
                "Sag in years",
                Sort.PERCENT,
                most=1000,
                hint="Of what it sags on the first day: loaded wood goes on bending, about as much again.",
            ),
        ),
    ),
    Group(
        "Wood that moves",
        (
            _length("mitre_gap", "Mitre may open", "A mitre that wants to open more is warned of."),
            _length("panel_cover", "Stays in a groove", "Of a solid panel, when it is driest."),
            _length(
                "cross_grain_limit",
                "Crossing grain may differ",
                "Where wood that moves is held by wood that does not.",
            ),
        ),
    ),
    Group(
        "Minutes of work",
        (
            _minutes(
                "milling_minutes", "Milling a slot", "Laying a piece down, clamping it and milling one slot."
            ),
            _minutes("driving_minutes", "Driving a key", "Setting a key and driving it home."),
        ),
    ),
    Group(
        "Gluing up",
        (
            Field(
                "open_seconds",
                "Open time of the glue",
                Sort.NUMBER,
                unit="s",
                hint="From the first face spread to the last key driven; the glue's data sheet comes first.",
            ),
        ),
    ),
    Group(
        "Minutes for each change at the machine",
        (
            _minutes("change_minutes.cutter", "Cutter", "Another cutter, disconnected first."),
            _minutes("change_minutes.projection", "Projection", "How far the cutter stands out."),
            _minutes("change_minutes.fence", "Fence", "Another fence, or another angle."),
            _minutes("change_minutes.fence_reading", "Fence reading", "The fence along its scale."),
            _minutes("change_minutes.depth_stop", "Depth stop", "The stop for the slot's depth."),
            _minutes("change_minutes.clamp_height", "Clamp height", "The clamp to the stock."),
        ),
    ),
)
RULES = tuple(node for group in RULE_GROUPS for node in group.nodes if isinstance(node, Field))
FORM = SimpleForm((SHOP, *RULE_GROUPS))
_USUAL = Rules()
_OWN = frozenset({"name", "units", "currency"})
"""The fields that are the shop's, not its rules."""


@dataclass(frozen=True, slots=True)
class RulesPage:
    """The shop's form, with the usual value of every rule as text and in words.

    ``reset`` is the rule that was just put back to it, ``saved`` tells that all was just saved.
    """

    form: Filled
    usual: Mapping[str, str]
    words: Mapping[str, str]
    reset: str | None
    saved: bool
    own: Group = SHOP
    groups: tuple[Group, ...] = RULE_GROUPS


@router.get(urls.rules)
def show(request: Request, saved: bool = False) -> HTMLResponse:
    """All rules, each with what it is for and what is usual."""
    shop = the_shop(request.app.state.store)
    return _page(request, _shown(shop, Plain(shop.units)), saved=saved)


@router.post(urls.rules)
def save(request: Request, form: OnceForm) -> Response:
    """Save the rules, or put one field back to its usual value without saving."""
    store = request.app.state.store
    # plain lengths mean what they meant when the form was shown, also where it chooses other units
    plain = Plain(_shown_in(form, the_shop(store).units))
    typed, reset = sent(FORM, plain, form, edits=True), form.text("reset")
    if any(rule.name == reset for rule in RULES):
        texts = {**typed.texts, reset: usual_texts(plain)[reset]}
        return _page(request, replace(typed, texts=texts), reset=reset)

    return saved(
        request,
        typed,
        lambda: _saved(store, typed, form.sending),
        lambda form, status: _page(request, form, status=status),
        stored=lambda: _shown(the_shop(store), plain).texts,
    )


def _saved(store: Store, typed: Filled, sending: Sending) -> str:
    """Save the form; an empty rule is the usual one."""
    values = typed.values()
    rules = values.made(Rules, {name: value for name, value in values.data.items() if name not in _OWN})
    change_shop(
        store,
        sending,
        typed.version or 0,
        name=values["name"] or "",
        units=Units(values["units"]),
        currency=values["currency"],
        rules=rules,
    )
    return urls.rules(saved="true")


def _shown_in(form: SentForm, otherwise: Units) -> Units:
    """The units that the form was shown in."""
    given = form.text("shown_in")
    return Units(given) if given in set(Units) else otherwise


def _shown(shop: Shop, plain: Plain) -> Filled:
    rules = {name: getattr(shop.rules, name) for name in Rules.model_fields}
    own = {"name": shop.name, "units": shop.units, "currency": shop.currency}
    return shown(FORM, plain, {**rules, **own}, shop.version)


def _page(
    request: Request, form: Filled, *, reset: str | None = None, status: int = 200, saved: bool = False
) -> HTMLResponse:
    units = form.plain.units
    return render(
        request,
        "shop/rules.html",
        RulesPage(
            form,
            usual_texts(form.plain),
            {rule.name: usual_words(rule, units) for rule in RULES},
            reset,
            saved,
        ),
        status=status,
        headers=MAIN_ONLY,
        units=units,
    )


def usual_texts(plain: Plain) -> dict[str, str]:
    """The usual value of every rule, as it can be typed; common practice, as said in ``domain.spec.rules``."""
    return value_texts(RULES, _USUAL, plain)


def usual_words(rule: Field, units: Units) -> str:
    """The usual value of a rule with its unit, to be read."""
    value: Any = _USUAL
    for step in rule.name.split("."):
        value = getattr(value, step)
    if value is None:
        return "none"
    text = usual_texts(Plain(units))[rule.name]
    if isinstance(value, Length):
        exact = text if text.endswith("mm") else f"{text} {units.value}"
        return format_length(value.mm, units) if units is Units.MM else exact
    unit = "%" if rule.sort is Sort.PERCENT else rule.unit or ""
    return f"{text} {unit}".rstrip()
