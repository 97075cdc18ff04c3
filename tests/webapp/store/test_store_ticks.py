"""Ticks: booked once each, whoever sends them how often; sums by set-up and piece."""

from __future__ import annotations

import random
import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from uuid import UUID

from tests.webapp.store.store_samples import Clock
from webapp.store import Store, ticks
from webapp.store.sqlite import THREADS, Journal
from webapp.store.ticks import Tick


def tick(number: int, clock: Clock, piece: str = "A1-left", count: int = 1, project_id: int = 1) -> Tick:
    uuid = str(UUID(int=number, version=4))
    return Tick(uuid, project_id, "set-up", piece, count, clock.moment - timedelta(minutes=number))


def book(store: Store, *sent: Tick) -> frozenset[str]:
    with store.writing() as session:
        return ticks.book_ticks(session, sent)


def sums(store: Store, project_id: int = 1) -> dict[tuple[str, str], int]:
    with store.reading() as session:
        return ticks.ticked(session, project_id)


def test_a_tick_sent_twice_is_booked_once(store: Store, clock: Clock) -> None:
    one, two = tick(1, clock), tick(2, clock)
    assert book(store, one) == {one.uuid}
    assert book(store, one, two) == {two.uuid}
    assert book(store, two, one, two) == frozenset()
    assert sums(store) == {("set-up", "A1-left"): 2}


def test_the_first_of_one_uuid_stands_even_within_one_sending(store: Store, clock: Clock) -> None:
    first, other = tick(1, clock, count=3), tick(1, clock, count=5)
    assert book(store, first, other) == {first.uuid}
    assert book(store, other) == frozenset()
    assert sums(store) == {("set-up", "A1-left"): 3}


def test_taking_back_is_another_tick_and_pieces_are_summed_apart(store: Store, clock: Clock) -> None:
    book(store, tick(1, clock, count=4), tick(2, clock, count=-1), tick(3, clock, "A1-right"))
    book(store, tick(4, clock, project_id=2))
    assert sums(store) == {("set-up", "A1-left"): 3, ("set-up", "A1-right"): 1}
    assert sums(store, 2) == {("set-up", "A1-left"): 1}
    assert sums(store, 3) == sums(store, 0) == sums(store, 2**40) == {}


def test_the_history_is_by_the_devices_clock_and_tells_when_it_came(store: Store, clock: Clock) -> None:
    early, late = tick(5, clock), tick(1, clock)  # the higher number was ticked earlier
    book(store, late)
    clock.forward(hours=2)
    book(store, early)
    with store.reading() as session:
        stored = ticks.list_ticks(session, 1)
        assert ticks.list_ticks(session, 2) == ticks.list_ticks(session, -1) == ()
    assert [(each.number, each.tick) for each in stored] == [(2, early), (1, late)]
    assert [each.received.hour for each in stored] == [10, 8]


def test_40_threads_send_the_same_ticks_and_none_is_booked_twice(
    journal: Journal, store: Store, clock: Clock
) -> None:
    """Each sends fifty ticks in its own order, some of them twice, in bundles of its own size."""
    sent = [tick(number, clock, f"piece {number % 5}", count=1 + number % 3) for number in range(1, 51)]
    begin = threading.Barrier(THREADS)

    def send(seed: int) -> list[str]:
        dice = random.Random(seed)
        mine = [*sent, *dice.sample(sent, 10)]
        dice.shuffle(mine)
        begin.wait()
        booked: list[str] = []
        while mine:
            bundle = [mine.pop() for _ in range(min(len(mine), dice.randint(1, 12)))]
            booked += book(store, *bundle)
        return booked

    with ThreadPoolExecutor(THREADS) as pool:
        booked = [uuid for uuids in pool.map(send, range(THREADS)) for uuid in uuids]
    assert sorted(booked) == sorted(each.uuid for each in sent)
    wanted: Counter[tuple[str, str]] = Counter()
    for each in sent:
        wanted[each.set_up, each.piece] += each.count
    assert sums(store) == wanted
    with store.reading() as session:
        assert len(ticks.list_ticks(session, 1)) == 50
