"""Servers killed in the middle of a request: what a form does is there wholly or not at all, and once."""

from __future__ import annotations

import os
import shutil
import socket
import struct
import time
from pathlib import Path

import httpx
import pytest

from tests.torture import LONG, Tally
from tests.webapp.faults.doomed import Doomed, wire
from tests.webapp.faults.requests import BESIDE_THE_DATA, REQUESTS, Sent
from tests.webapp.faults.shop import Contents, Shop, contents
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the servers are split off by fork")

KILLED = [address for address in REQUESTS if address not in BESIDE_THE_DATA]
ALWAYS = {
    urls.orders,
    urls.receive_order,
    urls.revisions,
    urls.book_item,
    urls.shop_ticks_alone,
    urls.confirm_import,
}
LONG_RUN = "DOVETALLY_TORTURE" in os.environ
CASES = [pytest.param(each, id=each, marks=() if each in ALWAYS else LONG) for each in KILLED]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Under the name that backups are named by."""
    return tmp_path / "served" / "shop.db"


def found(shop: Shop, address: Address, file: Path) -> Sent:
    """The request, and in ``file`` the data as it finds it."""
    ready = shop.ready(address)
    file.parent.mkdir(exist_ok=True)
    shutil.copyfile(ready.made, file)
    return ready.sent


def post(sent: Sent, port: int) -> int:
    """The status of the answer; 0 where none came."""
    with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60) as client:
        try:
            return sent.to(client).status_code
        except httpx.TransportError:
            return 0


def after_the_kill(file: Path) -> Contents:
    """What is in the file once the program has been started again on it."""
    Store.open(file).close()
    return contents(file)


@pytest.mark.parametrize("address", CASES)
def test_killed_before_and_after_its_commit(
    shop: Shop, servers: Doomed, tally: Tally, file: Path, address: Address
) -> None:
    sent = found(shop, address, file)
    before = contents(file)
    with servers.server(file, "before") as port:
        assert post(sent, port) == 0
    assert after_the_kill(file) == before
    wholly = None
    if LONG_RUN:
        with servers.server(file) as port:
            assert post(sent, port) in {200, 303}
        wholly = contents(file)
    for moment in ("after", "answer") if LONG_RUN else ("after",):
        found(shop, address, file)
        with servers.server(file, moment) as port:
            assert post(sent, port) == 0
        after = after_the_kill(file)
        assert after != before
        assert wholly is None or after == wholly
        with servers.server(file) as port:
            assert post(sent, port) in {200, 303}  # as if it were the first time, and it is done once
        assert contents(file) == after
    tally("S1 killed over HTTP before its commit: nothing, after it: all of it, once", 3 if LONG_RUN else 2)


@pytest.mark.parametrize("address", [pytest.param(each, id=each, marks=LONG) for each in KILLED])
def test_killed_at_any_moment(shop: Shop, servers: Doomed, tally: Tally, file: Path, address: Address) -> None:
    sent = found(shop, address, file)
    before = contents(file)
    began = time.monotonic()
    with servers.server(file) as port:
        assert post(sent, port) in {200, 303}
    takes = time.monotonic() - began
    wholly = contents(file)
    outcomes = set()
    for turn in range(8):
        found(shop, address, file)
        with servers.server(file) as port, socket.create_connection(("127.0.0.1", port)) as line:
            line.sendall(as_bytes(sent))
            time.sleep(takes * turn / 7)
        after = after_the_kill(file)
        assert after in (before, wholly)
        outcomes.add(after == wholly)
    tally("S1 killed over HTTP at any moment: nothing or all of it", 8)


def as_bytes(sent: Sent) -> bytes:
    """The request as it goes over the wire."""
    caught: list[bytes] = []

    def catch(request: httpx.Request) -> httpx.Response:
        request.read()
        caught.append(wire(request))
        return httpx.Response(204)

    with httpx.Client(base_url="http://127.0.0.1", transport=httpx.MockTransport(catch)) as client:
        sent.to(client)
    return caught[0]


def cut(port: int, sent: bytes, *, roughly: bool) -> None:
    """Send that, and be gone: in order, or with a reset as where a cable was pulled."""
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.sendall(sent)
        if roughly:
            line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))


def test_a_connection_cut_in_mid_request_changes_nothing(
    shop: Shop, servers: Doomed, tally: Tally, file: Path
) -> None:
    requests = [shop.ready(address).sent for address in list(REQUESTS)[:: 1 if LONG_RUN else 5]]
    sent = found(shop, urls.new_project, file)
    before = contents(file)
    with servers.server(file) as port:
        for place, request in enumerate(requests):
            whole = as_bytes(request)
            head = whole.index(b"\r\n\r\n") + 4
            cut(port, whole[: (head + len(whole)) // 2], roughly=place % 2 == 0)
            cut(port, whole[: head // 2], roughly=place % 2 == 1)
        assert post(sent, port) == 303
        assert [each.name for each in file.parent.iterdir() if each.name == "backups"] == []
    after = contents(file)
    assert {name for name in after if after[name] != before[name]} <= {"project", "form_token", "sqlite_sequence"}
    assert "Traceback" not in servers.log.read_text()
    tally("S3 connection cut in mid request: nothing changed, goes on", 2 * len(requests))


def test_a_connection_cut_before_the_answer_changes_all_or_nothing(
    shop: Shop, servers: Doomed, tally: Tally, file: Path
) -> None:
    for address in (urls.orders, urls.book_item, urls.confirm_import):
        sent = found(shop, address, file)
        before = contents(file)
        with servers.server(file) as port:
            cut(port, as_bytes(sent), roughly=True)
            time.sleep(0.05)
            assert contents(file)["form_token"] or contents(file) == before
            assert post(sent, port) == 303  # the first time or again
            wholly = contents(file)
            assert post(sent, port) == 303
        assert contents(file) == wholly != before
    assert "Traceback" not in servers.log.read_text()
    tally("S3 connection cut before the answer: all of it or nothing, once", 3)
