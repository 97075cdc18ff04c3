"""What an edit changed, by the fields of the forms that edit it: every kind of row as its form shows it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from pydantic import BaseModel

from domain.lengths import Units
from domain.ordering.items import Item, ItemKind
from domain.spec.choices import NO_CHOICES
from domain.spec.quote import QuoteTerms, ShopTerms
from domain.spec.wood import Climate, WoodToCut, wood_document
from webapp.form.fields import Field, Group, Plain
from webapp.form.showing import choice_texts, value_texts
from webapp.form.telling import changed_assembly, changed_fields
from webapp.pages.catalogue.plugs import PLUG
from webapp.pages.catalogue.section_form import KEY, SHAPE, USE
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.kept_patterns import PATTERN
from webapp.pages.projects.movement import CLIMATE
from webapp.pages.projects.notes import NOTE
from webapp.pages.projects.photographs import PHOTOGRAPH
from webapp.pages.projects.project_state import STATE
from webapp.pages.projects.projects import EDIT
from webapp.pages.quotes.quote_form import PRICES, QUOTE, SHOP, shown_terms
from webapp.pages.shop.rules import FORM as SHOP_SETTINGS
from webapp.pages.shop.rules import RULE_GROUPS
from webapp.pages.stock.movement_form import Booking, booking_form, quantity_of
from webapp.pages.stock.offers import PACK
from webapp.pages.stock.suppliers import SUPPLIER
from webapp.pages.timber.cutting_stock import STOCK, stock_texts
from webapp.pages.timber.part_change import CHANGE
from webapp.store.past_reading import Changed
from webapp.store.shop import Shop
from webapp.usecases.past_values import values_of
from webapp.wording.job import about_words
from webapp.wording.money import format_money
from webapp.wording.past import PLACE, EditedField, RowChange, Values, edit_words

Changes = Iterator[EditedField]
Sides = tuple[Values, Values]
"""A row as it was and as it is."""
Value = TypeVar("Value")
Made = TypeVar("Made")
_MILLIONTHS = 1_000_000
_SHOPS, _OWN = "the shop’s", "its own"
OWN_SECTIONS, OWN_RULES, OWN_STARTS = "Sections of its own", "Rules of its own", "Accepted starts of its own"
WITHDRAWN = "Withdrawn"
UNLABELLED = frozenset({PLACE, OWN_SECTIONS, OWN_RULES, OWN_STARTS, WITHDRAWN})
"""What no form has a field for: it is moved by buttons, or comes in with a file."""


def plain_of(head: Mapping[str, Any] | None, shop: Shop) -> Plain:
    """How a thing's figures are read: by its head's own units and currency, where it has them, or the shop's."""
    own = head or {}
    return Plain(Units(own.get("units") or shop.units), own.get("currency") or shop.currency)


def told(changes: Iterable[tuple[Changed, Plain]]) -> tuple[str, ...]:
    """What an edit changed, in words, each row by its thing's units and currency."""
    return edit_words([(row_change(changed, plain), plain.units) for changed, plain in changes])


def row_change(changed: Changed, plain: Plain) -> RowChange:
    """What an edit did to a row, to be worded: for a row that stayed, the fields of its form that differ."""
    before, after = _values(changed.table, changed.before), _values(changed.table, changed.after)
    fields: tuple[EditedField, ...] = ()
    if before is not None and after is not None:
        # a column that one side does not know, for it was kept by an earlier version, says nothing
        known = before.keys() & after.keys()
        sides = {name: before[name] for name in known}, {name: after[name] for name in known}
        tell = _TELLERS.get(changed.table)
        fields = (*_moved(sides), *(tell(sides, plain) if tell else ()))
    return RowChange(changed.table, before, after, fields)


def _values(table: str, line: Mapping[str, Any] | None) -> Values | None:
    return None if line is None else values_of(table, dict(line))


def _both(make: Callable[[Value], Made], sides: tuple[Value, Value]) -> tuple[Made, Made]:
    return make(sides[0]), make(sides[1])


