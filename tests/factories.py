"""Small pieces that tests of several areas start from."""

from __future__ import annotations

from typing import Any

from sqlmodel import Session

from domain.spec.project import Project, read_project
from webapp.store.projects import create_project
from webapp.store.tokens import Sending


def sending(token: str, route: str = "/a-form", **texts: str) -> Sending:
    """A form with that token as it was sent to ``route``, with these texts in it."""
    return Sending.of(token, route, {name: [text] for name, text in texts.items()})


def a_project(*assemblies: dict[str, object], **fields: object) -> Project:
    """A project of these assemblies, as a file would have them."""
    return read_project(
        {
            "format": "dovetally-project",
            "version": 1,
            "name": "Reading room",
            "assemblies": list(assemblies),
            **fields,
        }
    )


def a_frame(mark: str = "A", **fields: Any) -> dict[str, object]:
    """A plain mitred frame of 400 by 300 mm."""
    frame: dict[str, object] = {
        "kind": "mitred_frame",
        "mark": mark,
        "measure": "outside",
        "width": 400,
        "height": 300,
        "stock": {"width": 45, "thickness": 20},
    }
    return frame | fields


def an_impossible_joint(mark: str = "A") -> dict[str, object]:
    """A joint that no section of the demo fits."""
    return {"kind": "single_joint", "mark": mark, "breadth": 5, "run": 5, "behind": [5, 5]}


def stored(session: Session, *assemblies: dict[str, object], **fields: object) -> int:
    """A stored project of these assemblies; its number."""
    return create_project(session, a_project(*assemblies, **fields))
