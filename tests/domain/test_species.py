"""What a wood's name means in the published table, and what pieces of it weigh."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from domain.timber.species import PLYWOOD, SOLID, STRANDBOARD, Species, mass, wood_of

PUBLISHED = Path(__file__).parents[2] / "shared" / "published" / "wood-stiffness.csv"


def published() -> dict[str, tuple[int, float | None]]:
    """The file's rows; a gravity on green volume is none at 12 %."""
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return {
            row["species"]: (
                int(row["moe_mpa"]),
                float(row["specific_gravity"])
                if row["specific_gravity"] and "GREEN volume" not in row["note"]
                else None,
            )
            for row in csv.DictReader(file)
        }


def test_every_cell_is_the_published_one() -> None:
    table = (*SOLID, *PLYWOOD, STRANDBOARD)
    assert {kind.name: (kind.stiffness, kind.gravity) for kind in table} == published()
    assert len(table) == len(published()) == 92


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("cherry", {"Cherry, black"}),
        ("Black cherry, from the loft", {"Cherry, black"}),
        ("ash", {"Ash, black", "Ash, green", "Ash, Oregon", "Ash, white"}),
        ("white ash", {"Ash, white"}),
        ("Ash, white", {"Ash, white"}),
        ("red cedar", {"Cedar, eastern red", "Cedar, western red"}),
        ("spanish cedar", {"Spanish-cedar"}),
        ("yellow poplar", {"Yellow-poplar"}),
        ("khaya", {"Khaya (African mahogany)"}),
        ("hardwood plywood", {"Plywood, veneer core, Douglas-fir, hardwood veneer two sides"}),
        ("birch plywood", {kind.name for kind in PLYWOOD}),
        ("OSB", {STRANDBOARD.name}),
    ],
)
def test_a_name_means_the_kinds_that_it_tells(name: str, kinds: set[str]) -> None:
    wood = wood_of(name)
    assert wood is not None
    assert {kind.name for kind in wood.kinds} == kinds


@pytest.mark.parametrize("name", [None, "", "wenge", "MDF", "chipboard", "ashen", "poplar"])
def test_what_the_table_does_not_know_is_not_guessed(name: str | None) -> None:
    assert wood_of(name) is None
    assert mass(name, 1000, 300, 20) is None


def test_douglas_fir_is_no_fir() -> None:
    wood = wood_of("douglas fir")
    assert wood is not None
    assert {kind.name.split(",")[0] for kind in wood.kinds} == {"Douglas-fir"}


def test_figures_are_those_of_the_worst_kind() -> None:
    wood = wood_of("ash")
    assert wood is not None
    assert (wood.least_stiff.name, wood.heaviest) == ("Ash, Oregon", Species("Ash, white", 12000, 0.60))
    assert wood.said(wood.least_stiff) == "Ash, Oregon, of 4 kinds"


def test_a_piece_weighs_its_volume_by_the_density_at_12_percent() -> None:
    # 0.50 of dry wood and 12 % of that in water: 560 kg/m³, and a board of 6 litres
    assert mass("cherry", 1000, 300, 20) == pytest.approx(3.36)
    # nobody's gravity at 12 % is known of mahogany or plywood
    assert mass("mahogany", 1000, 300, 20) is None
    assert mass("birch plywood", 1000, 300, 20) is None
