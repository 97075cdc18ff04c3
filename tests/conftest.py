"""What tests of every room start from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.webapp.databases import Databases


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Migrated files, made once in a run and copied for every test."""
    # a run of the domain's tests alone loads no store
    from tests.webapp.databases import Databases

    return Databases(tmp_path_factory.mktemp("databases"))
