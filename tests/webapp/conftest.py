"""What the tests of the web application start from."""

from __future__ import annotations

import pytest

from tests.webapp.databases import Databases
from tests.workshop import WORKSHOP
from webapp.usecases import demo

# its figures are the tests' own: the shop that the program comes with may change
demo.FOLDER = WORKSHOP


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Migrated files, made once in a run and copied for every test."""
    return Databases(tmp_path_factory.mktemp("databases"))
