"""How an item's bars are cut: its pieces as a job of whole numbers, and the job's cuts as pieces again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice

from domain.cutting.lengthwise import Bar, Cuts, Job, Pattern
from domain.cutting.plan import BarPlan, CutBar, Plan, Unplaced, WhyUnplaced
from domain.cutting.request import BarItem, costs
from domain.cutting.search import cheapest, tidied
from domain.cutting.shortage import most_placed
from domain.cutting.wholes import Measure, Whole, measure_of, run_together, wholes
from domain.lengths import Length
from domain.sayings import Figures


def plan_bars(item: BarItem) -> BarPlan:
    """The cheapest way to cut an item's pieces, with what no way costs less than."""
    asked = tuple(wholes(item))
    if not item.stock:
        return Plan(item.item, (), 0, 0, tuple(_unplaced(item, asked, WhyUnplaced.NO_STOCK)))
    longest = max(stock.length.nm for stock in item.stock) - 2 * item.trim.nm
    fitting = [whole for whole in asked if whole.length.nm <= longest]
    too_long = [whole for whole in asked if whole.length.nm > longest]
    unplaced = list(_unplaced(item, too_long, WhyUnplaced.TOO_LONG))
    if not fitting:
        return Plan(item.item, (), 0, 0, tuple(unplaced))
    measure = measure_of(item)
    whole = _job(item, fitting, measure)
    job, start = most_placed(whole)
    alike = _alike(fitting)
    for index, (wanted, placed) in enumerate(zip(whole.demands, job.demands, strict=True)):
        unplaced += _short(item, alike[index], wanted - placed)
    found = tidied(job, cheapest(job, start))
    return Plan(
        item=item.item,
        cuts=tuple(_named(job, found.cuts, alike, measure)),
        cost=found.cost,
        bound=found.bound,
        unplaced=tuple(unplaced),
    )


def _job(item: BarItem, asked: Sequence[Whole], measure: Measure) -> Job:
    demands: Counter[int] = Counter()
    for whole in asked:
        demands[measure.size(whole.length)] += whole.count
    sizes = tuple(sorted(demands, reverse=True))
    bars = tuple(
        Bar(measure.capacity(stock.length - item.trim * 2), cost, stock.count)
        for stock, cost in zip(item.stock, costs(item.stock), strict=True)
    )
    return Job(sizes, tuple(demands[size] for size in sizes), bars)


def _alike(asked: Sequence[Whole]) -> list[list[tuple[Whole, int]]]:
    """For each size of the job, what has it and how many of each, in the order of the request."""
    sizes = sorted({whole.length for whole in asked}, reverse=True)
    return [[(whole, whole.count) for whole in asked if whole.length == size] for size in sizes]


def _named(job: Job, cuts: Cuts, alike: list[list[tuple[Whole, int]]], measure: Measure) -> Iterator[CutBar]:
    """The cuts with the marks of their pieces; bars that are cut alike in one row, as they come."""
    queues = [iter([whole for whole, count in named for _ in range(count)]) for named in alike]
    rows: Counter[tuple[Pattern, tuple[Whole, ...]]] = Counter()
    for pattern, times in cuts:
        for _ in range(times):
            taken = [
                whole
                for queue, count in zip(queues, pattern.counts, strict=True)
                for whole in islice(queue, count)
            ]
            rows[pattern, tuple(taken)] += 1
    for (pattern, sawn), times in rows.items():
        yield CutBar(
            stock=pattern.bar,
            times=times,
            pieces=run_together(mark for whole in sawn for mark in whole.pieces),
            left=measure.left(job.room(pattern)),
            asked=run_together(whole.mark for whole in sawn),
        )


def _unplaced(item: BarItem, asked: Sequence[Whole], why: WhyUnplaced) -> Iterator[Unplaced]:
    for whole in asked:
        figures = () if why is WhyUnplaced.NO_STOCK else _needed(item, whole.length)
        yield Unplaced(whole.mark, whole.count, why, figures)


def _needed(item: BarItem, length: Length) -> Figures:
    """The shortest bar that a piece can be cut from, its trims with it."""
    return (("needed", (length + item.trim * 2).mm),)


def _short(item: BarItem, named: list[tuple[Whole, int]], missing: int) -> Iterator[Unplaced]:
    """The last pieces of a size, of which so many are in no bar; taken off what has it."""
    while missing > 0:
        whole, count = named.pop()
        short = min(count, missing)
        missing -= short
        if count > short:
            named.append((whole, count - short))
        yield Unplaced(whole.mark, short, WhyUnplaced.NONE_LEFT, _needed(item, whole.length))
