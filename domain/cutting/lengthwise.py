"""Cutting bars as whole numbers: sizes with their kerf, how many of each, and the bars they may come from.

n pieces fit where their sum and the kerfs between them are at most the bar less its trim; with a kerf given to
every piece and one more to the bar, that is a sum of sizes within a capacity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

Counts = tuple[int, ...]
"""How many of each size."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A stock: its capacity, what one costs, and how many there are (None: as many as are needed)."""

    capacity: int
    cost: int
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """``demands[i]`` pieces of ``sizes[i]``, each size once and the longest first, out of ``bars``."""

    sizes: tuple[int, ...]
    demands: Counts
    bars: tuple[Bar, ...]

    def less(self, cuts: Sequence[tuple[Pattern, int]]) -> Job:
        """What is left of the job, its pieces and its bars, after these cuts."""
        demands, most = list(self.demands), [bar.most for bar in self.bars]
        for pattern, times in cuts:
            demands = [max(0, have - count * times) for have, count in zip(demands, pattern.counts, strict=True)]
            limit = most[pattern.bar]
            most[pattern.bar] = None if limit is None else limit - times
        bars = tuple(replace(bar, most=number) for bar, number in zip(self.bars, most, strict=True))
        return replace(self, demands=tuple(demands), bars=bars)

    def room(self, pattern: Pattern) -> int:
        """What a pattern leaves of its bar: no kerf lies beyond the last piece."""
        return self.bars[pattern.bar].capacity - self.length(pattern.counts)

    def length(self, counts: Counts) -> int:
        """What pieces come to, with their kerfs."""
        return sum(size * count for size, count in zip(self.sizes, counts, strict=True))


@dataclass(frozen=True, slots=True)
class Pattern:
    """How one bar is cut: which stock (its place in the job), and how many of each size."""

    bar: int
    counts: Counts

    def within(self, demands: Counts) -> Pattern:
        """The pattern without pieces that nobody asks for."""
        return Pattern(self.bar, tuple(map(min, self.counts, demands)))


Cuts = tuple[tuple[Pattern, int], ...]
"""Patterns and how often each is cut."""


def cost_of(job: Job, cuts: Cuts) -> int:
    """What the bars of these cuts cost."""
    return sum(job.bars[pattern.bar].cost * times for pattern, times in cuts)


def made(job: Job, cuts: Cuts) -> Counts:
    """How many of each size these cuts come to."""
    total = [0] * len(job.sizes)
    for pattern, times in cuts:
        for index, count in enumerate(pattern.counts):
            total[index] += count * times
    return tuple(total)


def can_be_cut(job: Job, cuts: Cuts) -> bool:
    """Whether every pattern fits its bar and no stock is used more often than it is there, in whole numbers."""
    used = [0] * len(job.bars)
    for pattern, times in cuts:
        used[pattern.bar] += times
    fits = all(job.room(pattern) >= 0 for pattern, _ in cuts)
    return fits and all(bar.most is None or count <= bar.most for bar, count in zip(job.bars, used, strict=True))


def covers(job: Job, cuts: Cuts) -> bool:
    """Whether these cuts give every piece that is asked for."""
    return all(count >= demand for count, demand in zip(made(job, cuts), job.demands, strict=True))


def together(cuts: Sequence[tuple[Pattern, int]]) -> Cuts:
    """Equal patterns counted once; the most often cut first, then those of the first stock."""
    counted: dict[Pattern, int] = {}
    for pattern, times in cuts:
        counted[pattern] = counted.get(pattern, 0) + times
    ordered = sorted(
        counted.items(), key=lambda each: (-each[1], each[0].bar, tuple(-count for count in each[0].counts))
    )
    return tuple(ordered)


def longest_left(job: Job, cuts: Cuts) -> int:
    """The longest offcut of these cuts."""
    return max((job.room(pattern) for pattern, _ in cuts), default=0)


def trimmed(job: Job, cuts: Cuts) -> Cuts:
    """The same bars without pieces that nobody asked for, left off the bar that leaves most: one long offcut."""
    extra = [count - demand for count, demand in zip(made(job, cuts), job.demands, strict=True)]
    bars = [pattern for pattern, times in cuts for _ in range(times)]
    for index, number in enumerate(extra):
        for _ in range(max(0, number)):
            at = max(
                (at for at, pattern in enumerate(bars) if pattern.counts[index]),
                key=lambda at: job.room(bars[at]),
            )
            counts = list(bars[at].counts)
            counts[index] -= 1
            bars[at] = Pattern(bars[at].bar, tuple(counts))
    return together([(pattern, 1) for pattern in bars])
