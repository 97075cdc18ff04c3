"""The sag of shelves, against printed worked examples and against the bending equation solved numerically.

Printed: ``shared/published/wood-stiffness.md``. The numerical beam knows the equation E·I·y'''' = w and that a
free end has neither sag nor moment, and nothing of its solution.
"""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

import numpy as np
import pytest

from domain.timber.sag import GRAVITY, Beam, weight_of

PUBLISHED = Path(__file__).parents[2] / "shared" / "published" / "wood-stiffness.md"
PSI = 0.45359237 * 9.80665 / 25.4**2
"""A pound a square inch in MPa."""
POUND = 0.45359237 * 9.80665
"""A pound's weight in N."""
EXAMPLE = re.compile(r"\| (\d{6,7}) \| ([\d.]+) \| (\d+) \| (\d+) \| ([\d.]+) \| ([\d.]+) \|")


def examples() -> list[tuple[float, ...]]:
    return [tuple(map(float, found)) for found in EXAMPLE.findall(PUBLISHED.read_text(encoding="utf-8"))]


def test_all_printed_examples_are_read() -> None:
    assert len(examples()) == 12


@pytest.mark.parametrize(("psi", "inches", "load", "printed", "calculated", "sag"), examples())
def test_the_printed_longest_shelves(
    psi: float, inches: float, load: float, printed: float, calculated: float, sag: float
) -> None:
    width = 11.25
    beam = Beam(width * 25.4, inches * 25.4, psi * PSI)
    # lb/ft² on a shelf so wide, as N for each mm of its length
    weight = load / 144 * width * POUND / 25.4
    longest = beam.longest(weight, 144) / 25.4
    assert longest == pytest.approx(calculated, abs=0.006)
    assert int(longest + 0.03) == printed
    assert beam.sag(weight, printed * 25.4) / 25.4 == pytest.approx(sag, abs=6e-4)


def test_the_printed_timber_beam() -> None:
    assert Beam(50, 200, 11_000).sag(2.5, 4_000) == pytest.approx(22.73, abs=0.005)


def solved(rigidity: float, weight: float, span: float, steps: int = 200) -> float:
    """The sag in the middle by finite differences: two equations of second order, y'' = −M/EI and M'' = −w."""
    step = span / steps
    second = (
        np.diag(np.full(steps - 1, -2.0)) + np.diag(np.ones(steps - 2), 1) + np.diag(np.ones(steps - 2), -1)
    ) / (step * step)
    moments = np.linalg.solve(second, np.full(steps - 1, -weight))
    return float(np.linalg.solve(second, -moments / rigidity)[steps // 2 - 1])


@pytest.mark.parametrize("seed", range(20))
def test_the_bending_equation_solved_numerically(seed: int) -> None:
    draw = Random(seed)
    breadth, thick, span = draw.uniform(100, 600), draw.uniform(12, 40), draw.uniform(300, 2_000)
    beam, weight = Beam(breadth, thick, draw.uniform(5_000, 16_000)), weight_of(draw.uniform(5, 90))
    rigidity = beam.stiffness * breadth * thick**3 / 12
    assert beam.sag(weight, span) == pytest.approx(solved(rigidity, weight, span), rel=1e-4)
    # the longest span is where the numerical beam, creep and all, comes to its share of it
    share, creep = draw.uniform(100, 500), draw.uniform(1, 3)
    longest = beam.longest(weight, share, creep)
    assert creep * solved(rigidity, weight, longest) == pytest.approx(longest / share, rel=1e-4)


def test_a_kilogram_on_a_metre_weighs_about_ten_newtons() -> None:
    assert weight_of(1) * 1000 == pytest.approx(GRAVITY) == pytest.approx(9.80665)
