"""The best of many ways to lay pieces on sheets: every manner in several orders, then orders a little disturbed.

Sheets from all tries go into one pool, and a whole programme picks those that together hold every piece for the
least cost: two tries that each had a good half make one good plan. Work is limited by counts, and nothing is left
to chance: the same request ends the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import count, product

from domain.cutting.guillotine import Fit, Kind, Laid, Layout, Manner, Sheet, Split, lay_out
from domain.cutting.lengthwise import Bar, Job, Pattern
from domain.cutting.master import best_of

MOST_STEPS = 400_000
"""Pieces laid in all tries together: a few seconds."""
LEAST_TRIES, MOST_TRIES = 60, 3_000
MOST_POOLED = 1_500
MOST_NODES = 60

Key = Callable[[int], int]
"""What a kind is laid by: the least first."""
Weight = tuple[int, int, int]
"""What is missing by area, what the sheets cost, and how little the sheet with most room has left."""


class Trying:
    """The best layouts found of a job in whole numbers."""

    def __init__(self, kinds: Sequence[Kind], sheets: Sequence[Sheet], bound: int) -> None:
        self._kinds, self._sheets, self._bound = kinds, sheets, bound
        self.layouts: list[Layout] = []
        self.missing: list[int] = [index for index, kind in enumerate(kinds) for _ in range(kind.count)]
        self._weight = self._weigh([], self.missing)
        self._pool: dict[Pattern, Layout] = {}

    def run(self) -> None:
        """Try until the bound is reached, or the work is done."""
        pieces = sum(kind.count for kind in self._kinds)
        tries = min(MOST_TRIES, max(LEAST_TRIES, MOST_STEPS // (pieces * (1 + pieces // 20))))
        for number, (order, manner) in enumerate(self._tries()):
            if self._is_best() or number >= tries:
                break
            self._try(order, manner)
        if not self._is_best():
            self._pick()

    @property
    def cost(self) -> int:
        """What the sheets of the best layouts cost."""
        return sum(self._sheets[layout.stock].cost for layout in self.layouts)

    def _is_best(self) -> bool:
        return not self._weight[0] and self._weight[1] <= self._bound

    def _try(self, order: Sequence[int], manner: Manner) -> None:
        layouts, missing = lay_out(self._kinds, self._sheets, order, manner)
        layouts = [self._cheaper(layout) for layout in layouts]
        for layout in layouts:
            if len(self._pool) < MOST_POOLED:
                self._pool.setdefault(Pattern(layout.stock, layout.counts(len(self._kinds))), layout)
        self._keep(layouts, missing)

    def _keep(self, layouts: list[Layout], missing: list[int]) -> None:
        weight = self._weigh(layouts, missing)
        if weight < self._weight:
            self._weight, self.layouts, self.missing = weight, layouts, missing

    def _weigh(self, layouts: Sequence[Layout], missing: Sequence[int]) -> Weight:
        rooms = [self._sheets[each.stock].area - sum(p.length * p.width for p in each.laid) for each in layouts]
        cost = sum(self._sheets[each.stock].cost for each in layouts)
        return sum(self._kinds[index].area for index in missing), cost, -max(rooms, default=0)

    def _tries(self) -> Iterator[tuple[list[int], Manner]]:
        every = [index for index, kind in enumerate(self._kinds) for _ in range(kind.count)]
        manners = [Manner(*each) for each in product(Fit, Split, self._stock_orders())]
        keys: tuple[Key, ...] = (
            lambda index: -self._kinds[index].area,
            lambda index: -max(self._kinds[index].ways[0]),
            lambda index: -self._kinds[index].ways[0][1],
            lambda index: -self._kinds[index].ways[0][0],
            lambda index: -sum(self._kinds[index].ways[0]),
            lambda index: -min(self._kinds[index].ways[0]),
        )
        for key in keys:
            ordered = sorted(every, key=key)
            yield from ((ordered, manner) for manner in manners)
        for number in count():
            disturbed = sorted(range(len(every)), key=_disturbed(number, every, keys[number % len(keys)]))
            yield [every[at] for at in disturbed], manners[_mixed(number, len(every)) % len(manners)]

    def _stock_orders(self) -> list[tuple[int, ...]]:
        """The cheapest for its area first, the largest first, the smallest first."""
        sheets, all_of_them = self._sheets, range(len(self._sheets))
        orders = (
            sorted(all_of_them, key=lambda at: (sheets[at].cost / sheets[at].area, -sheets[at].area)),
            sorted(all_of_them, key=lambda at: -sheets[at].area),
            sorted(all_of_them, key=lambda at: sheets[at].area),
        )
        return [*dict.fromkeys(map(tuple, orders))]

    def _cheaper(self, layout: Layout) -> Layout:
        """The same layout on the cheapest sheet without limit that holds it as it lies."""
        length = max(piece.x + piece.length for piece in layout.laid)
        width = max(piece.y + piece.width for piece in layout.laid)
        fitting = [
            at
            for at, sheet in enumerate(self._sheets)
            if (sheet.most is None or at == layout.stock) and sheet.length >= length and sheet.width >= width
        ]
        stock = min(fitting, key=lambda at: (self._sheets[at].cost, at != layout.stock, at))
        return Layout(stock, layout.laid)

    def _pick(self) -> None:
        """The cheapest of all sheets tried that together hold what can be placed."""
        demands = [kind.count for kind in self._kinds]
        for index in self.missing:
            demands[index] -= 1
        job = Job(
            sizes=tuple(kind.area for kind in self._kinds),
            demands=tuple(demands),
            bars=tuple(Bar(sheet.area, sheet.cost, sheet.most) for sheet in self._sheets),
        )
        cuts, _ = best_of(job, list(self._pool), MOST_NODES)
        if cuts is None:
            return
        chosen = [self._pool[pattern] for pattern, times in cuts for _ in range(times)]
        layouts = _only(chosen, demands)
        if sum(len(layout.laid) for layout in layouts) == sum(demands) and self._within_stock(layouts):
            self._keep(layouts, self.missing)

    def _within_stock(self, layouts: Sequence[Layout]) -> bool:
        used = [layout.stock for layout in layouts]
        return all(sheet.most is None or used.count(at) <= sheet.most for at, sheet in enumerate(self._sheets))


def _disturbed(number: int, every: Sequence[int], key: Key) -> Callable[[int], float]:
    """The order of ``key`` with each piece moved by up to a third, in another way for every number."""
    return lambda at: key(every[at]) * (0.7 + 0.6 * _mixed(number, at) / 2**32)


def _mixed(number: int, at: int) -> int:
    """A number of 32 bits that looks like chance and is none (finishing steps of MurmurHash3, from memory)."""
    mixed = (number * 0x9E3779B1 + at * 0x85EBCA77 + 1) & 0xFFFFFFFF
    mixed = (mixed ^ mixed >> 16) * 0x85EBCA6B & 0xFFFFFFFF
    mixed = (mixed ^ mixed >> 13) * 0xC2B2AE35 & 0xFFFFFFFF
    return mixed ^ mixed >> 16


def _only(layouts: Sequence[Layout], demands: Sequence[int]) -> list[Layout]:
    """The layouts without pieces that are laid more often than they are asked for."""
    left, kept = list(demands), list[Layout]()
    for layout in layouts:
        laid = list[Laid]()
        for piece in layout.laid:
            if left[piece.kind] > 0:
                left[piece.kind] -= 1
                laid.append(piece)
        if laid:
            kept.append(Layout(layout.stock, tuple(laid)))
    return kept
