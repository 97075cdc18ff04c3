"""The cheapest order by OR-Tools' CP-SAT solver, and random requests to ask both solvers.

The model is written from the ordering's contract alone: a number of packs for every pack offered, cover
what is short, pay shipping where something is bought, reach the minimum order there; least cost, then
fewest packs, then least left over, in three solves, each starting from what the one before found.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any

from ortools.sat.python import cp_model

from domain.ordering.order import Order
from domain.ordering.request import OrderRequest, read_order_request


@dataclass(frozen=True)
class Judged:
    """One of the three aims: the least that CP-SAT found, and what it has proven that none can be under."""

    best: int
    bound: int

    @property
    def proven(self) -> bool:
        """True where the solver finished."""
        return self.best == self.bound


def aims_of(order: Order) -> tuple[int, int, int]:
    """An order's cost, packs and left over."""
    return order.total, order.packs, order.left_over


def agrees(order: Order, judged: list[Judged]) -> bool:
    """True where the order is what CP-SAT found, or within its bounds where it did not finish."""
    return all(each.bound <= aim <= each.best for aim, each in zip(aims_of(order), judged, strict=False))


def by_cp_sat(request: OrderRequest, effort: float = 1e9) -> list[Judged]:
    """Cost, packs and left over as CP-SAT finds them, up to the first that it does not finish.

    ``effort`` is the most for each, in the solver's own measure.
    """
    model = cp_model.CpModel()
    shorts = request.shorts()
    terms = {supplier.name: supplier for supplier in request.suppliers}
    bought = {name: model.new_bool_var("") for name in sorted({pack.supplier for pack in request.packs})}
    numbers = []
    for pack in request.packs:
        minimum = terms[pack.supplier].minimum_order if pack.supplier in terms else 0
        most = -(-shorts.get(pack.item, 0) // pack.size) + (-(-minimum // pack.price) if pack.price else 0)
        numbers.append(model.new_int_var(0, most, ""))
        model.add(numbers[-1] <= most * bought[pack.supplier])
    pieces: dict[str, Any] = {}
    goods: dict[str, Any] = {}
    for pack, number in zip(request.packs, numbers, strict=True):
        pieces[pack.item] = pieces.get(pack.item, 0) + pack.size * number
        goods[pack.supplier] = goods.get(pack.supplier, 0) + pack.price * number
    for item, short in shorts.items():
        if item in pieces:
            model.add(pieces[item] >= short)
    shipping: Any = 0
    for name, worth in goods.items():
        if name in terms:
            model.add(worth >= terms[name].minimum_order * bought[name])
            shipping += terms[name].shipping * bought[name]
    left = sum(pieces[item] - shorts.get(item, 0) for item in pieces)
    aims = (sum(goods.values()) + shipping, sum(numbers), left)
    return _in_turn(model, aims, [*numbers, *bought.values()], effort)


def _in_turn(
    model: cp_model.CpModel, aims: tuple[Any, Any, Any], variables: list[Any], effort: float
) -> list[Judged]:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = effort
    judged = []
    for aim in aims:
        model.minimize(aim)
        status = solver.solve(model)
        assert status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
        best = round(solver.objective_value)
        judged.append(Judged(best, best if status == cp_model.OPTIMAL else int(solver.best_objective_bound)))
        if not judged[-1].proven:
            break
        clear_hints: Callable[[], None] = model.clear_hints
        clear_hints()
        for variable in variables:
            model.add_hint(variable, solver.value(variable))
        model.add(aim <= best)
    return judged


def binding_request(seed: int, items: int, largest: int) -> OrderRequest:
    """A request for so many items from four suppliers, some with a minimum order that binds."""
    rng = Random(f"{items} items, minimum orders up to {largest}, {seed}")
    names = ["North", "South", "East", "West"]
    packs = []
    for number in range(items):
        each = rng.uniform(5, 40)
        for _ in range(rng.randint(1, 5)):
            size = rng.choice([10, 20, 25, 50, 100, 200, 250, 500, 1000])
            price = max(1, int(size * each * rng.uniform(0.7, 1.3)))
            packs.append({"item": f"item {number}", "supplier": rng.choice(names), "size": size, "price": price})
    return read_order_request(
        {
            "format": "dovetally-order-request",
            "version": 1,
            "currency": "EUR",
            "needs": [{"item": f"item {number}", "count": rng.randint(0, 400)} for number in range(items)],
            "packs": packs,
            "suppliers": [
                {
                    "name": name,
                    "shipping": rng.choice([0, 490, 690, 990]),
                    "minimum_order": rng.choice([0, rng.randint(0, largest)]),
                }
                for name in names
            ],
        }
    )


def random_request(rng: Random, items: int) -> OrderRequest:
    """A request for so many items, with up to five packs of each from up to four suppliers.

    Some have everyday pack sizes and prices in steps, some any; larger packs are mostly cheaper by the
    piece. Minimum orders run from none to more than the whole order is worth.
    """
    names = ["North", "South", "East", "West"][: rng.randint(1, 4)]
    everyday = rng.random() < 0.7
    step = rng.choice([1, 5, 10, 50])
    packs = []
    needs = []
    for number in range(items):
        item = f"item {number}"
        needs.append({"item": item, "count": rng.choice([0, rng.randint(1, 30), rng.randint(1, 400)])})
        each = rng.uniform(3, 40)
        for _ in range(rng.randint(1, 5)):
            size = rng.choice([10, 20, 25, 50, 100, 250, 500]) if everyday else rng.randint(1, 300)
            price = each * size ** rng.uniform(0.8, 1.0) * rng.uniform(0.8, 1.25)
            packs.append(
                {
                    "item": item,
                    "supplier": rng.choice(names),
                    "size": size,
                    "price": max(1, round(price / step)) * step,
                }
            )
    typical = sum(pack["price"] for pack in packs) / max(1, len(packs))
    largest = typical * rng.choice([1, 2, 5])
    suppliers = []
    for name in names:
        shipping = rng.choice([0, rng.randint(1, 15) * 50, rng.randint(1, 2_000)])
        some = rng.uniform(0, largest)
        minimum = rng.choice([0, round(some), round(some / 500) * 500])
        suppliers.append({"name": name, "shipping": shipping, "minimum_order": minimum})
    return read_order_request(
        {
            "format": "dovetally-order-request",
            "version": 1,
            "currency": "EUR",
            "needs": needs,
            "on_hand": {f"item {number}": rng.randint(0, 20) for number in range(0, items, 3)},
            "minimum_stock": {f"item {number}": rng.randint(0, 50) for number in range(0, items, 4)},
            "packs": packs,
            "suppliers": suppliers,
        }
    )
