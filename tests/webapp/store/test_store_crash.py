"""Writers killed in the middle of their work: what they were told is saved, is saved."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import pytest

from tests.torture import Tally, torture
from tests.webapp.store.sound import sound_projects
from webapp.store import Store
from webapp.store.sqlite import Journal

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the writers are split off by fork")


class Writers:
    """Writers side by side on one file; ``saved`` holds the names of all they said they had saved."""

    def __init__(self, orders: IO[str], answers: IO[str]) -> None:
        self._orders = orders
        self._answers = answers
        self.saved: set[str] = set()

    def write_and_be_killed(self, names: list[str], chance: random.Random) -> None:
        """Let as many as there are names write, and kill each in its turn, at any moment after some changes."""
        for name in names:
            self._order(f"go {name}")
        numbers = [self._answer("started") for _ in names]
        for number in numbers:
            # counted, not timed: a slow computer saves as much, only later
            for _ in range(chance.randint(1, 8)):
                self.saved.add(self._answer("saved"))
            time.sleep(chance.uniform(0, 0.05))
            os.kill(int(number), signal.SIGKILL)
        for _ in names:
            self._order("reap")
            self._answer("gone")

    def _order(self, order: str) -> None:
        self._orders.write(order + "\n")
        self._orders.flush()

    def _answer(self, awaited: str) -> str:
        for line in self._answers:
            word, _, rest = line.strip().partition(" ")
            if word == awaited:
                return rest
            assert word == "saved", line
            self.saved.add(rest)
        raise AssertionError(f"the writers ended before they said {awaited!r}")


@contextmanager
def writers(file: Path, journal: Journal) -> Iterator[Writers]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.webapp.store.crash_writer", str(file), journal.name],
        cwd=Path(__file__).parents[3],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        yield Writers(process.stdin, process.stdout)
        process.stdin.close()


def kill(file: Path, journal: Journal, *, rounds: int, at_once: int) -> int:
    """Kill ``at_once`` writers ``rounds`` times, look at the file after each; how much was saved."""
    Store.open(file).close()
    chance = random.Random(rounds)
    with writers(file, journal) as crowd:
        for turn in range(rounds):
            crowd.write_and_be_killed([f"{turn}.{place}" for place in range(at_once)], chance)
            heads = sound_projects(file)
            assert crowd.saved <= {head.name for head in heads}
            assert {head.assemblies for head in heads} <= {2}
            # at most the one change of each that was killed between its commit and its answer
            assert len(heads) - len(crowd.saved) <= (turn + 1) * at_once
        return len(crowd.saved)


def test_what_was_said_to_be_saved_outlives_20_kills(journal: Journal, file: Path) -> None:
    assert kill(file, journal, rounds=10, at_once=2) > 20


@torture
@pytest.mark.parametrize("at_once", [1, 8])
def test_what_was_said_to_be_saved_outlives_200_kills(
    journal: Journal, file: Path, at_once: int, tally: Tally
) -> None:
    tally("S1 writers killed: all that was said to be saved is there", 200)
    assert kill(file, journal, rounds=200 // at_once, at_once=at_once) > 500