def _moved(sides: Sides) -> Changes:
    if sides[0].get("position") != sides[1].get("position"):
        yield EditedField(PLACE)


def _of_form(groups: Iterable[Group], sides: Sides, plain: Plain, of: str = "") -> Changes:
    """The fields that differ, of a form whose fields are found in both sides by their names."""
    groups = tuple(groups)
    nodes = [node for group in groups for node in group.nodes]
    return changed_fields(groups, _both(lambda side: value_texts(nodes, side, plain), sides), plain, of)


def _only(*fields: Field) -> tuple[Group, ...]:
    return (Group("", fields),)


def _project(sides: Sides, plain: Plain) -> Changes:
    yield from changed_fields(EDIT.groups, _both(lambda side: _head_texts(side, plain), sides), plain)
    yield from _of_form(_only(STATE.field("due")), sides, plain)
    yield from _of_form(NOTE.groups, sides, plain)
    for mark, notes in _by_name(_both(lambda side: side.get("notes_json"), sides)):
        yield from _of_form(NOTE.groups, _both(lambda note: {"note": note}, notes), plain, about_words(mark))
    yield from _of_form(CLIMATE.groups, _both(lambda side: _air(side.get("climate_json")), sides), plain)
    for item, woods in _by_name(_both(lambda side: _woods(side.get("stock_json")), sides)):
        yield from _cut_from(item, woods, plain)
    for mark, changes in _by_name(_both(lambda side: side.get("parts_json"), sides)):
        yield from _of_form(CHANGE.groups, _both(_fields_of, changes), plain, f"part {mark}")
    yield from _terms(_both(lambda side: side.get("quote_json") or QuoteTerms(), sides), plain)
    yield from _brought(sides, plain)


def _head_texts(row: Values, plain: Plain) -> dict[str, str]:
    fields = [node for group in EDIT.groups for node in group.nodes if not node.name.startswith("keys.")]
    return value_texts(fields, row, plain) | choice_texts("keys", row.get("keys_json") or NO_CHOICES, plain.units)


def _by_name(sides: tuple[Mapping[str, Any] | None, ...]) -> Iterator[tuple[str, tuple[Any, Any]]]:
    """What both sides have under each name, in order, where it differs."""
    before, after = (side or {} for side in sides)
    for name in dict.fromkeys((*before, *after)):
        if before.get(name) != after.get(name):
            yield name, (before.get(name), after.get(name))


def _air(climate: Climate | None) -> Mapping[str, Any]:
    return {} if climate is None else wood_document(climate)


def _fields_of(model: BaseModel | None) -> Mapping[str, Any]:
    return {} if model is None else {name: getattr(model, name) for name in type(model).model_fields}


def _woods(woods: tuple[WoodToCut, ...] | None) -> dict[str, WoodToCut]:
    return {wood.item or "every wood": wood for wood in woods or ()}


def _cut_from(item: str, woods: tuple[WoodToCut | None, WoodToCut | None], plain: Plain) -> Changes:
    for field in changed_fields(STOCK.groups, _both(lambda wood: stock_texts(wood, plain), woods), plain, item):
        # lines of lengths and prices, whose plain numbers would say no units
        yield replace(field, before="", after="") if field.label == STOCK.field("stock").label else field


def _terms(terms: tuple[QuoteTerms, QuoteTerms], plain: Plain) -> Changes:
    sides = _both(lambda each: shown_terms(QUOTE, plain, each, (), 1).texts, terms)
    yield from changed_fields(QUOTE.groups, sides, plain)
    for item, prices in _by_name(_both(lambda each: {typed.item: typed.price for typed in each.prices}, terms)):
        yield _change(item, _both(lambda price: _money(price, plain), prices), PRICES)


def _change(label: str, sides: tuple[str, str], of: str = "") -> EditedField:
    return EditedField(label, sides[0], sides[1], of)


def _money(price: int | None, plain: Plain) -> str:
    return "" if price is None else format_money(price, plain.currency)


