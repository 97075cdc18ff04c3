"""What changed between two states of a project says so where only the air did."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from domain.spec.wood import Climate
from tests.factories import a_frame, stored
from tests.webapp.databases import Databases, nothing
from webapp.store import Store
from webapp.store.tokens import Sending
from webapp.usecases import snapshots
from webapp.usecases.climate import save_climate

AIR = Climate.model_validate({"from": {"moisture": 8}, "to": {"temperature": 20, "humidity": 65}})


@pytest.fixture
def store(databases: Databases, tmp_path: Path) -> Iterator[Store]:
    with databases.opened("empty", nothing, tmp_path / "shop.db") as opened:
        yield opened


def seen(store: Store, number: int) -> snapshots.Json:
    with store.reading() as session:
        sight = snapshots.look_in(session, number)
    return snapshots.snapshot(snapshots.stand(sight))


def test_another_climate_is_a_change_of_the_project_and_of_what_is_said(store: Store) -> None:
    with store.writing() as session:
        number = stored(session, a_frame(material="cherry"))
    before = seen(store, number)
    assert "movement" not in before["takeoff"]
    save_climate(store, Sending.of("", "", {}), number, 1, AIR)
    after = seen(store, number)
    assert after["project"]["climate"] == {"from": {"moisture": 8}, "to": {"temperature": 20, "humidity": 65}}
    found = snapshots.compare(before, after)
    (change,) = found.head
    assert (change.name, change.before) == ("climate", None)
    assert change.after == "in the shop 8 %, in its place 20 °C and 65 % humidity"
    assert not found.takeoff.same
    # and away again
    save_climate(store, Sending.of("", "", {}), number, 2, None)
    assert snapshots.compare(before, seen(store, number)).same
