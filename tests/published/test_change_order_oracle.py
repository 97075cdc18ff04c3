"""The order of set-ups against every order there is, and against OR-Tools' CP-SAT circuit.

Neither knows anything of subsets, trees or penalties: the first tries all permutations, the second is
a general solver (OR-Tools, Apache-2.0) that is told of lines between points and that they make one circuit.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, permutations
from random import Random

import pytest
from ortools.sat.python import cp_model

from domain.lengths import Mm
from domain.machine.changing import EXACT, Ordered, best_order
from domain.planning.plans import CutterKind
from domain.planning.set_up import SetUp
from domain.spec.rules import ChangeMinutes
from tests.torture import torture

THOUSANDTHS = 1_000
USUAL = (10, 5, 4, 1, 1, 0.5)


def minutes_of(prices: Sequence[float]) -> ChangeMinutes:
    names = ("cutter", "projection", "fence", "fence_reading", "depth_stop", "clamp_height")
    return ChangeMinutes.model_validate(dict(zip(names, prices, strict=True)))


def random_set_ups(rng: Random, count: int) -> list[SetUp]:
    """Different set-ups of few different values, as one job has them; in no order."""
    cutters = [(name, kind, tip) for name, tip in (("10", 10.08), ("14", 14.06)) for kind in CutterKind]
    fences = [(True, 45.0), (True, 60.0), (False, 90.0)]
    most = rng.choice([3, 5, 8]) if count < 20 else 12
    found: set[SetUp] = set()
    while len(found) < count:
        name, kind, tip = rng.choice(cutters[: rng.randint(1, 4)])
        mitred, angle = rng.choice(fences)
        found.add(
            SetUp(
                section=name,
                cutter=kind,
                tip_diameter=Mm(tip if kind is CutterKind.CLOSE else tip + 0.34),
                projection=Mm(rng.choice([4.758, 6.24, 7.039])),
                mitred=mitred,
                angle=angle,
                fence_reading=Mm(10.0 + rng.randint(1, most)),
                depth_stop=Mm(16.0 + rng.randint(0, most) / 2),
                clamp_height=Mm(rng.choice([18.0, 20.0, 24.0])),
            )
        )
    return rng.sample(sorted(found, key=repr), count)


def six_values(one: SetUp) -> tuple[object, ...]:
    """The contract's six, as the document shows them."""
    fence = ("mitre" if one.mitred else "butt", one.angle)
    cutter = f"{one.section} {one.cutter.value}"
    return (cutter, one.projection, fence, one.fence_reading, one.depth_stop, one.clamp_height)


def between(one: SetUp, other: SetUp, prices: Sequence[float]) -> int:
    """What changing from one to the other costs, in thousandths of a minute."""
    pairs = zip(six_values(one), six_values(other), prices, strict=True)
    return sum(round(THOUSANDTHS * price) for a, b, price in pairs if a != b)


def total(order: Sequence[SetUp], prices: Sequence[float]) -> int:
    """The whole order's cost in thousandths, the first set-up's six values with it."""
    first = sum(round(THOUSANDTHS * price) for price in prices)
    return first + sum(between(a, b, prices) for a, b in pairwise(order))


def by_permutations(set_ups: Sequence[SetUp], prices: Sequence[float]) -> int:
    costs = [[between(a, b, prices) for b in set_ups] for a in set_ups]
    first = sum(round(THOUSANDTHS * price) for price in prices)
    places = range(len(set_ups))
    # an order and its reverse cost the same
    orders = (order for order in permutations(places) if order[0] <= order[-1])
    return first + min(sum(costs[a][b] for a, b in pairwise(order)) for order in orders)


def by_circuit(set_ups: Sequence[SetUp], prices: Sequence[float], seconds: float = 60.0) -> tuple[int, int]:
    """CP-SAT's best total and its own bound: equal where it has proven its answer."""
    model, count = cp_model.CpModel(), len(set_ups)
    arcs, cost = [], []
    for a in range(count):
        # the point outside, from which the path comes and to which it goes
        arcs += [(count, a, model.new_bool_var("")), (a, count, model.new_bool_var(""))]
        for b in range(count):
            if a != b:
                taken = model.new_bool_var("")
                arcs.append((a, b, taken))
                cost.append(between(set_ups[a], set_ups[b], prices) * taken)
    model.add_circuit(arcs)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    assert status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    first = sum(round(THOUSANDTHS * price) for price in prices)
    return first + round(solver.objective_value), first + round(solver.best_objective_bound)


