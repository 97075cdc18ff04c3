"""Items have one name each, and the name leads back to the item."""

from __future__ import annotations

import pytest

from domain.lengths import Length
from domain.ordering.items import GLUE, Item, parse_item
from domain.problems import BadInput

ITEMS = [
    Item.key("14", 16),
    Item.key("14 long", 9.5),
    Item.plug("walnut", "14", 3),
    Item.plug("bog oak", "7", Length(3_175_000)),
    GLUE,
]


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.name)
def test_a_name_leads_back_to_its_item(item: Item) -> None:
    assert parse_item(item.name) == item


@pytest.mark.parametrize("text", ["key 14 x 16", "KEY 14×16", "  key  14 * 16 ", "key 14X16"])
def test_a_key_may_be_typed_without_the_sign(text: str) -> None:
    assert parse_item(text) == Item.key("14", 16)


@pytest.mark.parametrize(
    "text", ["", "key", "key 14", "screw 4 × 40", "plug 14 × 3", "key 14 × wide", "key 14 × 0"]
)
def test_what_is_no_item_is_refused_with_its_text(text: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_item(text)
    assert refusal.value.problems[0].value == text


def test_items_stand_by_kind_then_width_then_size() -> None:
    mixed = [GLUE, Item.plug("ash", "7", 3), Item.key("14", 16), Item.key("7", 28), Item.key("7", 8)]
    ordered = sorted(mixed, key=lambda item: item.order)
    assert [item.name for item in ordered] == ["key 7 × 8", "key 7 × 28", "key 14 × 16", "plug ash 7 × 3", "glue"]
    assert [item.unit for item in ordered] == ["pcs", "pcs", "pcs", "pcs", "g"]
