"""What a shop's file holds, once it was found whole."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from sqlalchemy import text

from webapp.store import Store, projects
from webapp.store.projects import ProjectHead


def sound_projects(file: Path) -> tuple[ProjectHead, ...]:
    """The projects in a file that opens and is whole: a form and what it made are there together, or neither."""
    with closing(Store.open(file)) as store, store.reading() as session:
        assert session.execute(text("PRAGMA integrity_check")).all() == [("ok",)]
        assert session.execute(text("PRAGMA foreign_key_check")).first() is None
        heads = projects.list_projects(session)
        sent = session.execute(text("SELECT json_extract(sent_json, '$[0][1][0]'), outcome FROM form_token"))
        assert {(name, int(made)) for name, made in sent} == {(head.name, head.id) for head in heads}
        return heads
