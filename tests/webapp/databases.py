"""Databases made once in a run, and copied for every test that starts from one.

To migrate an empty file takes fifty times as long as to copy it, to load the demo as long again.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from sqlmodel import Session

from webapp.store import Store
from webapp.store.catalogue import create_section
from webapp.store.engine import Clock, utc_now
from webapp.usecases import demo
from webapp.usecases.demo import demo_shop, load_demo_in

Fill = Callable[[Session], object]


def copy(made: Path, to: Path) -> None:
    """Make ``to`` the same database as ``made``; either may be open."""
    with closing(sqlite3.connect(made)) as source, closing(sqlite3.connect(to)) as target:
        target.execute("PRAGMA synchronous=OFF")  # that a commit outlives the power is another test's business
        source.backup(target)


class Databases:
    """Files by the name of what is in them, made in ``folder`` when first asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def copy(self, name: str, fill: Fill, to: Path, clock: Clock = utc_now) -> None:
        """Make ``to`` the database that ``fill`` makes of an empty one at ``clock``; it may be open already."""
        made = self._folder / f"{name}.db"
        if not made.exists():
            with closing(Store.open(made, clock=clock)) as store, store.writing() as session:
                fill(session)
        copy(made, to)

    @contextmanager
    def opened(self, name: str, fill: Fill, to: Path, clock: Clock = utc_now) -> Iterator[Store]:
        """A store on such a copy, for the length of the block."""
        self.copy(name, fill, to, clock)
        with closing(Store.open(to, clock=clock)) as store:
            yield store


def nothing(_session: Session) -> None:
    """An empty shop."""


def sections(session: Session) -> None:
    """The demo's key sections, and nothing else."""
    for section in demo_shop().sections:
        create_section(session, section, {})


def bare_demo(session: Session) -> None:
    """The demo's catalogue and projects; no supplier, and nothing in the stockroom."""
    bare = replace(demo_shop(), suppliers=(), offers=(), minimum_stock={}, stock={})
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(demo, "demo_shop", lambda: bare)
        load_demo_in(session)
