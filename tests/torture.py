"""Long runs: collected with the rest, run only by ``make torture``."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Protocol, TypeVar

import pytest

Test = TypeVar("Test", bound=Callable[..., object])

LONG = (
    pytest.mark.torture,
    pytest.mark.skipif("DOVETALLY_TORTURE" not in os.environ, reason="a long run: make torture"),
)
"""The marks of a long run, for one case of a test among others."""


def torture(test: Test) -> Test:
    """Mark a test as a long run."""
    for mark in LONG:
        test = mark(test)
    return test


def tried(few: int, often: int) -> pytest.MarkDecorator:
    """Give the test ``times``: ``few`` always, ``often`` in the long run alone."""
    return pytest.mark.parametrize("times", [few, pytest.param(often, marks=LONG)])


class Tally(Protocol):
    """Counts what a test tried towards a promise; ``make torture`` prints the sums."""

    def __call__(self, promise: str, tried: int = 1) -> None:
        """So many tries more."""


def told(promises: Iterable[tuple[str, int, bool]]) -> Iterator[str]:
    """The lines of the table: promise, tried, lost. A test that failed has lost one try at least."""
    tried: Counter[str] = Counter()
    lost: Counter[str] = Counter()
    for promise, count, failed in promises:
        tried[promise] += count
        lost[promise] += failed
    widest = max((len(promise) for promise in tried), default=0)
    yield f"{'promise':<{widest}}  {'tried':>7}  {'lost':>5}"
    for promise in sorted(tried):
        yield f"{promise:<{widest}}  {tried[promise]:>7}  {lost[promise]:>5}"
