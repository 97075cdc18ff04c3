"""What a slot takes across the stock, and the centres this leaves: worked by hand at 90°, 45° and 30°.

KEY's slot is 2 deep, 12 wide at its bottom and 8 at its mouth.
"""

from __future__ import annotations

from math import sqrt

import pytest

from domain.faces.face import MatingFace
from domain.faces.region import Region, Void
from domain.planning.footprint import allowed_centres, slot_extent
from domain.planning.walls import Walls
from domain.spec.choices import Entry


def face(angle: float, width: float = 30, run: float = 20, voids: tuple[Void, ...] = ()) -> MatingFace:
    return MatingFace(Region(width, run, voids=voids), angle, (Entry.BACK, Entry.FRONT))


@pytest.mark.parametrize(
    ("angle", "low", "high"),
    [
        # square: half the bottom's width on both sides
        (90, -6, 6),
        # mitre: sin = cos = √½. Tip side −6√½ − 2√½ = −8√½ = −4√2; other side max(4√½, 6√½ − 2√½) = 2√2
        (45, -4 * sqrt(2), 2 * sqrt(2)),
        # 30°: sin ½, cos √3/2. Tip side −3 − √3; other side max(2, 3 − √3 = 1.27) = 2: the mouth stands out
        (30, -3 - sqrt(3), 2),
        # 60°: sin √3/2, cos ½. Tip side −3√3 − 1; other side max(2√3 = 3.46, 3√3 − 1 = 4.20)
        (60, -3 * sqrt(3) - 1, 3 * sqrt(3) - 1),
    ],
)
def test_the_fat_end_of_a_mitres_slot_leans_to_the_tip(angle: float, low: float, high: float) -> None:
    assert slot_extent(face(angle), 12, 8, 2) == pytest.approx((low, high))


def test_a_slot_whose_mouth_is_its_widest_is_as_wide_as_its_mouth() -> None:
    # no dovetail at all would be needed for this, but the rule must hold: mouth 14 over a bottom of 12
    assert slot_extent(face(90), 12, 14, 2) == pytest.approx((-7, 7))


def test_square_centres_keep_half_the_slot_and_the_wall_from_both_edges() -> None:
    # 6 + 2 from each edge of 30
    assert allowed_centres(face(90), face(90).region, (-6, 6), Walls(2, 2), 18) == ((8, 22),)


def test_mitred_centres_are_measured_along_the_joint_line() -> None:
    # x from 2 + 4√2 to 30 − 2 − 2√2, divided by √½: 2√2 + 8 and 28√2 − 4
    ((first, last),) = allowed_centres(face(45), face(45).region, (-4 * sqrt(2), 2 * sqrt(2)), Walls(2, 2), 18)
    assert first == pytest.approx(8 + 2 * sqrt(2))
    assert last == pytest.approx(28 * sqrt(2) - 4)
    # on a joint line of 30√2 the tip side has lost 10.83, the other side only 6.83
    assert (round(first, 2), round(face(45).breadth - last, 2)) == (10.83, 6.83)


def test_a_void_within_reach_is_an_edge_to_keep_the_wall_from() -> None:
    wood = face(90, width=60, voids=(Void(25, 30, 10, 15),))
    extent = (-6.0, 6.0)
    assert allowed_centres(wood, wood.region, extent, Walls(2, 2), 10) == ((8, 52),)  # stops short of it
    assert allowed_centres(wood, wood.region, extent, Walls(2, 2), 11) == ((8, 17), (38, 52))  # 25 − 8, 30 + 8


@pytest.mark.parametrize(("width", "found"), [(15.999, ()), (16, ((8, 8),)), (17, ((8, 9),))])
def test_a_face_just_wide_enough_has_one_place(width: float, found: tuple[tuple[float, float], ...]) -> None:
    # 12 and a wall of 2 on both sides
    assert allowed_centres(face(90), Region(width, 20), (-6, 6), Walls(2, 2), 18) == found


def test_breadth_area_and_side_follow_from_the_angle() -> None:
    mitre = face(45, width=45, run=24)
    assert mitre.breadth == pytest.approx(45 * sqrt(2))
    assert mitre.mating_area == pytest.approx(1080 * sqrt(2))
    assert (mitre.run, mitre.stock_side) == (24, 24)
    assert face(90, width=15, run=380).stock_side == 15
    assert face(30, width=30).breadth == pytest.approx(60)  # 30 / ½
    assert (face(90).sine, face(90).cosine) == (1, 0)
