"""The form of the shop and its rules: what each rule is for, and the usual value it starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from domain.lengths import Length, Units, format_length
from domain.problems import BadInput
from domain.reading import read
from domain.spec.rules import Rules
from webapp.form.values import Fields
from webapp.site.incoming import SentForm
from webapp.store.shop import Shop
from webapp.wording.exact import length_text, number_text

USUAL = Rules()


class Kind(Enum):
    """What is typed for a rule."""

    LENGTH = "length"
    COUNT = "count"
    PERCENT = "percent"
    GRAMS = "grams"
    MINUTES = "minutes"

    @property
    def unit(self) -> str | None:
        """The unit shown at the field, where it is always the same."""
        return {Kind.PERCENT: "%", Kind.GRAMS: "g", Kind.MINUTES: "min"}.get(self)


@dataclass(frozen=True, slots=True)
class RuleField:
    """One rule: the field's name, its label, what it is typed as, and what it is for."""

    name: str
    label: str
    kind: Kind
    purpose: str

    @property
    def usual(self) -> Any:
        """The value that is common practice."""
        return _value(USUAL, self.name)

    def text(self, rules: Rules, units: Units) -> str:
        """The rule's value as it can be typed again; "" for none."""
        return self._text(_value(rules, self.name), units)

    def usual_text(self, units: Units) -> str:
        """The usual value as it can be typed."""
        return self._text(self.usual, units)

    def usual_words(self, units: Units) -> str:
        """The usual value with its unit, to be read."""
        if self.usual is None:
            return "none"
        if self.kind is Kind.LENGTH:
            return format_length(self.usual.mm, units) if units is Units.MM else self._exact(units)
        return f"{self.usual_text(units)} {self.kind.unit or ''}".rstrip()

    def _exact(self, units: Units) -> str:
        text = self.usual_text(units)
        return text if text.endswith("mm") else f"{text} {units.value}"

    def _text(self, value: Any, units: Units) -> str:
        if value is None or isinstance(value, Length):
            return length_text(value, units)
        return number_text(value, 100 if self.kind is Kind.PERCENT else 1)


@dataclass(frozen=True, slots=True)
class RuleGroup:
    """Rules that belong together."""

    title: str
    rules: tuple[RuleField, ...]


GROUPS = (
    RuleGroup(
        "Wood that must stay",
        (
            RuleField("wall", "Wall", Kind.LENGTH, "Least wood beside a slot, to the nearest edge of the stock."),
            RuleField("skin", "Skin", Kind.LENGTH, "Least wood beyond a slot's end, under the show face."),
            RuleField("web", "Web", Kind.LENGTH, "Least wood between two slots."),
        ),
    ),
    RuleGroup(
        "How keys sit",
        (
            RuleField(
                "preload",
                "Preload",
                Kind.LENGTH,
                "Added to the snug projection as a start for test pieces: a little deeper pulls the joint shut.",
            ),
            RuleField(
                "squeeze_limit",
                "Squeeze limit",
                Kind.LENGTH,
                "Squeeze on each flank past which a joint is called over-tight: it may burst the corner.",
            ),
            RuleField("recess", "Recess", Kind.LENGTH, "How far a driven key sits below the entry edge."),
            RuleField(
                "least_recess",
                "Least recess",
                Kind.LENGTH,
                "How far it sits below at the least, where the run is short.",
            ),
            RuleField(
                "plug_proud",
                "Plug stands proud",
                Kind.LENGTH,
                "How far a plug stands out of the edge, to be trimmed flush.",
            ),
            RuleField(
                "hold_target",
                "Hold wanted",
                Kind.PERCENT,
                "Share of the run that keys should fill; below it a free-fit cutter is used where there is one.",
            ),
        ),
    ),
    RuleGroup(
        "The machine",
        (
            RuleField("stroke", "Stroke", Kind.LENGTH, "Deepest slot that the machine can mill; see its manual."),
            RuleField(
                "setting_step",
                "Setting step",
                Kind.LENGTH,
                "Fence and stops are set in whole steps of this, where a whole step fits; 0 for any figure.",
            ),
            RuleField(
                "scale_tip_diameter",
                "Depth scale set with",
                Kind.LENGTH,
                "Tip of the cutter that the depth stop's scale was set with. Empty where the stop is zeroed for "
                "each cutter.",
            ),
            RuleField("kerf", "Saw kerf", Kind.LENGTH, "Wood lost to each cut when stock is cut to length."),
            RuleField(
                "fence_clearance",
                "Fence clearance",
                Kind.LENGTH,
                "Least room between the cutter and the fence beside it.",
            ),
            RuleField(
                "least_piece",
                "Least piece by hand",
                Kind.LENGTH,
                "Shortest piece that is held by hand at the cutter; the machine's manual comes first. 0 for none.",
            ),
        ),
    ),
    RuleGroup(
        "Counting",
        (
            RuleField(
                "test_joints",
                "Test joints",
                Kind.COUNT,
                "Joints made in waste for each set-up; their keys are counted.",
            ),
            RuleField("spare", "Spare", Kind.PERCENT, "Keys and plugs bought on top, rounded up."),
            RuleField(
                "glue_spread", "Glue per square metre", Kind.GRAMS, "Spread on one face of the mating area."
            ),
        ),
    ),
    RuleGroup(
        "Minutes of work",
        (
            RuleField(
                "milling_minutes",
                "Milling a slot",
                Kind.MINUTES,
                "Laying a piece down, clamping it and milling one slot.",
            ),
            RuleField("driving_minutes", "Driving a key", Kind.MINUTES, "Setting a key and driving it home."),
        ),
    ),
    RuleGroup(
        "Minutes for each change at the machine",
        (
            RuleField("change_minutes.cutter", "Cutter", Kind.MINUTES, "Another cutter, disconnected first."),
            RuleField("change_minutes.projection", "Projection", Kind.MINUTES, "How far the cutter stands out."),
            RuleField("change_minutes.fence", "Fence", Kind.MINUTES, "Another fence, or another angle."),
            RuleField("change_minutes.fence_reading", "Fence reading", Kind.MINUTES, "The fence along its scale."),
            RuleField("change_minutes.depth_stop", "Depth stop", Kind.MINUTES, "The stop for the slot's depth."),
            RuleField("change_minutes.clamp_height", "Clamp height", Kind.MINUTES, "The clamp to the stock."),
        ),
    ),
)
RULES = tuple(rule for group in GROUPS for rule in group.rules)
BY_NAME = {rule.name: rule for rule in RULES}
SHOP_LABELS = {"name": "Shop's name", "units": "Units", "currency": "Currency"}
LABELS = {**SHOP_LABELS, **{rule.name: rule.label for rule in RULES}}
_MOST_PERCENT = {"hold_target": 100, "spare": 1000}


