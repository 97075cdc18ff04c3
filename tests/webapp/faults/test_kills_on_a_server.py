"""Stations killed in mid request, with the data on a PostgreSQL server: all of it is done or nothing, and once."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager

import httpx
import pytest
from sqlalchemy.engine import make_url

from tests.torture import LONG, Tally
from tests.webapp.faults.doomed import Doomed
from tests.webapp.faults.requests import BESIDE_THE_DATA, REQUESTS, Sent
from tests.webapp.faults.shop import Ready, Shop
from tests.webapp.postgresql import Cluster, Sql
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import relocate

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the servers are split off by fork")

KILLED = [address for address in REQUESTS if address not in BESIDE_THE_DATA]
CASES = [pytest.param(each, id=each, marks=() if each == urls.orders else LONG) for each in KILLED]


@contextmanager
def moved(cluster: Cluster, ready: Ready) -> Iterator[tuple[str, Sql]]:
    """The data as the request finds it, on the server; its address, and a connection to it."""
    with cluster.empty() as name:
        relocate.to_server(ready.made, make_url(cluster.url(name)))
        with closing(cluster.connect(name)) as connection:
            yield cluster.url(name), connection


def contents(connection: Sql) -> dict[str, list[str]]:
    """Every row of every table."""
    tables = connection.execute(
        "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
    ).fetchall()
    return {
        str(name): [
            str(row) for (row,) in connection.execute(f'SELECT t::text FROM "{name}" t ORDER BY 1'.encode())
        ]
        for (name,) in tables
    }


def post(sent: Sent, port: int) -> int:
    """The status of the answer; 0 where none came."""
    with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60) as client:
        try:
            return sent.to(client).status_code
        except httpx.TransportError:
            return 0


@pytest.mark.parametrize("address", CASES)
def test_killed_before_and_after_its_commit(
    shop: Shop, servers: Doomed, cluster: Cluster, tally: Tally, address: Address
) -> None:
    ready = shop.ready(address)
    for moment in ("before", "after", "answer"):
        with moved(cluster, ready) as (url, connection):
            before = contents(connection)
            with servers.server(url, moment) as port:
                assert post(ready.sent, port) == 0
            after = contents(connection)
            assert (after == before) == (moment == "before")
            with servers.server(url) as port:
                assert post(ready.sent, port) in {200, 303}  # as if it were the first time, and it is done once
            again = contents(connection)
            assert again != before
            assert moment == "before" or again == after
    tally("S1 on a server, killed over HTTP before its commit: nothing, after it: all of it, once", 3)
