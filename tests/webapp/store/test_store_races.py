"""Many writers at once: nothing lost, nothing overwritten unseen, nobody told "locked"."""

from __future__ import annotations

import random
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from domain.lengths import Length
from domain.spec.assemblies import SingleJoint
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, assemblies, projects, sqlite
from webapp.store.errors import Busy, StaleEdit
from webapp.store.sqlite import THREADS, Journal
from webapp.store.turns import Turns


def one_assembly(store: Store) -> tuple[int, int]:
    with store.writing() as session:
        number = projects.create_project(session, project(joint()))
        return number, projects.load_project(session, number).assemblies[0].id


@pytest.mark.long_on_server
def test_of_500_interleaved_edits_none_overwrites_another_unseen(store: Store) -> None:
    """Ten people with the form open, saving in any order, opening it again only when told to."""
    _, number = one_assembly(store)
    order = random.Random(8)
    forms = [1] * 10
    saved = [joint()]
    refused = 0
    for edit in range(500):
        person = order.randrange(10)
        mine = joint("A", run=20 + edit)
        try:
            with store.writing() as session:
                forms[person] = assemblies.update_assembly(session, number, forms[person], mine)
        except StaleEdit as stale:
            refused += 1
            told = stale.theirs_version
            assert forms[person] < told == len(saved)
            forms[person] = told
        else:
            assert forms[person] == len(saved) + 1  # it had seen everything that was saved before it
            saved.append(mine)
        with store.reading() as session:
            stored = assemblies.load_assembly(session, number)
        assert (stored.spec, stored.version) == (saved[-1], len(saved))
    assert refused + len(saved) - 1 == 500
    assert refused > 100
    assert len(saved) > 50


@pytest.mark.long_on_server
def test_40_threads_raise_one_figure_without_losing_a_step(journal: Journal, store: Store) -> None:
    """Each reads the figure, adds one and saves it at the version it read, until it is not stale."""
    project_id, number = one_assembly(store)
    begin = threading.Barrier(THREADS)

    def raise_it(_thread: int) -> int:
        begin.wait()
        stale = 0
        while True:
            with store.reading() as session:
                seen = assemblies.load_assembly(session, number)
            assert isinstance(seen.spec, SingleJoint)
            more = seen.spec.model_copy(update={"run": seen.spec.run + Length.from_mm(1)})
            try:
                with store.writing() as session:
                    assemblies.update_assembly(session, number, seen.version, more)
            except StaleEdit:
                stale += 1
            else:
                return stale

    with ThreadPoolExecutor(THREADS) as pool:
        stale = sum(pool.map(raise_it, range(THREADS)))
    with store.reading() as session:
        stored = assemblies.load_assembly(session, number)
        version = projects.project_version(session, project_id)
    assert stored.spec == joint("A", run=20 + THREADS)
    assert stored.version == version == 1 + THREADS
    assert stale > 0  # otherwise nothing raced


def test_40_threads_that_read_and_write_in_one_block_all_get_through(
    journal: Journal, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    # the last of them waits for 199 others: how long that takes on a busy computer is another matter
    monkeypatch.setattr(sqlite, "WAIT_MS", 120_000)
    project_id, number = one_assembly(store)
    begin = threading.Barrier(THREADS)

    def add_one(_thread: int) -> None:
        begin.wait()
        for _ in range(5):
            with store.writing() as session:
                seen = assemblies.load_assembly(session, number)
                assert isinstance(seen.spec, SingleJoint)
                more = seen.spec.model_copy(update={"run": seen.spec.run + Length.from_mm(1)})
                assemblies.update_assembly(session, number, seen.version, more)

    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(add_one, range(THREADS)))
    with store.reading() as session:
        assert assemblies.load_assembly(session, number).spec == joint("A", run=20 + 5 * THREADS)
        assert projects.project_version(session, project_id) == 1 + 5 * THREADS


def test_turns_are_taken_in_the_order_of_asking() -> None:
    turns = Turns()
    order: list[int] = []

    def ask(number: int) -> None:
        with turns.turn(patience=30):
            order.append(number)

    with turns.turn(patience=0):
        asking = [threading.Thread(target=ask, args=[number]) for number in range(10)]
        for number, thread in enumerate(asking):
            thread.start()
            while len(turns._queue) <= number:  # until it stands in the queue
                time.sleep(0.001)
    for thread in asking:
        thread.join()
    assert order == list(range(10))


def test_who_loses_patience_leaves_the_queue() -> None:
    turns = Turns()
    with turns.turn(patience=0), pytest.raises(Busy), turns.turn(patience=0.01):
        pass
    with turns.turn(patience=0):  # nothing is left behind that would be called
        pass
