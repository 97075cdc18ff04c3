"""``dovetally move``: the whole shop from its file to a database server, or back into a file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy.engine import URL

    from webapp.store.relocate import Moved


class CannotMove(Exception):
    """Nothing can be moved from there to there; the message says why and what would work."""


def add_parser(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> argparse.ArgumentParser:
    """The command, without what runs it."""
    parser = commands.add_parser(
        "move", help="move the whole shop from its file to a PostgreSQL server, or back into a file"
    )
    parser.add_argument(
        "--from", dest="source", metavar="PLACE", required=True, help="where it is: a file, or a server's URL"
    )
    parser.add_argument(
        "--to", dest="target", metavar="PLACE", required=True, help="where it goes, which must be empty"
    )
    return parser


def move(source: str, target: str, moment: datetime) -> Iterator[str]:
    """Move the data; what there is to say. Raises CannotMove or StoreError."""
    from webapp.store import relocate

    file, url = _file_and_url(source, target)
    to_server = _file(source) is not None
    moved = relocate.to_server(file, url) if to_server else relocate.to_file(url, file, moment)
    gone, here = (str(file), _shown(url)) if to_server else (_shown(url), str(file))
    yield f"{here} holds now what {gone} holds."
    yield from _counted(moved)
    if moved.before is not None:
        yield f"The empty shop that was there before is {moved.before.path}."
    if to_server:
        yield f"Name it in DOVETALLY_DATABASE_URL at every station. {gone} stays as it is; nobody uses it now."
    else:
        yield f"Start with DOVETALLY_DATA naming its folder. {gone} stays as it is; nobody uses it now."


def _counted(moved: Moved) -> Iterator[str]:
    from webapp.wording.backups import counted

    for words, count in counted(moved.counts):
        yield f"{words:<24}{count:>12}"
    rows = sum(moved.counts.values())
    yield (
        f"{len(moved.contents)} tables, {rows} rows: every row was read back and has the sum that it had before, "
        "papers to the last byte; the next numbers follow the last."
    )


def _file_and_url(source: str, target: str) -> tuple[Path, URL]:
    """The file and the server's address. Raises CannotMove where it is not one of each."""
    from webapp.site.settings import NetworkPath, refuse_network
    from webapp.store.engine import url_of

    files = [file for file in (_file(source), _file(target)) if file is not None]
    servers = [place for place in (source, target) if _file(place) is None]
    if len(files) != 1:
        raise CannotMove(
            "name a file and a server, such as --from workshop.db --to postgresql://user@host/workshop; a file is "
            "copied by `dovetally backup FILE`, a server's database by pg_dump and pg_restore"
        )
    try:
        refuse_network(str(files[0]))
    except NetworkPath as refusal:
        raise CannotMove(str(refusal)) from None
    return files[0].absolute(), url_of(servers[0])


def _file(place: str) -> Path | None:
    from webapp.store.engine import sqlite_path

    return sqlite_path(place)


def _shown(url: URL) -> str:
    return url.render_as_string(hide_password=True)
