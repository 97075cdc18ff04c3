"""What wood to buy for a cut list: measured by hand, cut by a plan, or bought as boards with waste."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cut_list.listing import CutList, cut_list
from domain.cut_list.timber import TimberLine, added, by_material, timber_lines
from domain.cut_list.to_cut import to_cut
from domain.cut_list.wanted import BoughtAs, Wanted, wanted, whole_needs
from domain.cutting.bars import plan_bars
from domain.cutting.plan import BarPlan
from domain.cutting.request import BarStock
from domain.lengths import Length
from domain.ordering.items import Item
from domain.timber.measures import board_feet, cubic_metres
from tests.domain.builders import carcass, frame, railed
from tests.domain.cut_lists import demo_job, listed

ROUGH = {"length_allowance": 20, "width_allowance": 4, "thickness_allowance": 3, "kerf": 3}
BOARD, THICK, THIN = Item.board("Ash", 27), Item.board("ash", 40), Item.board("ash", 18)


def ash() -> CutList:
    """A frame of ash, outside 400 × 300, of stock 45 × 20: rough 49 × 23, two of 420 and two of 320."""
    return listed(frame(material="ash", stock={"width": 45, "thickness": 20}), rules=ROUGH)


def line(found: CutList, item: str, waste: float = 0.2) -> TimberLine:
    (only,) = [each for each in timber_lines(found, [waste]) if each.group.item == item]
    return only


def planned(found: CutList, item: str, *stock: tuple[float, int | None, int | None]) -> BarPlan:
    """The plan of a wood from stocks of a length, a price and a count."""
    (asked,) = [each for each in to_cut(found).bars if each.item == item]
    stocks = tuple(BarStock(length=Length.from_mm(mm), price=price, count=count) for mm, price, count in stock)
    return plan_bars(asked.model_copy(update={"stock": stocks}))


def test_a_frames_wood_by_hand() -> None:
    measured = line(ash(), "ash 49 × 23").measured
    # 2 · 420 + 2 · 320 = 1480 mm; · 4.9 cm · 2.3 cm = 1667.96 cm³; a fifth on top
    assert measured.length == 1480
    assert measured.net == Fraction("1667.96")
    assert measured.gross == Fraction("1667.96") * Fraction(6, 5)
    assert measured.area == Fraction("1.48") * Fraction("0.049")
    # bought 27 thick: 148 · 4.9 · 2.7 · 1.2 = 2349.6480 cm³
    assert measured.as_thick_as(Length.from_mm(27)) == Fraction("2349.648")


def test_wood_lies_on_its_wider_side() -> None:
    """What is narrower than thick is ripped from a board as thick as it is wide."""
    found = listed(frame(material="ash", stock={"width": 20, "thickness": 45}))
    assert line(found, "ash 45 × 20").measured.area == Fraction("1.4") * Fraction("0.045")


def test_boards_of_random_width_by_the_strips_that_lie_in_them() -> None:
    wood = line(ash(), "ash 49 × 23")
    # strips of 49 with a kerf of 3: 2 in 101 (49 + 3 + 49), 1 in 100; 1480 mm · 1.2
    assert wood.boards(Length.from_mm(101)) == Fraction(1776, 2)
    assert wood.boards(Length.from_mm(100)) == 1776
    assert wood.boards(Length.from_mm(49)) == 1776
    assert wood.boards(Length.from_mm(48)) is None


def test_sheets_are_measured_by_their_faces_and_materials_added_up() -> None:
    found = listed(
        carcass(material="birch plywood"), railed(mark="B", material="ash"), frame(mark="C", material="Ash")
    )
    sums = {each.material: each for each in by_material(timber_lines(found, [0.15]))}
    assert set(sums) >= {"ash", "birch plywood"}
    assert len(sums["ash"].lines) == 2
    for each in sums.values():
        assert each.measured == added(one.measured for one in each.lines)


def test_glazing_without_a_thickness_has_a_face_and_no_volume() -> None:
    stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
    measured = line(listed(frame(stock=stock)), "glazing").measured
    assert measured.net is None
    assert measured.area > 0


def test_every_project_has_its_own_waste() -> None:
    jobs = [demo_job(name) for name in ("hall-cabinet", "keepsake-box", "frame-set")]
    wastes = [0.0, 0.1, 0.25]
    alone = zip(jobs, wastes, strict=True)
    apart = [each.measured for job, waste in alone for each in timber_lines(cut_list([job]), [waste])]
    together = [each.measured for each in timber_lines(cut_list(jobs), wastes)]
    assert added(together) == added(apart)


@given(st.floats(0, 3).map(lambda share: round(share, 4)))
def test_waste_is_bought_on_top(share: float) -> None:
    measured = line(ash(), "ash 49 × 23", share).measured
    assert measured.net is not None
    assert measured.gross == measured.net * (1 + Fraction(str(share)))
    assert cubic_metres(measured.net) * 10**6 == measured.net
    assert board_feet(measured.net) * Fraction("2359.737216") == measured.net


# --- bars of the plan, strips, boards --------------------------------------------------------------


def test_a_plan_s_bars_are_what_is_wanted() -> None:
    found = ash()
    plan = planned(found, "ash 49 × 23", (900, None, 1), (1500, 1210, None))
    stock = (Item.bar("ash", 49, 23, 900), Item.bar("ash", 49, 23, 1500))
    got = wanted(line(found, "ash 49 × 23"), plan, stock, {*stock, BOARD})
    # 1480 + 3 kerfs of 3 = 1489 fits one of 1500; with the free 900 one still has to buy a 1500
    assert got.bought_as is BoughtAs.PLANNED
    assert got.items[stock[1]] == 1
    assert got.missing == 0


@pytest.mark.parametrize(
    ("kept", "bought_as", "items"),
    [
        ((BOARD, THICK, THIN), BoughtAs.BOARDS, {BOARD: Fraction("2349.648")}),
        ((THICK, THIN), BoughtAs.BOARDS, {THICK: Fraction("148") * Fraction("4.9") * 4 * Fraction(6, 5)}),
        ((THIN, Item.board("oak", 27)), BoughtAs.NOTHING, {}),
        ((BOARD, Item.strip("ash", 23, 49)), BoughtAs.STRIP, {Item.strip("ash", 49, 23): Fraction(1776)}),
        ((), BoughtAs.NOTHING, {}),
    ],
)
def test_without_a_plan_it_is_a_strip_or_the_thinnest_boards(
    kept: tuple[Item, ...], bought_as: BoughtAs, items: dict[Item, Fraction]
) -> None:
    got = wanted(line(ash(), "ash 49 × 23"), None, (), kept)
    assert (got.bought_as, got.items) == (bought_as, items)
    assert got.missing == (0 if items else 4)


def test_what_a_plan_leaves_over_is_bought_as_boards_whole_or_named() -> None:
    found, short = ash(), Item.bar("ash", 49, 23, 450)
    plan = planned(found, "ash 49 × 23", (450, None, 1))
    assert wanted(line(found, "ash 49 × 23"), plan, [short], [short, BOARD]).bought_as is BoughtAs.BOARDS
    alone = wanted(line(found, "ash 49 × 23"), plan, [short], [short])
    assert (alone.items, alone.missing) == ({short: 1}, 3)


def test_volumes_of_one_board_are_rounded_up_once() -> None:
    wood = line(ash(), "ash 49 × 23")
    each = Wanted(wood, BoughtAs.BOARDS, {BOARD: Fraction(5, 2)})
    assert whole_needs([each, each]) == {BOARD: 5}
    assert whole_needs([each]) == {BOARD: 3}