def _value(rules: Rules, name: str) -> Any:
    value: Any = rules
    for step in name.split("."):
        value = getattr(value, step)
    return value


@dataclass(frozen=True, slots=True)
class ShopReading:
    """The form, read: the shop's fields where all is well, else ``errors`` by field."""

    name: str = ""
    units: Units = Units.MM
    currency: str = ""
    rules: Rules | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def shown_shop(shop: Shop, shown_in: Units) -> dict[str, str]:
    """The form of the shop as it is, plain lengths in ``shown_in``; texts read back to the same values."""
    texts = {"name": shop.name, "units": shop.units.value, "currency": shop.currency}
    return texts | {rule.name: rule.text(shop.rules, shown_in) for rule in RULES}


def sent_units(form: SentForm, otherwise: Units) -> Units:
    """The units that the form was shown in."""
    sent = form.text("shown_in")
    return Units(sent) if sent in set(Units) else otherwise


def sent_shop(form: SentForm) -> dict[str, str]:
    """The form as it was sent."""
    return {name: form.text(name) for name in LABELS}


def read_shop(texts: Mapping[str, str], shown_in: Units) -> ShopReading:
    """Read the form; every field that cannot be used has its sentence.

    Plain lengths are in ``shown_in``, the units that the form was shown in, also where the form
    chooses others. An empty rule is the usual one.
    """
    fields = Fields(texts, shown_in)
    units = Units(texts["units"]) if texts["units"] in set(Units) else None
    if units is None:
        fields.errors["units"] = "choose millimetres or inches"
    currency = texts["currency"].upper()
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        fields.errors["currency"] = "must be three letters, such as EUR or USD"
    data: dict[str, Any] = {"change_minutes": {}}
    for rule in RULES:
        group, _, name = rule.name.rpartition(".")
        (data[group] if group else data)[name] = _read_rule(fields, rule)
    if units is None or fields.errors:
        return ShopReading(errors=fields.errors)
    try:
        return ShopReading(texts["name"], units, currency, read(Rules, data))
    except BadInput as refusal:
        return ShopReading(errors=errors_by_field(refusal, shown_in))


def errors_by_field(refusal: BadInput, units: Units) -> dict[str, str]:
    """The domain's problems at the form's fields, lengths in ``units``."""
    return {".".join(map(str, problem.path)): problem.text(units) for problem in refusal.problems}


def _read_rule(fields: Fields, rule: RuleField) -> Any:
    if fields.missing(rule.name):
        return rule.usual
    if rule.kind is Kind.LENGTH:
        return fields.length(rule.name, zero=True)
    number = fields.number(rule.name)
    if number is None:
        return None
    if rule.kind is Kind.COUNT and number == number.to_integral_value():
        return int(number)
    if rule.kind is Kind.PERCENT:
        most = _MOST_PERCENT[rule.name]
        if not 0 <= number <= most:
            fields.errors[rule.name] = f"must be from 0 to {most} %"
        return float(number / 100)
    return float(number)
