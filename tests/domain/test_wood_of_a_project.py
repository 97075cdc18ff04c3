"""What a project file says of its wood: climate, stock to cut from, changes of the parts list, boards."""

from __future__ import annotations

from typing import Any

import pytest

from domain.spec.assemblies import MitredFrame
from domain.spec.project import read_project
from domain.spec.wood import Grain, Sawn, wood_document
from tests.domain.builders import frame, project, refused

SHOP, ROOM = {"moisture": 9}, {"temperature": 21, "humidity": 55}
AIR = 'give "moisture" in %, or "temperature" in °C with "humidity" in %, not both'


def test_a_climate_is_told_by_moisture_or_by_the_air() -> None:
    climate = read_project(project(climate={"from": SHOP, "to": ROOM, "other_to": {"moisture": 7}})).climate
    assert climate is not None
    assert climate.other_to is not None
    assert (climate.from_.moisture, climate.to.temperature, climate.to.humidity) == (9, 21, 55)
    assert wood_document(climate) == {"from": SHOP, "to": ROOM, "other_to": {"moisture": 7}}


@pytest.mark.parametrize(
    ("climate", "path", "why"),
    [
        ({"from": SHOP}, "climate.to", "is needed"),
        ({"from": {}, "to": ROOM}, "climate.from", AIR),
        ({"from": SHOP, "to": {"temperature": 20}}, "climate.to", AIR),
        ({"from": SHOP, "to": {"humidity": 40}}, "climate.to", AIR),
        ({"from": SHOP | ROOM, "to": ROOM}, "climate.from", AIR),
        ({"from": {"moisture": 31}, "to": ROOM}, "climate.from.moisture", "must be 30 or less"),
        ({"from": {"moisture": True}, "to": ROOM}, "climate.from.moisture", "must be a number"),
        ({"from": SHOP, "to": {"temperature": 20, "humidity": 101}}, "climate.to.humidity", "must be 100 or less"),
        (
            {"from": SHOP, "to": {"temperature": 90, "humidity": 9}},
            "climate.to.temperature",
            "must be 54.5 or less",
        ),
    ],
)
def test_no_other_climate_is_taken(climate: Any, path: str, why: str) -> None:
    assert refused(project(climate=climate)) == {path: why}


def test_a_length_alone_is_stock_for_every_wood() -> None:
    bars = {"item": "ash 52 × 26", "kerf": 2.8, "stock": [{"length": 2300, "price": 910, "count": 3}]}
    woods = read_project(project(stock=[bars, {"length": 3100}])).stock
    assert woods is not None
    own, any_wood = woods
    assert (own.item, own.kerf and own.kerf.mm, own.stock[0].price, own.stock[0].count) == (
        "ash 52 × 26",
        2.8,
        910,
        3,
    )
    assert (any_wood.item, any_wood.kerf, any_wood.stock[0].length.mm) == (None, None, 3100)
    assert wood_document(any_wood) == {"stock": [{"length": 3100}]}


@pytest.mark.parametrize(
    ("stock", "path", "why"),
    [
        ([{"length": 0}], "stock[0].stock[0].length", "must be more than 0"),
        (
            [{"item": "ash", "stock": [{"length": 900}]}, {"item": "ash", "stock": [{"length": 800}]}],
            "stock[1].item",
            "is used already by stock[0]; use another",
        ),
        (
            [{"item": "ash", "stock": [{"length": 900}, {"length": 900, "width": 300}]}],
            "stock[0].stock",
            "is cut from lengths or from sheets, not both; give every one of its stock a width, or none",
        ),
    ],
)
def test_stock_that_cannot_be_is_refused(stock: Any, path: str, why: str) -> None:
    assert refused(project(stock=stock)) == {path: why}


def test_a_part_is_changed_by_its_mark() -> None:
    changes = {"A1": {"rough_length": "20 1/2 in", "grain": "any", "note": "from the dark board"}}
    parts = read_project(project(frame(), parts=changes)).parts
    assert parts is not None
    assert (parts["A1"].rough_length and parts["A1"].rough_length.mm, parts["A1"].grain) == (520.7, Grain.ANY)
    assert wood_document(parts["A1"]) == {"rough_length": 520.7, "grain": "any", "note": "from the dark board"}


def test_an_assembly_says_how_its_boards_were_sawn() -> None:
    (spec,) = read_project(project(frame(species="Ash, white", cut="quarter", one_length=True))).assemblies
    assert isinstance(spec, MitredFrame)
    assert (spec.species, spec.cut, spec.one_length) == ("Ash, white", Sawn.QUARTER, True)
    assert refused(project(frame(cut="rift"))) == {
        "assemblies[0].cut": "must be one of 'flat', 'quarter' or 'unknown'"
    }
