"""How wood moves, whatever the wood and the moisture; and what a wood's name means in the table."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from domain.timber.moisture import FIBRE_SATURATION, equilibrium
from domain.timber.movement import Across, change, share_of_kind, within_coefficients
from domain.timber.moving_species import HARDWOODS, IMPORTED, SOFTWOODS, Known, Moving, moving_wood

KINDS = st.sampled_from((*HARDWOODS, *SOFTWOODS, *IMPORTED))
ACROSS = st.sampled_from(Across)
MOISTURES = st.floats(0, FIBRE_SATURATION)


@given(KINDS, ACROSS, MOISTURES)
def test_nothing_moves_in_equal_air(kind: Moving, across: Across, moisture: float) -> None:
    assert share_of_kind(kind, across, moisture, moisture) == 0


@given(KINDS, ACROSS, MOISTURES, MOISTURES, MOISTURES)
def test_the_wetter_the_wider(kind: Moving, across: Across, start: float, one: float, other: float) -> None:
    # within either formula; where one ends and the other begins they part by a hair
    assume(within_coefficients(start, one) is within_coefficients(start, other))
    low, high = sorted((one, other))
    assert share_of_kind(kind, across, start, low) <= share_of_kind(kind, across, start, high)


@given(KINDS, ACROSS, st.floats(6, 14))
def test_the_formulas_meet_where_one_ends(kind: Moving, across: Across, start: float) -> None:
    assume(kind.name not in {"Ash, green", "Birch, sweet", "Elm, cedar"})
    inside, beyond = (share_of_kind(kind, across, start, end) for end in (14.0, 14.0 + 1e-9))
    # C·(M − 10), and five printed decimals
    assert beyond == pytest.approx(inside, rel=0.02 + 0.6e-5 / min(kind.radial, kind.tangential), abs=1e-9)


@given(KINDS, ACROSS, MOISTURES, MOISTURES)
def test_wood_shrinks_and_swells_by_less_than_a_sixth(
    kind: Moving, across: Across, one: float, other: float
) -> None:
    moved = share_of_kind(kind, across, one, other)
    assert abs(moved) < 1 / 6
    assert moved * (other - one) >= 0


# the handbook's table goes from 30 to 200 °F
@given(st.floats(-1.2, 93.4), st.floats(0, 100), st.floats(0, 100))
def test_damper_air_makes_wetter_wood(celsius: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 0 <= equilibrium(celsius, low) <= equilibrium(celsius, high) + 1e-12 <= FIBRE_SATURATION + 1e-9


@pytest.mark.parametrize(
    ("name", "known", "said"),
    [
        ("Cherry, black", Known.ROW, "Cherry, black"),
        ("cherry", Known.ROW, "Cherry, black"),
        ("ash", Known.KIND, "ash, of 5 kinds"),
        ("white ash", Known.ROW, "Ash, white"),
        ("oak", Known.KIND, "oak, of 8 kinds"),
        ("European oak", Known.KIND, "European oak, of 8 kinds"),
        ("white oak", Known.KIND, "white oak, of 4 kinds"),
        ("douglas fir", Known.KIND, "douglas fir, of 3 kinds"),
        ("Scots pine", Known.KIND, "Scots pine, of 8 kinds"),
        ("wenge", Known.GROUP, "hardwoods, of 61 kinds"),
        ("yew", Known.GROUP, "softwoods, of 29 kinds"),
        ("solid wood", Known.NOTHING, "any wood, of 90 kinds"),
        (None, Known.NOTHING, "any wood, of 90 kinds"),
    ],
)
def test_what_a_name_means(name: str | None, known: Known, said: str) -> None:
    wood = moving_wood(name)
    assert (wood.known, wood.said) == (known, said)


def test_a_name_of_several_kinds_has_their_range() -> None:
    # of the ashes Oregon moves most along the rings and pumpkin least: 0.00285 and 0.00219
    moved = change(moving_wood("ash"), Across.TANGENTIAL, 100, 8, 12)
    assert (moved.most, moved.least) == (pytest.approx(1.14), pytest.approx(0.876))
    shrunk = change(moving_wood("ash"), Across.TANGENTIAL, 100, 12, 8)
    assert (shrunk.most, shrunk.least) == (pytest.approx(-1.14), pytest.approx(-0.876))
