"""How often a test tries: a few times in `make test`, often in `make torture`."""

from __future__ import annotations

import os

import pytest


def tried(few: int, often: int) -> pytest.MarkDecorator:
    """Give the test ``times``: ``few`` always, ``often`` in the long run alone."""
    long = (
        pytest.mark.torture,
        pytest.mark.skipif("DOVETALLY_TORTURE" not in os.environ, reason="long; make torture"),
    )
    return pytest.mark.parametrize("times", [few, pytest.param(often, marks=long)])
