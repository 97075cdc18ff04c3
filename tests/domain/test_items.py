"""Items have one name each, and the name leads back to the item."""

from __future__ import annotations

import pytest

from domain.lengths import Length
from domain.ordering.items import GLUE, WOOD, Item, ItemKind, parse_item
from domain.problems import BadInput

ITEMS = [
    Item.key("14", 16),
    Item.key("14 long", 9.5),
    Item.plug("walnut", "14", 3),
    Item.plug("bog oak", "7", Length(3_175_000)),
    GLUE,
    Item.bar("ash", 45, 24, 2400),
    Item.bar("ash, white 2", 45.5, 24, Length(1_000_000_001)),
    Item.sheet("birch plywood", 18, 2440, 1220),
    Item.sheet("birch plywood", 18, 1220, 2440),
    Item.board("ash", 27),
    Item.board("European oak", Length(26_987_500)),
    Item.strip("sweet chestnut", 60, 12.7),
]


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.name)
def test_a_name_leads_back_to_its_item(item: Item) -> None:
    assert parse_item(item.name) == item


@pytest.mark.parametrize("text", ["key 14 x 16", "KEY 14×16", "  key  14 * 16 ", "key 14X16"])
def test_a_key_may_be_typed_without_the_sign(text: str) -> None:
    assert parse_item(text) == Item.key("14", 16)


@pytest.mark.parametrize(
    "text",
    [
        *("", "key", "key 14", "screw 4 × 40", "plug 14 × 3", "key 14 × wide", "key 14 × 0"),
        *("bar", "bar ash", "bar ash 45 × 24", "bar 45 × 24 × 2400", "bar ash 9 × 45 × 24 × 2400"),
        *("sheet birch plywood 18", "board 27", "board ash 27 × 3", "board ash thick", "board ash 0"),
        *("strip ash 45", "strip ash 45 × 24 × 2400", f"board {'long ' * 30}27"),
    ],
)
def test_what_is_no_item_is_refused_with_its_text(text: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_item(text)
    assert refusal.value.problems[0].value == text


def test_wood_may_be_typed_in_capitals_and_without_the_sign() -> None:
    assert parse_item("Sheet birch plywood 18x2440 X 1220") == Item.sheet("birch plywood", 18, 2440, 1220)
    assert parse_item('bar ash 2" x 1" x 96"') == Item.bar("ash", 50.8, 25.4, 2438.4)


def test_one_section_is_one_item_whichever_side_is_named_first() -> None:
    assert Item.bar("ash", 24, 45, 2400) == parse_item("bar ash 24 × 45 × 2400") == Item.bar("ash", 45, 24, 2400)
    assert Item.strip("ash", 24, 45).name == "strip ash 45 × 24"


def test_wood_counts_what_it_is_sold_by() -> None:
    units = {item.kind: item.unit for item in ITEMS}
    assert units == {
        **dict.fromkeys((ItemKind.KEY, ItemKind.PLUG, ItemKind.BAR, ItemKind.SHEET), "pcs"),
        ItemKind.GLUE: "g",
        ItemKind.BOARD: "cm³",
        ItemKind.STRIP: "mm",
    }
    assert {item.kind for item in ITEMS if item.is_wood} == WOOD


def test_wood_stands_by_material_then_thickness_then_width_then_length() -> None:
    names = [
        *("bar ash 45 × 24 × 1800", "bar ash 45 × 24 × 2400", "bar ash 60 × 24 × 900", "bar ash 45 × 30 × 600"),
        *("bar oak 20 × 20 × 500", "sheet birch plywood 9 × 1500 × 1500", "board ash 27", "strip ash 45 × 24"),
    ]
    mixed = names[4:] + names[:4]
    assert sorted(mixed, key=lambda name: parse_item(name).order) == names


def test_items_stand_by_kind_then_width_then_size() -> None:
    mixed = [GLUE, Item.plug("ash", "7", 3), Item.key("14", 16), Item.key("7", 28), Item.key("7", 8)]
    ordered = sorted(mixed, key=lambda item: item.order)
    assert [item.name for item in ordered] == ["key 7 × 8", "key 7 × 28", "key 14 × 16", "plug ash 7 × 3", "glue"]
    assert [item.unit for item in ordered] == ["pcs", "pcs", "pcs", "pcs", "g"]
