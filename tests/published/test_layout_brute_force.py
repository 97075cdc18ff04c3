"""Where the keys go, against plain trying-out on a 0.25 mm grid and against another solver.

Outside reference for the tie-break: the mixed-integer quadratic solver SCIP, through OR-Tools.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from random import Random

import pytest
from ortools.math_opt.python import mathopt

from domain.intervals import Intervals
from domain.planning.layout import Layout, least_reach_layout, reach_of, snapped
from tests.torture import torture

GRID = 0.25
Case = tuple[Intervals, float, int, float]


def steps(rng: Random, low: float, high: float) -> float:
    """A size on the grid."""
    return rng.randint(round(low / GRID), round(high / GRID)) * GRID


def random_case(rng: Random, count: int, breadth: float) -> Case:
    """Allowed intervals, breadth, count and pitch, all multiples of the grid."""
    marks = sorted({steps(rng, 2, breadth - 2) for _ in range(2 * rng.randint(1, 3))})
    allowed = tuple(zip(marks[::2], marks[1::2], strict=False)) or ((2.0, breadth - 2),)
    return allowed, breadth, count, steps(rng, 3, breadth / count)


def on_grid(allowed: Intervals) -> list[int]:
    return [step for low, high in allowed for step in range(round(low / GRID), round(high / GRID) + 1)]


def grid_reaches(case: Case) -> Iterator[float]:
    """The reach of every choice of grid points that keeps the pitch."""
    allowed, breadth, count, pitch = case
    points, apart = on_grid(allowed), round(pitch / GRID)

    def further(chosen: list[int]) -> Iterator[list[int]]:
        if len(chosen) == count:
            yield chosen
            return
        for point in points:
            if not chosen or point >= chosen[-1] + apart:
                yield from further([*chosen, point])

    for chosen in further([]):
        widest = max((b - a for a, b in pairwise(chosen)), default=0)
        yield max(chosen[0] * GRID, widest * GRID / 2, breadth - chosen[-1] * GRID)


def best_on_grid(case: Case) -> float | None:
    return min(grid_reaches(case), default=None)


def check_constraints(layout: Layout, case: Case) -> None:
    allowed, breadth, count, pitch = case
    assert len(layout.centres) == count
    for centre in layout.centres:
        assert any(low - 1e-6 <= centre <= high + 1e-6 for low, high in allowed)
    for before, after in pairwise(layout.centres):
        assert after - before >= pitch - 1e-6
    spans = [(after - before) / 2 for before, after in pairwise(layout.centres)]
    assert layout.reach == pytest.approx(max(layout.centres[0], breadth - layout.centres[-1], *spans), abs=1e-9)


def check_reach(case: Case) -> bool:
    """Never worse than the grid's best, and nearer to it than one step.

    All data are multiples of the grid, so moving the exact centres down to grid points keeps intervals
    and pitch, and costs less than one step of reach: the grid's best lies within that of the true best.
    """
    layout, best = least_reach_layout(*case), best_on_grid(case)
    if layout is None or best is None:
        assert layout is None
        assert best is None
        return False
    check_constraints(layout, case)
    assert layout.reach <= best + 1e-6
    assert layout.reach > best - GRID
    return True


SIZES = [(1, 90.0, 60), (2, 60.0, 60), (3, 32.0, 60), (4, 22.0, 80)]


@pytest.mark.parametrize(("count", "breadth", "runs"), SIZES)
def test_reach_is_the_least(count: int, breadth: float, runs: int) -> None:
    rng = Random(f"reach {count}")
    assert sum(check_reach(random_case(rng, count, breadth)) for _ in range(runs)) > runs / 6


@torture
@pytest.mark.parametrize(("count", "breadth", "runs"), SIZES)
def test_reach_is_the_least_many_times(count: int, breadth: float, runs: int) -> None:
    rng = Random(f"torture reach {count}")
    for _ in range(20 * runs):
        check_reach(random_case(rng, count, breadth))


@pytest.mark.parametrize("breadth", [20.0, 63.6, 90.0, 141.4])
def test_free_keys_sit_at_a_quarter_and_three_quarters(breadth: float) -> None:
    layout = least_reach_layout(((1.0, breadth - 1.0),), breadth, 2, 5.0)
    assert layout is not None
    assert layout.centres == pytest.approx((breadth / 4, 3 * breadth / 4))
    assert layout.reach == pytest.approx(breadth / 4)


def least_unevenness(case: Case, reach: float) -> float:
    """Least sum of squared distances from even spacing with that reach, by SCIP."""
    allowed, breadth, count, pitch = case
    model = mathopt.Model()
    centres = [model.add_variable(lb=0.0, ub=breadth) for _ in range(count)]
    for centre in centres:
        inside = [model.add_binary_variable() for _ in allowed]
        model.add_linear_constraint(sum(inside) == 1)
        model.add_linear_constraint(
            centre >= sum(low * here for (low, _), here in zip(allowed, inside, strict=True))
        )
        model.add_linear_constraint(
            centre <= sum(high * here for (_, high), here in zip(allowed, inside, strict=True))
        )
    for before, after in pairwise(centres):
        model.add_linear_constraint(after - before >= pitch)
        model.add_linear_constraint(after - before <= 2 * reach)
    model.add_linear_constraint(centres[0] <= reach)
    model.add_linear_constraint(centres[-1] >= breadth - reach)
    wishes = [(2 * index + 1) * breadth / (2 * count) for index in range(count)]
    model.minimize(sum((centre - wish) * (centre - wish) for centre, wish in zip(centres, wishes, strict=True)))
    found = mathopt.solve(model, mathopt.SolverType.GSCIP)
    assert found.termination.reason is mathopt.TerminationReason.OPTIMAL
    return float(found.objective_value())


def unevenness(layout: Layout, breadth: float) -> float:
    count = len(layout.centres)
    return sum((u - (2 * i + 1) * breadth / (2 * count)) ** 2 for i, u in enumerate(layout.centres))


def check_evenness(case: Case) -> bool:
    layout = least_reach_layout(*case)
    if layout is None:
        return False
    # the solver's own tolerance is a millionth of each term, and the terms add up
    least = least_unevenness(case, layout.reach + 1e-6)
    assert unevenness(layout, case[1]) <= least * (1 + 1e-5) + 1e-3
    return True


@pytest.mark.parametrize("count", [2, 3, 4, 5, 8])
def test_of_equal_reaches_the_evenest_is_taken(count: int) -> None:
    rng = Random(f"even {count}")
    assert sum(check_evenness(random_case(rng, count, 120.0)) for _ in range(60)) > 10


@torture
@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 9])
def test_the_evenest_many_times(count: int) -> None:
    rng = Random(f"torture even {count}")
    for _ in range(2_000):
        check_evenness(random_case(rng, count, rng.choice([60.0, 120.0, 200.0])))


def settings_near(layout: Layout, allowed: Intervals, pitch: float, step: float) -> list[tuple[float, ...]]:
    """Every set of multiples next below or above that is allowed and keeps the pitch."""
    sets: list[tuple[float, ...]] = [()]
    for centre in layout.centres:
        below = int(centre / step + 1e-9) * step
        sets = [
            (*chosen, u)
            for chosen in sets
            for u in (below, below + step)
            if any(low - 1e-9 <= u <= high + 1e-9 for low, high in allowed)
            and (not chosen or u - chosen[-1] >= pitch - 1e-9)
        ]
    return sets


@pytest.mark.parametrize("step", [0.5, 25.4 / 32, 1.0])
def test_snapping(step: float) -> None:
    """Snapped sets are allowed multiples that keep the pitch; without one, nothing moves."""
    rng = Random(f"snap {step}")
    moved = kept = 0
    for _ in range(300):
        count = rng.randint(1, 4)
        breadth = rng.uniform(25, 140)
        low = rng.uniform(3, breadth / 2)
        width = rng.choice([rng.uniform(0, 0.6), rng.uniform(0, breadth / 2)])
        allowed = ((low, low + width), (low + width + 3, low + width + 3 + rng.uniform(0, breadth / 3)))
        pitch = rng.uniform(3, breadth / count)
        layout = least_reach_layout(allowed, breadth, count, pitch)
        if layout is None:
            continue
        result = snapped(layout, allowed, breadth, pitch, step, float("inf"))
        sets = settings_near(layout, allowed, pitch, step)
        if not sets:
            assert result == layout
            kept += 1
            continue
        assert min(max(abs(a - b) for a, b in zip(one, result.centres, strict=True)) for one in sets) < 1e-9
        assert all(abs(u / step - round(u / step)) < 1e-6 for u in result.centres)
        check_constraints(result, (allowed, breadth, count, pitch))
        least = min(sum((a - b) ** 2 for a, b in zip(one, layout.centres, strict=True)) for one in sets)
        movement = sum((a - b) ** 2 for a, b in zip(result.centres, layout.centres, strict=True))
        assert movement == pytest.approx(least, abs=1e-9)
        moved += 1
    assert moved > 50
    assert kept > 5


def test_snapping_stays_within_the_reach_limit() -> None:
    """At 39.8 of 40 mm, the lower multiple is taken although the upper one is nearer."""
    layout = Layout((39.8,), 39.8)
    assert snapped(layout, ((10.0, 70.0),), 79.6, 5.0, 1.0, 40.0).centres == (40.0,)
    assert snapped(layout, ((10.0, 70.0),), 79.6, 5.0, 1.0, 39.9).centres == (39.8,)


def test_no_step_no_move() -> None:
    layout = Layout((11.23, 40.01), reach_of((11.23, 40.01), 55.0))
    assert snapped(layout, ((0.0, 55.0),), 55.0, 5.0, 0.0, 40.0) == layout
