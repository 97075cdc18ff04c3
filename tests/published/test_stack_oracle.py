"""Which keys fill a slot best, against trying every stack and against OR-Tools' CP-SAT solver."""

from __future__ import annotations

from itertools import combinations_with_replacement
from random import Random

import pytest
from ortools.sat.python import cp_model

from domain.lengths import Length
from domain.planning.stack import Stack, stacks
from tests.torture import torture


def random_lengths(rng: Random, step: int) -> tuple[int, ...]:
    """Two to five stock lengths in micrometres, multiples of ``step``."""
    return tuple(sorted({rng.randint(8_000 // step, 60_000 // step) * step for _ in range(rng.randint(2, 5))}))


def planned(lengths: tuple[int, ...], limit: int) -> tuple[Stack, ...]:
    return stacks(tuple(Length(1_000 * um) for um in lengths), Length(1_000 * limit))


def every_stack(lengths: tuple[int, ...], limit: int) -> dict[int, tuple[int, ...]]:
    """For every total within the limit the stack with fewest pieces, then the longest pieces first."""
    best: dict[int, tuple[int, ...]] = {}
    for pieces in range(1, limit // min(lengths) + 1):
        for chosen in combinations_with_replacement(sorted(lengths, reverse=True), pieces):
            total = sum(chosen)
            if total <= limit and (total not in best or (len(best[total]) == pieces and best[total] < chosen)):
                best[total] = chosen
    return best


def micrometres(stack: Stack) -> tuple[int, ...]:
    return tuple(key.nm // 1_000 for key in stack.keys)


@pytest.mark.parametrize("step", [1_000, 500, 25, 1])
def test_every_total_by_trying_everything(step: int) -> None:
    rng = Random(f"stack {step}")
    for _ in range(40):
        lengths, limit = random_lengths(rng, step), rng.randint(5_000, 110_000)
        if limit // min(lengths) > 9:
            continue
        expected = every_stack(lengths, limit)
        found = planned(lengths, limit)
        assert [micrometres(stack) for stack in found] == [expected[t] for t in sorted(expected, reverse=True)]
        for stack in found:
            assert list(stack.keys) == sorted(stack.keys, reverse=True)


def by_cp_sat(lengths: tuple[int, ...], limit: int) -> tuple[int, int]:
    """Largest total, then fewest pieces: two solves with OR-Tools' CP-SAT."""
    model = cp_model.CpModel()
    counts = [model.new_int_var(0, limit // length, "") for length in lengths]
    total = sum(count * length for count, length in zip(counts, lengths, strict=True))
    model.add(total <= limit)
    model.maximize(total)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    largest = round(solver.objective_value)
    model.add(total == largest)
    model.minimize(sum(counts))
    assert solver.solve(model) == cp_model.OPTIMAL
    return largest, round(solver.objective_value)


def check_against_cp_sat(rng: Random) -> None:
    lengths, limit = random_lengths(rng, rng.choice([1, 25, 500, 1_000])), rng.randint(2_000, 150_000)
    found = planned(lengths, limit)
    total, pieces = by_cp_sat(lengths, limit)
    if not found:
        assert total == 0
        return
    assert (sum(micrometres(found[0])), len(found[0].keys)) == (total, pieces)


def test_best_stack_by_cp_sat() -> None:
    rng = Random("cp-sat")
    for _ in range(200):
        check_against_cp_sat(rng)


@torture
def test_best_stack_by_cp_sat_many_times() -> None:
    rng = Random("torture cp-sat")
    for _ in range(5_000):
        check_against_cp_sat(rng)


def test_nothing_fits() -> None:
    assert planned((16_000, 22_000), 15_999) == ()
    assert planned((16_000,), -1) == ()
