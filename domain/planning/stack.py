"""Which stock lengths to drive one behind the other so that a slot is filled best. Exact, in nanometres."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from domain.lengths import Length


@dataclass(frozen=True, slots=True)
class Stack:
    """Keys of one slot, in driving order: longest first."""

    keys: tuple[Length, ...]

    @property
    def total(self) -> Length:
        """The keys' lengths together."""
        return Length(sum(key.nm for key in self.keys))


@lru_cache(maxsize=64)
def stacks(lengths: tuple[Length, ...], limit: Length) -> tuple[Stack, ...]:
    """Every total that stock lengths (repeated as needed) reach within ``limit``, longest total first.

    Each total with the fewest keys; among those, the longest key first.

    >>> mm = Length.from_mm
    >>> [key.mm for key in stacks((mm(16), mm(22), mm(38), mm(60)), mm(82))[0].keys]
    [60.0, 22.0]
    """
    descending = sorted(lengths, reverse=True)
    best: dict[int, tuple[int, ...]] = {}
    level: dict[int, tuple[int, ...]] = {0: ()}
    while level:
        longer: dict[int, tuple[int, ...]] = {}
        for total, keys in level.items():
            for length in descending:
                reached = total + length.nm
                if reached > limit.nm or reached in best:
                    continue
                candidate = tuple(sorted((*keys, length.nm), reverse=True))
                longer[reached] = max(candidate, longer.get(reached, ()))
        best.update(longer)
        level = longer
    return tuple(Stack(tuple(Length(nm) for nm in best[total])) for total in sorted(best, reverse=True))
