"""A filled shop, and servers to be killed, shared by a module's tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.webapp.databases import Databases
from tests.webapp.faults.doomed import Doomed, doomed
from tests.webapp.faults.shop import Shop, opened_shop


@pytest.fixture(scope="module")
def shop(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("shop")
    with opened_shop(databases, folder, tmp_path_factory.mktemp("kept")) as opened:
        yield opened


@pytest.fixture(scope="module")
def servers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Doomed]:
    with doomed(tmp_path_factory.mktemp("log") / "said") as opened:
        yield opened
