"""Long runs: collected with the rest, run only by ``make torture``."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TypeVar

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
