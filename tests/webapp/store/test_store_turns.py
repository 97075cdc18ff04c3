"""Waiting for the data: a crowd is served, and only another program's hold sends anybody away."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from webapp.store import turns
from webapp.store.errors import Busy
from webapp.store.turns import WaitingRoom


def test_more_people_than_there_is_room_for_are_served_one_after_the_other() -> None:
    room = WaitingRoom(2)

    def read(number: int) -> int:
        with room.place():
            time.sleep(1.5 * turns.OFTEN)  # a computer with much to do; nobody else holds the data
        return number

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(read, range(8))) == list(range(8))


def test_whoever_finds_no_room_while_another_program_holds_the_data_is_told_so() -> None:
    room, free = WaitingRoom(2), Event()

    def held() -> None:
        with room.place():
            free.wait(30)

    with ThreadPoolExecutor(2) as pool:
        waiting = [pool.submit(held) for _ in range(2)]
        begun = time.monotonic()
        with pytest.raises(Busy), room.place():
            pass
        waited = time.monotonic() - begun
        free.set()
        assert [each.result() for each in waiting] == [None, None]
    # not before it is sure, and far sooner than a lock is waited for
    assert waited > turns.LONG / 2
    with room.place():
        assert not room.held_up
