"""Upgrades killed at any statement, from every version: old data or new, and the next start goes on."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import IO

import pytest

from tests.torture import Tally, tried
from tests.webapp.faults.shop import contents
from webapp.store import Store, schema
from webapp.store.schema import version_of

ROOT = Path(__file__).parents[3]
STORE_TESTS = Path(__file__).parents[1] / "store"
VERSIONS = range(1, schema.HEAD)

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the upgrades are split off by fork")


class Upgrades:
    def __init__(self, orders: IO[str], answers: IO[str]) -> None:
        self._orders, self._answers = orders, answers

    def killed(self, file: Path, statement: int) -> int | None:
        """Bring it up to date, but for a kill before that statement; None, or how many there were at the end."""
        self._orders.write(f"{statement} {file}\n")
        self._orders.flush()
        ended, *count = self._answers.readline().split()
        assert ended in {"killed", "done"}
        return int(count[0]) if count else None


@contextmanager
def upgrades() -> Iterator[Upgrades]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.webapp.faults.migration_server"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        yield Upgrades(process.stdin, process.stdout)
        process.stdin.close()


@tried(4, 60)
def test_an_upgrade_is_killed_at_any_statement(tmp_path: Path, tally: Tally, times: int) -> None:
    """``times`` statements of each version's upgrade, evenly spread, the last among them."""
    with upgrades() as split:
        for version in VERSIONS:
            old = tmp_path / f"version_{version}.db"
            with closing(sqlite3.connect(old)) as connection:
                script = STORE_TESTS / f"version_{version}.sql"
                connection.executescript(script.read_text(encoding="utf-8"))
            before = contents(old)
            file = tmp_path / str(version) / "shop.db"
            file.parent.mkdir()
            shutil.copyfile(old, file)
            last = split.killed(file, 1 << 40)
            assert last is not None
            new = contents(file)
            step = max(1, last // times)
            for statement in range(last - 1, -1, -step):
                shutil.copyfile(old, file)
                assert split.killed(file, statement) is None
                found = contents(file)  # which rolls back what was left half done
                assert (version_of(file), found) in ((version, before), (schema.HEAD, new))
                Store.open(file).close()
                assert contents(file) == new
                tally(f"S8 upgrade of version {version} killed: old or new, then whole")
