"""What the tests of the web application start from."""

from __future__ import annotations

import pytest

from tests.webapp.databases import Databases


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Migrated files, made once in a run and copied for every test."""
    return Databases(tmp_path_factory.mktemp("databases"))
