"""Cuts to begin with: the fullest bar by far, again and again."""

from __future__ import annotations

from fractions import Fraction

from domain.cutting.filling import best_fillings
from domain.cutting.lengthwise import Counts, Cuts, Job, Pattern, together


def fullest_first(job: Job) -> tuple[Cuts, Counts]:
    """Cuts that fill one bar after the other as well as what is left allows; and the pieces left without a bar.

    Of the stocks the one that costs least for the length it gives.
    """
    # longer pieces are worth a trifle more than their length: they are the harder to place later
    worths = [size * 1_000 // job.sizes[-1] + len(job.sizes) - at for at, size in enumerate(job.sizes)]
    cuts, left = list[tuple[Pattern, int]](), job
    while any(left.demands):
        fillings = best_fillings(left, worths)
        usable = [
            pattern for pattern in fillings.patterns if any(pattern.counts) and left.bars[pattern.bar].most != 0
        ]
        if not usable:
            break
        pattern = min(usable, key=lambda each: _price_of_length(left, each))
        times = _as_often(left, pattern)
        cuts.append((pattern, times))
        left = left.less([(pattern, times)])
    return together(cuts), left.demands


def _price_of_length(job: Job, pattern: Pattern) -> tuple[Fraction, Fraction]:
    bar, filled = job.bars[pattern.bar], job.length(pattern.counts)
    return Fraction(bar.cost, filled), Fraction(bar.capacity, filled)


def _as_often(job: Job, pattern: Pattern) -> int:
    often = [demand // count for demand, count in zip(job.demands, pattern.counts, strict=True) if count]
    most = job.bars[pattern.bar].most
    return min(often if most is None else [*often, most])
