"""How an item's bars are cut: its pieces as a job of whole numbers, and the job's cuts as pieces again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice

from domain.cutting.lengthwise import Bar, Cuts, Job, Pattern
from domain.cutting.plan import BarPlan, CutBar, Plan, Unplaced, WhyUnplaced
from domain.cutting.request import BarItem, BarPiece, costs
from domain.cutting.search import cheapest, tidied
from domain.cutting.shortage import most_placed
from domain.lengths import Length
from domain.sayings import Figures


def plan_bars(item: BarItem) -> BarPlan:
    """The cheapest way to cut an item's pieces, with what no way costs less than."""
    if not item.stock:
        return Plan(item.item, (), 0, 0, tuple(_unplaced(item, item.pieces, WhyUnplaced.NO_STOCK)))
    longest = max(stock.length.nm for stock in item.stock) - 2 * item.trim.nm
    fitting = [piece for piece in item.pieces if piece.length.nm <= longest]
    too_long = [piece for piece in item.pieces if piece.length.nm > longest]
    unplaced = list(_unplaced(item, too_long, WhyUnplaced.TOO_LONG))
    if not fitting:
        return Plan(item.item, (), 0, 0, tuple(unplaced))
    whole = _job(item, fitting)
    job, start = most_placed(whole)
    marks = _marks(fitting)
    for index, (asked, placed) in enumerate(zip(whole.demands, job.demands, strict=True)):
        unplaced += _short(item, marks[index], asked - placed)
    found = tidied(job, cheapest(job, start))
    return Plan(
        item=item.item,
        cuts=tuple(_named(job, found.cuts, marks)),
        cost=found.cost,
        bound=found.bound,
        unplaced=tuple(unplaced),
    )


def _job(item: BarItem, pieces: Sequence[BarPiece]) -> Job:
    demands: Counter[int] = Counter()
    for piece in pieces:
        demands[piece.length.nm + item.kerf.nm] += piece.count
    sizes = tuple(sorted(demands, reverse=True))
    bars = tuple(
        Bar(max(0, stock.length.nm - 2 * item.trim.nm + item.kerf.nm), cost, stock.count)
        for stock, cost in zip(item.stock, costs(item.stock), strict=True)
    )
    return Job(sizes, tuple(demands[size] for size in sizes), bars)


def _marks(pieces: Sequence[BarPiece]) -> list[list[tuple[str, int]]]:
    """For each size of the job, the marks that have it and how many of each, in the order of the request."""
    sizes = sorted({piece.length.nm for piece in pieces}, reverse=True)
    return [[(piece.mark, piece.count) for piece in pieces if piece.length.nm == size] for size in sizes]


def _named(job: Job, cuts: Cuts, marks: list[list[tuple[str, int]]]) -> Iterator[CutBar]:
    """The cuts with the marks of their pieces; bars that are cut alike in one row, as they come."""
    queues = [iter([mark for mark, count in named for _ in range(count)]) for named in marks]
    rows: Counter[tuple[Pattern, tuple[tuple[str, int], ...]]] = Counter()
    for pattern, times in cuts:
        for _ in range(times):
            taken = [
                mark for queue, count in zip(queues, pattern.counts, strict=True) for mark in islice(queue, count)
            ]
            rows[pattern, tuple(Counter(taken).items())] += 1
    for (pattern, pieces), times in rows.items():
        yield CutBar(pattern.bar, times, pieces, Length(job.room(pattern)))


def _unplaced(item: BarItem, pieces: Sequence[BarPiece], why: WhyUnplaced) -> Iterator[Unplaced]:
    for piece in pieces:
        figures = () if why is WhyUnplaced.NO_STOCK else _needed(item, piece.length)
        yield Unplaced(piece.mark, piece.count, why, figures)


def _needed(item: BarItem, length: Length) -> Figures:
    """The shortest bar that a piece can be cut from, its trims with it."""
    return (("needed", (length + item.trim * 2).mm),)


def _short(item: BarItem, named: list[tuple[str, int]], missing: int) -> Iterator[Unplaced]:
    """The last pieces of a size, of which so many are in no bar; taken off the marks that have it."""
    lengths = {piece.mark: piece.length for piece in item.pieces}
    while missing > 0:
        mark, count = named.pop()
        short = min(count, missing)
        missing -= short
        if count > short:
            named.append((mark, count - short))
        yield Unplaced(mark, short, WhyUnplaced.NONE_LEFT, _needed(item, lengths[mark]))