def _brought(sides: Sides, plain: Plain) -> Changes:
    """What a project brings along in place of the shop's."""
    sections = _both(lambda side: side.get("sections_json"), sides)
    if sections[0] != sections[1]:
        yield _change(OWN_SECTIONS, _both(lambda own: ", ".join(each.name for each in own or ()), sections))
    rules = _both(lambda side: side.get("rules_json"), sides)
    if None not in rules:
        yield from _of_form(RULE_GROUPS, _both(_fields_of, rules), plain)
    elif rules[0] != rules[1]:
        yield _change(OWN_RULES, _both(lambda own: _OWN if own else _SHOPS, rules))
    starts = _both(lambda side: side.get("starts_json"), sides)
    if starts[0] != starts[1]:
        yield _change(OWN_STARTS, _both(lambda own: "" if own is None else str(len(own)), starts))


def _assembly(sides: Sides, plain: Plain) -> Changes:
    before, after = _both(lambda side: side.get("spec_json"), sides)
    if before is not None and after is not None and type(before) is type(after):
        yield from changed_assembly(FORMS[before.kind], before, after, plain.units)


def _section(sides: Sides, plain: Plain) -> Changes:
    return _of_form((KEY, SHAPE, USE), _both(_as_measured, sides), plain)


def _as_measured(row: Values) -> Values:
    """A section as its form shows it: half of the key's depth, and the flank in degrees."""
    return {**row, "depth": row["half_depth"], "flank": row["flank"] / _MILLIONTHS}


def _section_length(sides: Sides, plain: Plain) -> Changes:
    yield _change("Price", _both(lambda side: _money(side["price_minor"], plain), sides))


def _plug(sides: Sides, plain: Plain) -> Changes:
    return _of_form(PLUG.groups, _both(lambda side: {**side, "price": side["price_minor"]}, sides), plain)


def _shop(sides: Sides, plain: Plain) -> Changes:
    rules = _both(lambda side: {**_fields_of(side.get("rules_json")), **side}, sides)
    yield from _of_form(SHOP_SETTINGS.groups, rules, plain)
    terms = _both(lambda side: side.get("quote_json") or ShopTerms(), sides)
    texts = _both(lambda each: shown_terms(SHOP, plain, each, (), 1).texts, terms)
    yield from changed_fields(SHOP.groups, texts, plain)


def _item(sides: Sides, plain: Plain) -> Changes:
    unit = Item(ItemKind(sides[1]["kind"])).unit
    field = booking_form(Booking.MINIMUM, unit).field(quantity_of(Booking.MINIMUM))
    return _of_form(_only(replace(field, name="minimum_stock")), sides, plain)


def _supplier(sides: Sides, plain: Plain) -> Changes:
    return _of_form(SUPPLIER.groups, _both(_as_terms, sides), plain)


def _as_terms(row: Values) -> Values:
    return {**row, "shipping": row["shipping_minor"], "minimum_order": row["minimum_order_minor"]}


def _offer(sides: Sides, plain: Plain) -> Changes:
    yield from _of_form(PACK.groups, sides, plain)
    withdrawn = _both(lambda side: "yes" if side["withdrawn"] else "no", sides)
    if withdrawn[0] != withdrawn[1]:
        yield _change(WITHDRAWN, withdrawn)


def _pattern(sides: Sides, plain: Plain) -> Changes:
    return _of_form(PATTERN.groups, sides, plain)


def _photograph(sides: Sides, plain: Plain) -> Changes:
    fields = (PHOTOGRAPH.field("mark"), PHOTOGRAPH.field("caption"))
    return _of_form(_only(*fields), _both(lambda side: {**side, "mark": about_words(side["mark"])}, sides), plain)


_TELLERS: Mapping[str, Callable[[Sides, Plain], Changes]] = {
    "project": _project,
    "assembly": _assembly,
    "section": _section,
    "section_length": _section_length,
    "plug": _plug,
    "shop": _shop,
    "item": _item,
    "supplier": _supplier,
    "offer": _offer,
    "pattern": _pattern,
    "photograph": _photograph,
}
"""By the row's table. A row of another one is made and taken away, and never changed."""
