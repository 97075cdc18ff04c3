"""The project of all five kinds as the program serves it, in millimetres and in inches."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from domain.lengths import Units
from tests.client import OURS, PORT, TestClient, browsing
from tests.faces.shown import Served, imported
from tests.webapp.databases import Databases, nothing
from webapp.app import create_app


@pytest.fixture(scope="session", params=list(Units), ids=str)
def served(
    request: pytest.FixtureRequest, databases: Databases, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Units, Served]]:
    """Shared by every test that reads the project off a face: each page is asked for and parsed once."""
    units: Units = request.param
    with databases.opened("empty", nothing, tmp_path_factory.mktemp("faces") / "shop.db") as store:
        # an application of its own: it is open beside those of the tests that bring in another project
        app = create_app(store, port=PORT)
        with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
            yield units, imported(client, units)


@pytest.fixture
def client(databases: Databases, tmp_path: Path) -> Iterator[TestClient]:
    """A browser at an empty shop."""
    with databases.opened("empty", nothing, tmp_path / "shop.db") as store, browsing(store) as browser:
        yield browser
