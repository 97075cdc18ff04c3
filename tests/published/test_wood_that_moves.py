"""Movement of wood and its moisture in the air, cell by cell and example by example as published.

USDA Forest Products Laboratory, Wood Handbook (FPL-GTR-190, 2010), and what quotes it: every source stands beside
its value in ``shared/published``.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from domain.timber.moisture import equilibrium
from domain.timber.movement import Across, change, share_of_kind, total_shrinkage
from domain.timber.moving_species import HARDWOODS, IMPORTED, SOFTWOODS, SPECIES, Moving, moving_wood

PUBLISHED = Path(__file__).parents[2] / "shared" / "published"
TABLE = (*HARDWOODS, *SOFTWOODS, *IMPORTED)
INCH = 25.4
GROUPED = {"Ash, green", "Birch, sweet", "Elm, cedar"}
"""They carry their group's coefficient, not that of their own shrinkage."""


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_coefficient_is_the_published_one() -> None:
    published = {
        row["species"]: (float(row["radial_coefficient"]), float(row["tangential_coefficient"]))
        for row in rows("wood-movement.csv")
    }
    assert {kind.name: (kind.radial, kind.tangential) for kind in TABLE} == published
    assert len(TABLE) == len(SPECIES) == len(published) == 90


def test_every_shrinkage_is_the_published_one() -> None:
    published = {
        row["species"]: (float(row["radial_pct"]), float(row["tangential_pct"]))
        for row in rows("wood-shrinkage.csv")
        if row["species"] in SPECIES
    }
    ours = {
        kind.name: (kind.radial_shrinkage, kind.tangential_shrinkage)
        for kind in TABLE
        if (kind.radial_shrinkage, kind.tangential_shrinkage) != (None, None)
    }
    assert ours == published
    assert len(ours) == 50


def test_every_cell_of_the_moisture_table_is_met_to_its_last_digit() -> None:
    cells = rows("moisture.csv")
    assert len(cells) == 342
    off = [
        abs(
            equilibrium((float(cell["temperature_f"]) - 32) / 1.8, float(cell["relative_humidity_pct"]))
            - float(cell["moisture_content_pct"])
        )
        for cell in cells
    ]
    assert max(off) <= 0.06
    # and it follows the table, not just its neighbourhood
    assert (sum(each * each for each in off) / len(off)) ** 0.5 <= 0.03


@pytest.mark.parametrize(
    ("celsius", "humidity", "moisture"), [(20, 50, 9.271), (20, 65, 11.996), (21.1, 50, 9.243), (25, 35, 6.861)]
)
def test_moisture_at_spots(celsius: float, humidity: float, moisture: float) -> None:
    # calculated once from the same constants by hand, so that a digit that slips is seen between the cells
    assert equilibrium(celsius, humidity) == pytest.approx(moisture, abs=0.0006)


@pytest.mark.parametrize(("size", "printed", "digit"), [(232, 1.7, 0.05), (9.15 * INCH, 0.067 * INCH, 0.0127)])
def test_the_handbooks_board_of_white_fir(size: float, printed: float, digit: float) -> None:
    # p. 13-17: flat-grained white fir, 8 to 11 %
    moved = change(moving_wood("Fir, white"), Across.TANGENTIAL, size, 8, 11)
    assert moved.most == moved.least == pytest.approx(printed, abs=digit)
    assert moving_wood("Fir, white").kinds[0].radial == 0.00112


def test_a_magazines_board_of_red_alder() -> None:
    # 8 in by 0.0026 by 6 %: printed 0.1248 in with the coefficient cut to four decimals
    moved = change(moving_wood("red alder"), Across.TANGENTIAL, 8, 7, 13)
    assert moved.most == pytest.approx(0.1248, abs=8 * 6 * 0.00005)


def test_a_floorers_board_of_mesquite_and_a_rule_of_thumb() -> None:
    mesquite = Moving("Mesquite", 0.00129, 0.00129)
    assert 5 * share_of_kind(mesquite, Across.TANGENTIAL, 6, 9) == pytest.approx(0.019, abs=0.0005)
    thumb = Moving("Rule of thumb", 0.0025, 0.0025)
    assert 6 * share_of_kind(thumb, Across.TANGENTIAL, 8, 9) == pytest.approx(0.015)


def test_a_beam_that_dries_from_far_beyond_the_coefficients() -> None:
    # 13.25 in, 6 % of shrinkage over 30 %, from 19 to 10 %: 0.2385 in of the green size
    beam = Moving("Beam", 0.0, 0.0, 6, 6)
    assert 13.25 * share_of_kind(beam, Across.TANGENTIAL, 30, 10) == pytest.approx(-13.25 * 0.06 / 30 * 20)
    # from its size at 19 % it is a little more of itself: the same inches by the size that is left
    at_19 = 13.25 * (1 - 0.06 * 11 / 30)
    assert at_19 * share_of_kind(beam, Across.TANGENTIAL, 19, 10) == pytest.approx(-0.2385)


@pytest.mark.parametrize(
    ("species", "across", "size", "start", "end", "moved"),
    [
        ("Cherry, black", Across.TANGENTIAL, 300, 8, 11, 2.232),
        ("Cherry, black", Across.RADIAL, 300, 8, 11, 1.134),
        ("Red oak, commercial", Across.TANGENTIAL, 500, 6, 12, 11.07),
        ("Maple, sugar", Across.TANGENTIAL, 12, 10, 7, -0.12708),
        ("Walnut, black", Across.TANGENTIAL, 90, 8, 8, 0),
    ],
)
def test_boards_worked_by_hand(
    species: str, across: Across, size: float, start: float, end: float, moved: float
) -> None:
    assert change(moving_wood(species), across, size, start, end).most == pytest.approx(moved)


@pytest.mark.parametrize("kind", [kind for kind in TABLE if kind.name not in GROUPED], ids=lambda kind: kind.name)
@pytest.mark.parametrize("across", Across)
def test_both_formulas_are_one_at_10_percent(kind: Moving, across: Across) -> None:
    # the coefficients were made from the shrinkages at 10 %, and are printed to five decimals
    coefficient = kind.tangential if across is Across.TANGENTIAL else kind.radial
    beyond = share_of_kind(kind, across, 10, 14.0001)
    assert beyond == pytest.approx(4 * coefficient, abs=4 * 0.6e-5 + 1e-6)


@pytest.mark.parametrize(
    "kind", [kind for kind in TABLE if kind.tangential_shrinkage is None], ids=lambda kind: kind.name
)
def test_shrinkage_that_is_not_printed_is_what_the_coefficient_was_made_from(kind: Moving) -> None:
    share = total_shrinkage(kind, Across.TANGENTIAL) / 100
    assert (share / 30) / (1 - share * 20 / 30) == pytest.approx(kind.tangential)
    assert 0.03 < share < 0.15


def test_from_green_to_ovendry_is_the_shrinkage_itself() -> None:
    cherry = moving_wood("Cherry, black").kinds[0]
    assert share_of_kind(cherry, Across.TANGENTIAL, 30, 0) == pytest.approx(-0.071)
    assert cherry.tangential_shrinkage == 7.1
