"""The examples in the docstrings of the web application hold."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import webapp

ROOT = Path(webapp.__file__).parent
TOLD = sorted(path for path in ROOT.rglob("*.py") if ">>> " in path.read_text(encoding="utf-8"))


def test_examples_are_told() -> None:
    assert len(TOLD) > 20


@pytest.mark.parametrize("path", TOLD, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_examples_in_the_docstrings_hold(path: Path) -> None:
    name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__")
    outcome = doctest.testmod(importlib.import_module(name), raise_on_error=False)
    assert outcome.attempted > 0
    assert outcome.failed == 0
