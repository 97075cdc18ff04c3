"""The wood of a mating face: what is clear up to a height, how far a strip is clear, how much there is."""

from __future__ import annotations

import pytest

from domain.faces.region import Region, Void

PLAIN = Region(45, 24)
RABBETED = Region(45, 24, voids=(Void(39, 45, 0, 10),))
MOULDED = Region(45, 24, ceiling=((0, 22), (3, 24), (32, 24), (45, 15)))
GROOVED = Region(12, 60, voids=(Void(7, 12, 6, 11),))
STEPPED = Region(40, 20, ceiling=((0, 20), (30, 20), (30, 12), (40, 12)))
CHAMFERED = Region(10, 20, ceiling=((0, 20), (5, 20), (10, 10)))


@pytest.mark.parametrize(
    ("region", "top", "clear"),
    [
        (PLAIN, 24, ((0, 45),)),
        (PLAIN, 24.001, ()),
        (RABBETED, 1, ((0, 39),)),  # the rabbet opens at the back
        (RABBETED, 24, ((0, 39),)),
        (RABBETED.from_other_end(), 14, ((0, 45),)),  # from the front there are 24 − 10 = 14 before it
        (RABBETED.from_other_end(), 14.001, ((0, 39),)),
        (MOULDED, 15, ((0, 45),)),
        (MOULDED, 20, ((0, 340 / 9),)),  # from 24 at 32 down 9 in 13: 20 is met at 32 + 4·13/9 = 37.78
        (MOULDED, 23, ((1.5, 301 / 9),)),  # up 2 in 3 from 22: 23 at 1.5; down to 23 at 32 + 13/9 = 33.44
        (GROOVED, 6, ((0, 12),)),
        (GROOVED, 6.001, ((0, 7),)),
        (GROOVED.from_other_end(), 49, ((0, 12),)),  # 60 − 11
        (GROOVED.from_other_end(), 49.001, ((0, 7),)),
        (STEPPED, 12, ((0, 40),)),
        (STEPPED, 12.001, ((0, 30),)),
        (CHAMFERED.from_other_end(), 1, ((0, 5),)),  # turned round, the chamfer leaves no edge to enter by
        (Region(20, 60, voids=(Void(8, 12, 0, 60),)), 5, ((0, 8), (12, 20))),
        (Region(20, 60, voids=(Void(0, 20, 0, 5),)), 5, ()),
    ],
)
def test_where_a_strip_from_the_entry_edge_is_all_wood(
    region: Region, top: float, clear: tuple[tuple[float, float], ...]
) -> None:
    found = region.clear_gaps(top)
    assert len(found) == len(clear)
    for gap, expected in zip(found, clear, strict=True):
        assert gap == pytest.approx(expected)


@pytest.mark.parametrize(
    ("region", "low", "high", "run"),
    [
        (PLAIN, 0, 45, 24),
        (PLAIN, -0.1, 10, 0),
        (PLAIN, 30, 45.1, 0),
        (RABBETED, 0, 39, 24),
        (RABBETED, 10, 39.1, 0),
        (RABBETED.from_other_end(), 10, 39.1, 14),
        (MOULDED, 0, 3, 22),
        (MOULDED, 3, 32, 24),
        (MOULDED, 30, 38.5, 19.5),  # 24 − 6.5·9/13
        (MOULDED, 1.5, 45, 15),
        (GROOVED, 0, 7, 60),
        (GROOVED, 0, 7.1, 6),
        (GROOVED.from_other_end(), 3, 12, 49),
        (STEPPED, 0, 30, 20),
        (STEPPED, 0, 30.1, 12),
        (STEPPED, 30, 40, 12),
        (CHAMFERED.from_other_end(), 0, 5, 20),
        (CHAMFERED.from_other_end(), 0, 5.1, 0),
    ],
)
def test_how_far_up_a_strip_is_wood(region: Region, low: float, high: float, run: float) -> None:
    assert region.clear_run(low, high) == pytest.approx(run)


@pytest.mark.parametrize(
    ("region", "area"),
    [
        (PLAIN, 1080),
        (RABBETED, 1020),  # less 6·10
        (MOULDED, 1018.5),  # 3·23 + 29·24 + 13·19.5 = 69 + 696 + 253.5
        (GROOVED, 695),  # 720 − 5·5
        (STEPPED, 720),  # 30·20 + 10·12
        (CHAMFERED, 175),  # 5·20 + 5·15
        # the void reaches above the slope: only the triangle ½·5·5 under it was wood
        (Region(10, 10, ceiling=((0, 10), (10, 0)), voids=(Void(5, 10, 0, 10),)), 37.5),
        # a void 3 high; the slope comes down to 3 at x = 7: 4·3 up to there, then the triangle ½·3·3
        (Region(10, 10, ceiling=((0, 10), (10, 0)), voids=(Void(3, 10, 0, 3),)), 50 - 12 - 4.5),
    ],
)
def test_how_much_wood_there_is_whichever_way_round(region: Region, area: float) -> None:
    assert region.area() == pytest.approx(area)
    assert region.from_other_end().area() == pytest.approx(area)


@pytest.mark.parametrize("region", [PLAIN, RABBETED, MOULDED, GROOVED, STEPPED, CHAMFERED])
def test_turning_round_twice_is_the_same_wood(region: Region) -> None:
    assert region.from_other_end().from_other_end() == region
