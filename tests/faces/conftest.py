"""The project of all five kinds as the program serves it, in millimetres and in inches."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from domain.lengths import Units
from tests.client import OURS, PORT, TestClient
from tests.faces.shown import Served, imported
from webapp.app import create_app
from webapp.store import Store


@pytest.fixture(scope="module", params=list(Units), ids=str)
def served(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Units, Served]]:
    units: Units = request.param
    store = Store.open(tmp_path_factory.mktemp("faces") / "shop.db")
    app = create_app(store, port=PORT)
    with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
        yield units, imported(client, units)
    store.close()


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A browser at an empty shop."""
    store = Store.open(tmp_path / "shop.db")
    with TestClient(
        create_app(store, port=PORT), base_url=OURS, headers={"Origin": OURS}, follow_redirects=False
    ) as browser:
        yield browser
    store.close()
