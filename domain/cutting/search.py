"""The cheapest cuts of a job, and what is proven of their cost.

Patterns are found as they are worth something (P. C. Gilmore and R. E. Gomory, "A linear programming approach to
the cutting-stock problem", Operations Research 9 (1961) 849-859, from memory): a programme over the patterns known
says what a piece of each size is worth, and a bar's dearest filling by those worths is the next pattern. When none
is worth more than its bar, the programme's cost is a bound. Whole cuts are made by settling what the programme
cuts in whole bars and asking again for the rest; where that leaves a gap, by a whole programme over the patterns
found, or over all of them where they are few.

Work is limited by counts, never by a clock: the same request ends the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import ceil

from domain.cutting.bound import FINENESS, least_cost, row_of, whole
from domain.cutting.filling import best_fillings
from domain.cutting.lengthwise import (
    Cuts,
    Job,
    Pattern,
    can_be_cut,
    cost_of,
    covers,
    longest_left,
    together,
    trimmed,
)
from domain.cutting.listing import all_patterns, full_patterns
from domain.cutting.master import Master, Weighed, best_of, fewest_of
from domain.cutting.whole_bars import Row, least_cost_of_bars

MOST_ROUNDS = 2_000
"""Rounds of finding patterns for one programme; published instances take under two hundred."""
MOST_LISTED = 6_000
"""Patterns up to which all of them are listed for the whole programme."""
MOST_WORK = 200_000
"""Nodes times patterns, and twenty more, that a whole programme may take."""
MOST_TIDIED, MOST_TIDYING = 300, 10_000
"""Patterns, and nodes times patterns, that the search for fewer different ones may take: a second or two."""
EASING = 1e-9


@dataclass(frozen=True, slots=True)
class Found:
    """The cheapest cuts found, and what no cuts cost less than."""

    cuts: Cuts
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        """True where no cuts cost less."""
        return self.cost == self.bound


def cheapest(job: Job, start: Cuts) -> Found:
    """The cheapest cuts of a job that can be made whole, beginning with cuts that make it."""
    return _Search(job, start).run()


def tidied(job: Job, found: Found) -> Found:
    """Cuts of the same cost with fewer different patterns where some are found, then with a longer offcut.

    Nobody asks for what they give too much: it is left off.
    """
    cuts = trimmed(job, found.cuts)
    every = all_patterns(job, MOST_TIDIED)
    patterns = every or full_patterns(job, MOST_TIDIED)
    if len(cuts) > 1 and patterns:
        nodes = MOST_TIDYING // (len(patterns) + 20)
        fewer = fewest_of(job, patterns, found.cost, nodes, exactly=bool(every))
        if fewer and can_be_cut(job, fewer) and covers(job, fewer) and cost_of(job, fewer) == found.cost:
            cuts = min(cuts, trimmed(job, fewer), key=lambda each: (len(each), -longest_left(job, each)))
    return Found(cuts, found.cost, found.bound)


class _Search:
    def __init__(self, job: Job, start: Cuts) -> None:
        self._job = job
        self._cuts, self._cost = start, cost_of(job, start)
        self._bound = 0
        self._row: Row | None = None
        self._pool: dict[Pattern, None] = dict.fromkeys(pattern for pattern, _ in start)

    def run(self) -> Found:
        steps = (self._bound_below, *self._dives(), self._bound_by_bars, self._whole_of_all, self._whole_of_pool)
        for step in steps:
            if self._bound >= self._cost:
                break
            step()
        return Found(self._cuts, self._cost, min(self._bound, self._cost))

    def _bound_below(self) -> None:
        """The programme over all patterns, as far as it takes: its bound, and its patterns."""
        master = Master(self._job, [*self._pool])
        self._settle(self._job, master)
        self._pool.update(dict.fromkeys(master.patterns))

    def _dives(self) -> Iterator[Callable[[], None]]:
        for pick in (_fullest_share, _nearest_to_whole, _longest_pieces):
            yield partial(self._dive, pick)

    def _settle(self, job: Job, master: Master) -> Weighed | None:
        """Grow the patterns until none is worth more than its bar. Bounds hold where ``job`` is all of it."""
        weighed = master.solve()
        for _ in range(MOST_ROUNDS):
            if weighed is None:
                return None
            values = whole(weighed.worths)
            fillings = best_fillings(job, values)
            if job is self._job:
                self._row = row_of(job, values, fillings)
                self._bound = max(self._bound, least_cost(job, self._row))
                if self._bound >= self._cost:
                    return weighed
            rents = iter(weighed.rents)
            grown = False
            for bar, pattern in zip(job.bars, fillings.patterns, strict=True):
                rent = next(rents) if bar.most is not None else 0.0
                worth = sum(value * count for value, count in zip(values, pattern.counts, strict=True)) / FINENESS
                if worth > bar.cost + rent + 1e-6 * max(1, bar.cost):
                    grown = master.add(pattern) or grown
            if not grown:
                return weighed
            weighed = master.solve()
        return weighed

    def _bound_by_bars(self) -> None:
        """Bars are whole: by the programme's worths, by length, and by their worth where all bars cost alike."""
        alike = replace(self._job, bars=tuple(replace(bar, cost=1) for bar in self._job.bars))
        master = Master(alike, [*self._pool])
        weighed = self._settle(alike, master)
        lengths = [size // max(1, self._job.sizes[0] >> 30) for size in self._job.sizes]
        rows = [] if self._row is None else [self._row]
        for values in (lengths, *([] if weighed is None else [whole(weighed.worths)])):
            rows.append(row_of(self._job, values, best_fillings(self._job, values)))
        costs, most = [bar.cost for bar in self._job.bars], [bar.most for bar in self._job.bars]
        self._bound = max(self._bound, least_cost_of_bars(costs, most, rows))

    def _dive(self, pick: Callable[[Job, Master, Weighed], int]) -> None:
        """Whole cuts, a few bars at a time: what is cut in whole bars is settled, and the rest asked anew."""
        left, taken = self._job, list[tuple[Pattern, int]]()
        patterns = list(self._pool)
        while any(left.demands):
            patterns = [*dict.fromkeys(each.within(left.demands) for each in patterns)]
            master = Master(left, [each for each in patterns if any(each.counts)])
            weighed = self._settle(left, master)
            if weighed is None:
                return
            patterns = master.patterns
            settled = _settled(left, master, weighed, pick)
            taken += settled
            left = left.less(settled)
        self._keep(together(taken))
        self._pool.update(dict.fromkeys(pattern for pattern, _ in taken))

    def _whole_of_all(self) -> None:
        """The whole programme over every pattern that wastes no room for a piece, where they are few."""
        listed = full_patterns(self._job, MOST_LISTED)
        if listed is None:
            return
        cuts, bound = best_of(self._job, listed, MOST_WORK // (len(listed) + 20))
        if cuts:
            self._keep(cuts)
        if bound is not None:
            self._bound = max(self._bound, _next_whole(bound))

    def _whole_of_pool(self) -> None:
        pool = list(self._pool)
        cuts, _ = best_of(self._job, pool, MOST_WORK // (len(pool) + 20))
        if cuts:
            self._keep(cuts)

    def _keep(self, cuts: Cuts) -> None:
        """Take cuts that can be made, and are cheaper than those known."""
        if can_be_cut(self._job, cuts) and covers(self._job, cuts) and cost_of(self._job, cuts) < self._cost:
            self._cuts, self._cost = cuts, cost_of(self._job, cuts)


def _next_whole(bound: float) -> int:
    """The least whole cost that a solver's bound allows: it may be out by a trifle."""
    return ceil(bound - 1e-4 * max(1.0, abs(bound) * 1e-4))


def _settled(
    job: Job, master: Master, weighed: Weighed, pick: Callable[[Job, Master, Weighed], int]
) -> list[tuple[Pattern, int]]:
    """The patterns that are cut in whole bars; where there are none, one bar of the one picked."""
    settled, left = list[tuple[Pattern, int]](), list(job.demands)
    for pattern, times in zip(master.patterns, weighed.times, strict=True):
        often = min([int(times + EASING), *(left[i] // n for i, n in enumerate(pattern.counts) if n)])
        if often:
            settled.append((pattern, often))
            left = [have - count * often for have, count in zip(left, pattern.counts, strict=True)]
    if settled:
        return settled
    return [(master.patterns[pick(job, master, weighed)], 1)]


def _fullest_share(job: Job, master: Master, weighed: Weighed) -> int:
    """The pattern that the programme cuts most of."""
    return max(
        range(len(master.patterns)), key=lambda at: (weighed.times[at], job.length(master.patterns[at].counts))
    )


def _nearest_to_whole(job: Job, master: Master, weighed: Weighed) -> int:
    """Of those cut at all, the fullest bar."""
    used = [at for at, times in enumerate(weighed.times) if times > EASING]
    return max(used, key=lambda at: (_fullness(job, master, at), weighed.times[at]))


def _longest_pieces(job: Job, master: Master, weighed: Weighed) -> int:
    """Of those cut at all, the one with the longest pieces."""
    used = [at for at, times in enumerate(weighed.times) if times > EASING]
    return max(used, key=lambda at: (master.patterns[at].counts, weighed.times[at]))


def _fullness(job: Job, master: Master, at: int) -> float:
    pattern = master.patterns[at]
    return job.length(pattern.counts) / job.bars[pattern.bar].capacity
