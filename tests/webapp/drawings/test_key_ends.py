"""Both leading ends, driven home: areas by shapely, a general-purpose library, say whether keys fit the slots."""

from __future__ import annotations

import pytest
from shapely import Polygon as Area
from shapely import box

from domain.spec.catalogue import Section
from webapp.drawings.key_ends import TIPS_DEEP, draw_key_ends
from webapp.drawings.model import Polygon, Role, RoundEnd
from webapp.usecases.demo import demo_catalogue


@pytest.mark.parametrize("section", demo_catalogue(), ids=lambda section: section.name)
def test_both_keys_lie_in_their_slots_and_only_the_square_one_stops_short(section: Section) -> None:
    shapes = draw_key_ends(section).shapes
    slots = [Area(shape.points) for shape in shapes if isinstance(shape, RoundEnd) and shape.role is Role.SLOT]
    keys = [
        Area(shape.points) for shape in shapes if isinstance(shape, RoundEnd | Polygon) and shape.role is Role.KEY
    ]
    tip = section.tip_diameter.mm
    assert len(slots) == len(keys) == 2
    for slot, key in zip(slots, keys, strict=True):
        assert key.difference(slot.buffer(1e-6)).area == pytest.approx(0.0, abs=1e-4)
    round_one, square_one = keys
    assert round_one.bounds[3] == pytest.approx(slots[0].bounds[3])
    # a mouth no wider than the waist: its corners meet the arc where the arc begins
    assert TIPS_DEEP * tip - square_one.bounds[3] == pytest.approx(tip / 2)
    deeper = box(*square_one.bounds).buffer(0.05, join_style="mitre")
    assert deeper.difference(slots[1]).area > 0.05
