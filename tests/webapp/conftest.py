"""What the tests of the web application start from."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.webapp import postgresql
from tests.webapp.postgresql import Cluster
from tests.workshop import WORKSHOP
from webapp.usecases import demo

# its figures are the tests' own: the shop that the program comes with may change
demo.FOLDER = WORKSHOP


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL server, started for the first test that asks for it."""
    with postgresql.running() as running:
        yield running
