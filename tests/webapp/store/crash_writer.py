"""Writers that are going to be killed.

For every "go NAME" on its input this process splits off a writer, which says "started NUMBER" and
then writes without end. It says a line for each change only after the block that made it was
left, as a request handler would answer. "reap" waits for a killed one and says "gone". All speak
into one pipe, so that what stands before a writer's "gone" is all that it said.
"""

from __future__ import annotations

import os
import sys
from functools import partial
from itertools import count
from uuid import uuid4

from sqlalchemy.orm import configure_mappers
from sqlmodel import Session

from domain.spec.project import Project
from tests.factories import sending
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, projects, sqlite, tokens
from webapp.store.errors import StoreError
from webapp.store.sqlite import Journal


def main(file: str, journal: str) -> None:
    sqlite.journal_for = lambda version: Journal[journal]
    # what a first write builds is built before the split: the time until the kill goes into writing
    configure_mappers()
    project(joint())
    for line in sys.stdin:
        order, *name = line.split()
        if order == "reap":
            os.wait()
            say("gone")
        elif os.fork() == 0:  # before any connection is opened: none may cross a fork
            write(file, *name)


def write(file: str, name: str) -> None:
    store = Store.open(file)
    say(f"started {os.getpid()}")
    for turn in count():
        try:
            with store.writing() as session:
                # three tables in one change: a form, a project and its two assemblies are there together or not
                whole = project(joint("A"), joint("B"), name=f"{name}.{turn}")
                form = sending(uuid4().hex, name=whole.name)
                tokens.once(session, form, partial(create, session, whole))
        except StoreError as error:
            say(f"refused {error}")
        else:
            say(f"saved {name}.{turn}")


def create(session: Session, whole: Project) -> str:
    return str(projects.create_project(session, whole))


def say(line: str) -> None:
    os.write(1, f"{line}\n".encode())  # one write: in a pipe, short ones of several writers do not mix


if __name__ == "__main__":
    main(*sys.argv[1:])