def random_prices(rng: Random) -> Sequence[float]:
    """The usual minutes, or others: some nothing, some in hundredths."""
    if rng.random() < 0.4:
        return USUAL
    return [rng.choice([0, 0.05, 0.5, 1, 2.25, 7, 10.01]) for _ in USUAL]


def checked(set_ups: Sequence[SetUp], prices: Sequence[float]) -> Ordered:
    """The order, after what holds of every one: all set-ups once, the sum right, the bound not above it."""
    found = best_order(set_ups, minutes_of(prices))
    assert sorted(map(repr, found.order)) == sorted(map(repr, set_ups))
    assert round(found.minutes * THOUSANDTHS, 6) == total(found.order, prices)
    assert found.bound <= found.minutes
    return found


def thousandths(minutes: float) -> int:
    assert abs(minutes * THOUSANDTHS - round(minutes * THOUSANDTHS)) < 1e-6
    return round(minutes * THOUSANDTHS)


@pytest.mark.parametrize(
    ("count", "times"), [(1, 2), (2, 10), (3, 20), (4, 30), (5, 30), (6, 20), (7, 10), (8, 4), (9, 1)]
)
def test_no_order_takes_less_than_the_one_found(count: int, times: int) -> None:
    rng = Random(f"permutations {count}")
    for _ in range(times):
        set_ups, prices = random_set_ups(rng, count), random_prices(rng)
        found = checked(set_ups, prices)
        assert found.proven
        assert thousandths(found.minutes) == by_permutations(set_ups, prices)


@pytest.mark.parametrize("count", [8, 10, 11, 12, 13, EXACT])
def test_the_circuit_of_a_general_solver_takes_as_long(count: int) -> None:
    rng = Random(f"circuit {count}")
    for _ in range(3):
        set_ups, prices = random_set_ups(rng, count), random_prices(rng)
        found = checked(set_ups, prices)
        assert found.proven
        best, proven = by_circuit(set_ups, prices)
        assert best == proven
        assert thousandths(found.minutes) == best


def check_beyond(rng: Random, count: int, seconds: float) -> None:
    """Where an order is not certain, the bound shown must hold against the solver's best and its own bound."""
    set_ups, prices = random_set_ups(rng, count), random_prices(rng)
    found = checked(set_ups, prices)
    best, proven = by_circuit(set_ups, prices, seconds)
    assert thousandths(found.bound) <= best
    assert proven <= thousandths(found.minutes)
    if best == proven:
        assert thousandths(found.bound) <= best <= thousandths(found.minutes)
        # and the gap that is shown is not much of an excuse
        assert thousandths(found.minutes) <= best * 1.02


@pytest.mark.parametrize("count", [15, 20, 30, 40])
def test_beyond_that_the_bound_holds(count: int) -> None:
    check_beyond(Random(f"beyond {count}"), count, 10.0)


@torture
def test_five_hundred_orders_by_permutations_and_circuits() -> None:
    rng = Random("many orders")
    for _ in range(400):
        set_ups, prices = random_set_ups(rng, rng.randint(1, 7)), random_prices(rng)
        assert thousandths(checked(set_ups, prices).minutes) == by_permutations(set_ups, prices)
    for _ in range(100):
        set_ups, prices = random_set_ups(rng, rng.randint(8, EXACT)), random_prices(rng)
        assert thousandths(checked(set_ups, prices).minutes) == by_circuit(set_ups, prices)[0]


@torture
@pytest.mark.parametrize("count", range(15, 41, 5))
def test_the_bound_holds_for_many(count: int) -> None:
    rng = Random(f"many beyond {count}")
    for _ in range(6):
        check_beyond(rng, count, 60.0)
