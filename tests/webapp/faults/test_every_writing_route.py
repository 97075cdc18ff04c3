"""Six faults on every route that stores: nothing is half written, nothing typed is lost, and it works again."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from httpx import Response

from tests.torture import LONG, Tally
from tests.webapp.databases import Databases
from tests.webapp.faults.requests import (
    BESIDE_THE_DATA,
    LOOKS,
    OF_OTHERS,
    REQUESTS,
    STORES_NOTHING,
    Sent,
    posting_routes,
)
from tests.webapp.faults.shop import FAULTS, Ready, Shop, contents, opened_shop, small_disk
from tests.webapp.pages.reading import main
from tests.webapp.pages.sent_form_samples import form_on
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store

pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")


@pytest.fixture(scope="module")
def shop(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("shop")
    kept = folder / "kept"
    kept.mkdir()
    with small_disk(folder / "disk") as disk, opened_shop(databases, disk, kept) as opened:
        yield opened


def test_every_route_that_stores_is_tried() -> None:
    assert set(posting_routes()) == {*REQUESTS, *STORES_NOTHING, *OF_OTHERS}


def test_what_is_said_to_store_nothing_stores_nothing(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.ready(urls.new_project)
    requests = [make(shop.client, shop.store) for make in LOOKS.values()]
    assert set(LOOKS) == STORES_NOTHING

    def refuse(_store: Store) -> None:
        raise AssertionError("it begins to write")

    monkeypatch.setattr(Store, "writing", refuse)
    for sent in requests:
        answer = sent.to(shop.client)
        assert answer.status_code == 200, f"{sent.action}: {answer.text[:300]}"


TURNS = {
    (fault, address): place + turn for place, address in enumerate(REQUESTS) for turn, fault in enumerate(FAULTS)
}
CASES = [
    pytest.param(fault, address, id=f"{fault} {address}", marks=LONG if TURNS[fault, address] % 2 else ())
    for address in REQUESTS
    for fault in FAULTS
]
"""Every fault on every route; half of them, of each fault and of each route, are left to the long run."""
NEEDS_NOT = {
    ("another writer", urls.backups),
    ("read-only file", urls.backups),
    *((fault, urls.second_folder) for fault in FAULTS if fault not in {"full disk", "read-only folder"}),
}
"""What needs no room, no turn or no data that can be written: it is done all the same."""


@pytest.mark.parametrize(("fault", "address"), CASES)
def test_a_fault_on_a_route(shop: Shop, tally: Tally, fault: str, address: Address) -> None:
    tally(f"S3 {fault}: no half row, typed text kept, works again")
    begin, status = FAULTS[fault]
    ready = shop.ready(address)
    with begin(shop):
        answer = ready.sent.to(shop.client)
    assert "Traceback" not in answer.text
    if (fault, address) in NEEDS_NOT:
        assert answer.status_code == 303, main(answer)
        shop.touched()
        return
    assert answer.status_code == status, main(answer)
    assert contents(shop.file) == ready.contents
    assert_typed_text_is_kept(answer, ready.sent)
    if TURNS[fault, address] % 3 == 0 or "DOVETALLY_TORTURE" in os.environ:
        works_again(shop, ready, address)


def works_again(shop: Shop, ready: Ready, address: Address) -> None:
    again = ready.sent.to(shop.client)
    shop.touched()
    assert again.status_code in {200, 303}, main(again)
    assert shop.store.trouble is None
    if address not in BESIDE_THE_DATA:
        assert contents(shop.file) != ready.contents


def assert_typed_text_is_kept(answer: Response, sent: Sent) -> None:
    if sent.document is not None:
        return  # the device keeps its ticks until they are booked
    carried = form_on(answer, sent.action)
    assert [each for each in sent.fields if each[1] and each not in carried] == []
