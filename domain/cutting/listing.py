"""Every way to cut a bar, where they are few."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from domain.cutting.lengthwise import Counts, Job, Pattern

LOOKED_AT = 10
"""Times as many ways may be looked at as are listed in the end."""


def full_patterns(job: Job, most: int) -> list[Pattern] | None:
    """Those that leave no room for another piece; None where there are more than ``most``, or too many to look at.

    For what a plan costs they are enough: one that cuts less from a bar could have cut more and thrown it away.
    """
    looked_at = list(islice(_patterns(job), LOOKED_AT * most + 1))
    full = [pattern for pattern in looked_at if not _takes_more(job, pattern)]
    return full if len(looked_at) <= LOOKED_AT * most and len(full) <= most else None


def all_patterns(job: Job, most: int) -> list[Pattern] | None:
    """Full or not; None where there are more than ``most``."""
    patterns = list(islice(_patterns(job), most + 1))
    return patterns if len(patterns) <= most else None


def _patterns(job: Job) -> Iterator[Pattern]:
    for index, bar in enumerate(job.bars):
        if bar.most != 0:
            yield from (Pattern(index, counts) for counts in _ways(job, bar.capacity, 0, ()) if any(counts))


def _ways(job: Job, room: int, at: int, counts: Counts) -> Iterator[Counts]:
    """The ways to go on from ``counts`` of the sizes before ``at`` in the room left."""
    if at == len(job.sizes):
        yield counts
        return
    size = job.sizes[at]
    for count in range(min(job.demands[at], room // size), -1, -1):
        yield from _ways(job, room - count * size, at + 1, (*counts, count))


def _takes_more(job: Job, pattern: Pattern) -> bool:
    room = job.room(pattern)
    return any(
        size <= room and count < demand
        for size, count, demand in zip(job.sizes, pattern.counts, job.demands, strict=True)
    )
