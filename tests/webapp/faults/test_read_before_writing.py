"""What takes time is done before a transaction is opened: nobody else can write while it is open."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlmodel import Session

from domain.cutting.bars import plan_bars
from domain.cutting.sheets import plan_sheets
from domain.ordering.packs import plan_order
from domain.project_file import read_project_file
from domain.takeoff.build import take_off_assembly
from tests.webapp.databases import Databases
from tests.webapp.faults.requests import BESIDE_THE_DATA, REQUESTS
from tests.webapp.faults.shop import Shop, opened_shop
from webapp.papers.render import render
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store
from webapp.usecases.json_text import parse_json

SLOW: list[Callable[..., Any]] = [
    parse_json,
    read_project_file,
    take_off_assembly,
    plan_bars,
    plan_sheets,
    plan_order,
    render,
]
"""Reading, planning and setting: seconds, where there is much of it."""


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, bool]]:
    """What is done of it, and whether in a thread that has a transaction open for writing."""
    here, told, writing = threading.local(), list[tuple[str, bool]](), Store.writing

    @contextmanager
    def noted(store: Store) -> Iterator[Session]:
        with writing(store) as session:
            here.open = True
            try:
                yield session
            finally:
                here.open = False

    def watched(slow: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            told.append((slow.__name__, getattr(here, "open", False)))
            return slow(*given, **named)

        return call

    monkeypatch.setattr(Store, "writing", noted)
    ours = [module for name, module in sys.modules.items() if name.startswith(("webapp.", "domain."))]
    for slow in SLOW:
        instead = watched(slow)
        for module in ours:
            for name, value in list(vars(module).items()):
                if value is slow:
                    monkeypatch.setattr(module, name, instead)
    return told


def test_nothing_slow_is_done_while_nobody_else_may_write(
    databases: Databases, tmp_path_factory: pytest.TempPathFactory, found: list[tuple[str, bool]]
) -> None:
    folder = tmp_path_factory.mktemp("shop")
    (folder / "kept").mkdir()
    with opened_shop(databases, folder, folder / "kept") as shop:
        done = {address: slow_at(shop, address, found) for address in REQUESTS if address not in BESIDE_THE_DATA}
    assert {
        address: names for address, each in done.items() if (names := [n for n, writing in each if writing])
    } == {}
    # and it is seen where it is done at all
    assert "parse_json" in dict(done[urls.confirm_import])
    assert "plan_order" in dict(done[urls.orders])


def slow_at(shop: Shop, address: Address, found: list[tuple[str, bool]]) -> list[tuple[str, bool]]:
    ready = shop.ready(address)
    found.clear()
    answer = ready.sent.to(shop.client)
    shop.touched()
    assert answer.status_code in {200, 303}, f"{address}: {answer.text[:200]}"
    return list(found)
