"""The cheapest packs that cover one amount: the covering knapsack, exact, in whole numbers.

A ``Choice`` has a size and a weight (its price, or a price with ties folded in). Search by branch and
bound: choices stand by weight per size, lowest first; numbers of the first are tried from the most that
makes sense downwards. What is still to cover costs at least its size at the next choice's rate, for no
later one has a lower rate; one piece less of the present choice moves its size to that rate, so this
bound never falls on the way down, and the first number whose bound is no better ends the loop. Where many
packs have nearly the same rate there may be no end to it: after ``MOST_STEPS`` the best cover so far stands,
and says that it is not proven.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

MOST_STEPS = 20_000
"""Numbers of packs tried for one amount: a few hundredths of a second."""

Numbers = tuple[tuple[int, int], ...]
"""Pairs of a pack's index and how many of it."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A pack as the search sees it: which one, how much is in it, what it weighs in the balance."""

    index: int
    size: int
    weight: int


@dataclass(frozen=True, slots=True)
class Cover:
    """The least weight that covers an amount, and the packs that do; not ``proven``: the least that was found."""

    weight: int
    numbers: Numbers
    proven: bool = True


def by_rate(choices: Iterable[Choice]) -> list[Choice]:
    """Lowest weight per size first; of equal rates the larger, then the one named first."""
    return sorted(choices, key=lambda each: (Fraction(each.weight, each.size), -each.size, each.index))


def undominated(choices: Sequence[Choice]) -> list[Choice]:
    """Choices, in order of rate, without those that another beats in weight without being smaller."""
    kept: list[Choice] = []
    for choice in choices:
        # one that came before has no higher rate: it wins wherever it is not smaller and not dearer
        if not any(better.size >= choice.size and better.weight <= choice.weight for better in kept):
            kept.append(choice)
    return kept


def cheapest_cover(choices: Sequence[Choice], amount: int) -> Cover | None:
    """The least weight whose sizes sum to ``amount`` or more; None where there is nothing to choose from.

    ``choices`` must stand as ``by_rate`` has them. Of covers of equal weight the one found first
    counts: the same choices give the same cover.
    """
    if amount <= 0:
        return Cover(0, ())
    kept = undominated(choices)
    if not kept:
        return None
    return _Search(kept).best(amount)


class _Search:
    """One search over choices by rate, none dominated."""

    def __init__(self, choices: Sequence[Choice]) -> None:
        self._choices = choices
        self._last = len(choices) - 1
        self._taken = [0] * len(choices)
        self._weight: int | None = None
        self._numbers: Numbers = ()
        self._steps = 0

    def best(self, amount: int) -> Cover:
        self._from(0, amount, 0)
        assert self._weight is not None
        return Cover(self._weight, self._numbers, self._steps < MOST_STEPS)

    def _from(self, place: int, amount: int, spent: int) -> None:
        """Cover ``amount`` with the choices from ``place`` on, ``spent`` being spent before them."""
        choice = self._choices[place]
        most = -(-amount // choice.size)
        self._keep(place, most, spent + most * choice.weight)
        if place == self._last:
            return
        following = self._choices[place + 1]
        for number in range(most - 1, -1, -1):
            rest = amount - number * choice.size
            before = spent + number * choice.weight
            if self._weight is not None and before - (-rest * following.weight // following.size) >= self._weight:
                break
            if self._steps == MOST_STEPS:
                break
            self._steps += 1
            self._taken[place] = number
            self._from(place + 1, rest, before)
        self._taken[place] = 0

    def _keep(self, place: int, number: int, weight: int) -> None:
        if self._weight is not None and weight >= self._weight:
            return
        self._weight = weight
        taken = [*self._taken[:place], number]
        self._numbers = tuple(
            (choice.index, count) for choice, count in zip(self._choices, taken, strict=False) if count
        )
