"""How an item's bars are cut: its pieces as a job of whole numbers, and the job's cuts as pieces again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from domain.cutting.lengthwise import Bar, Cuts, Job, Pattern
from domain.cutting.plan import BarPlan, CutBar, Unplaced, WhyUnplaced
from domain.cutting.request import BarItem, BarPiece
from domain.cutting.search import cheapest, tidied
from domain.cutting.shortage import most_placed
from domain.lengths import Length


def plan_bars(item: BarItem) -> BarPlan:
    """The cheapest way to cut an item's pieces, with what no way costs less than."""
    if not item.stock:
        return BarPlan(item.item, (), 0, 0, tuple(_unplaced(item, item.pieces, WhyUnplaced.NO_STOCK)))
    longest = max(stock.length.nm for stock in item.stock) - 2 * item.trim.nm
    fitting = [piece for piece in item.pieces if piece.length.nm <= longest]
    too_long = [piece for piece in item.pieces if piece.length.nm > longest]
    unplaced = list(_unplaced(item, too_long, WhyUnplaced.TOO_LONG))
    if not fitting:
        return BarPlan(item.item, (), 0, 0, tuple(unplaced))
    whole = _job(item, fitting)
    job, start = most_placed(whole)
    marks = _marks(fitting)
    for index, (asked, placed) in enumerate(zip(whole.demands, job.demands, strict=True)):
        unplaced += _short(item, marks[index], asked - placed)
    found = tidied(job, cheapest(job, start))
    return BarPlan(
        item=item.item,
        bars=tuple(_named(item, job, found.cuts, marks)),
        cost=found.cost,
        bound=found.bound,
        unplaced=tuple(unplaced),
    )


def _job(item: BarItem, pieces: Sequence[BarPiece]) -> Job:
    demands: Counter[int] = Counter()
    for piece in pieces:
        demands[piece.length.nm + item.kerf.nm] += piece.count
    sizes = tuple(sorted(demands, reverse=True))
    priced = any(stock.price is not None for stock in item.stock)
    bars = tuple(
        Bar(
            capacity=max(0, stock.length.nm - 2 * item.trim.nm + item.kerf.nm),
            cost=(stock.price or 0) if priced else 1,
            most=stock.count,
        )
        for stock in item.stock
    )
    return Job(sizes, tuple(demands[size] for size in sizes), bars)


def _marks(pieces: Sequence[BarPiece]) -> list[list[tuple[str, int]]]:
    """For each size of the job, the marks that have it and how many of each, in the order of the request."""
    sizes = sorted({piece.length.nm for piece in pieces}, reverse=True)
    return [[(piece.mark, piece.count) for piece in pieces if piece.length.nm == size] for size in sizes]


def _named(item: BarItem, job: Job, cuts: Cuts, marks: list[list[tuple[str, int]]]) -> Iterator[CutBar]:
    """The cuts with the marks of their pieces; bars that are cut alike in one row, as they come."""
    queues = [[mark for mark, count in named for _ in range(count)] for named in marks]
    rows: Counter[tuple[Pattern, tuple[tuple[str, int], ...]]] = Counter()
    for pattern, times in cuts:
        for _ in range(times):
            taken = [
                mark for queue, count in zip(queues, pattern.counts, strict=True) for mark in _first(queue, count)
            ]
            rows[pattern, tuple(Counter(taken).items())] += 1
    for (pattern, pieces), times in rows.items():
        stock = item.stock[pattern.bar]
        # no kerf beyond the last piece
        left = job.bars[pattern.bar].capacity - job.length(pattern.counts)
        yield CutBar(pattern.bar, times, pieces, Length(min(left, stock.length.nm)))


def _first(queue: list[str], count: int) -> list[str]:
    taken, queue[:count] = queue[:count], []
    return taken


def _unplaced(item: BarItem, pieces: Sequence[BarPiece], why: WhyUnplaced) -> Iterator[Unplaced]:
    for piece in pieces:
        needed = (piece.length + item.trim * 2).mm
        yield Unplaced(piece.mark, piece.count, why, () if why is WhyUnplaced.NO_STOCK else (("needed", needed),))


def _short(item: BarItem, named: list[tuple[str, int]], missing: int) -> Iterator[Unplaced]:
    """The last pieces of a size, of which so many are in no bar; taken off the marks that have it."""
    lengths = {piece.mark: piece.length for piece in item.pieces}
    while missing > 0:
        mark, count = named.pop()
        short = min(count, missing)
        missing -= short
        if count > short:
            named.append((mark, count - short))
        yield Unplaced(mark, short, WhyUnplaced.NONE_LEFT, (("needed", (lengths[mark] + item.trim * 2).mm),))
