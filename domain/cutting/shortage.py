"""Where stock is limited: the most of the pieces, by length, that can be placed at all."""

from __future__ import annotations

from dataclasses import replace

from domain.cutting.greedy import fullest_first
from domain.cutting.lengthwise import Bar, Cuts, Job, Pattern, together
from domain.cutting.search import cheapest

COARSEST = 100_000
"""Lengths are weighed in tenths of a millimetre (100,000 nm): the sums stay within what a solver tells apart."""


def most_placed(job: Job) -> tuple[Job, Cuts]:
    """The job with as much asked for as can be placed, and cuts that place it.

    A piece that is short is bought, so to speak, as a bar of its own for its length: so the cheapest plan is the
    one that is short of the least. What fits a stock without limit is never short and need not be asked.
    """
    endless = max((bar.capacity for bar in job.bars if bar.most is None), default=0)
    cuts, missing = fullest_first(job)
    if not any(missing):
        return job, cuts
    hard = tuple(demand if size > endless else 0 for size, demand in zip(job.sizes, job.demands, strict=True))
    free = tuple(replace(bar, cost=0, most=bar.most or 0) for bar in job.bars)
    short = tuple(Bar(size, max(1, round(size / COARSEST))) for size in job.sizes)
    trial = Job(job.sizes, hard, (*free, *short))
    found = cheapest(trial, fullest_first(trial)[0])
    placed, lacking = list[tuple[Pattern, int]](), list(hard)
    for pattern, times in found.cuts:
        if pattern.bar < len(job.bars):
            placed.append((pattern, times))
            lacking = [need - count * times for need, count in zip(lacking, pattern.counts, strict=True)]
    asked = [demand - max(0, lack) for demand, lack in zip(job.demands, lacking, strict=True)]
    rest = Job(job.sizes, tuple(asked), job.bars)
    if not any(asked):
        return rest, ()
    more, _ = fullest_first(rest.less(placed))
    return rest, together([*placed, *more])
