"""Photographs as the pages need them: kept once for each form, listed, shown, removed.

What is kept has been judged before (``pictures.py``), outside any transaction.
"""

from __future__ import annotations

from hashlib import sha256

from sqlmodel import Session

from webapp.store import Store, photographs
from webapp.store.errors import NotFound
from webapp.store.photographs import Photograph, Picture
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once, change_once


def with_picture(sent: Sending, data: bytes) -> Sending:
    """What was sent, with the file as one of its texts, by its sum: another file is another text."""
    return Sending(sent.token, sent.route, (*sent.texts, ("file", (sha256(data).hexdigest(),))), sent.device)


def photographs_of(store: Store, project_id: int) -> tuple[Photograph, ...]:
    """The project's photographs, in the order in which they were added."""
    with store.reading() as session:
        return photographs.photographs_of(session, project_id)


def photograph(store: Store, project_id: int, number: int) -> Photograph:
    """One of the project's photographs. Raises NotFound."""
    found = (each for each in photographs_of(store, project_id) if each.id == number)
    one = next(found, None)
    if one is None:
        raise NotFound("photograph", number)
    return one


def picture_bytes(store: Store, project_id: int, sum_of_it: str, *, small: bool = False) -> bytes:
    """The JPEG of one of the project's photographs, by its SHA-256. Raises NotFound."""
    with store.reading() as session:
        return photographs.picture_bytes(session, project_id, sum_of_it, small=small)


def with_bytes(store: Store, project_id: int) -> tuple[tuple[Photograph, bytes], ...]:
    """Every photograph of the project with its JPEG. Raises NotFound for one that went meanwhile."""
    with store.reading() as session:
        found = photographs.photographs_of(session, project_id)
        return tuple((each, photographs.picture_bytes(session, project_id, each.sha256)) for each in found)


def add_photograph(store: Store, sent: Sending, project_id: int, mark: str, caption: str, picture: Picture) -> int:
    """Keep a picture that was judged, once for each form sent; its number.

    Raises NotFound, SentOtherwise, or BadInput with the paths "photograph" and "mark".
    """

    def act(session: Session) -> tuple[int, ...]:
        return (photographs.add_photograph(session, project_id, mark, caption, picture),)

    return book_once(store, sent, act)[0]


def describe_photograph(
    store: Store, sent: Sending, project_id: int, version: int, number: int, mark: str, caption: str
) -> None:
    """Say otherwise what a photograph is of and what stands below it, once for each form sent.

    Raises NotFound, StaleEdit, or BadInput with the path "mark".
    """

    def act(session: Session) -> None:
        photographs.describe_photograph(session, project_id, version, number, mark, caption)

    change_once(store, sent, act)


def remove_photograph(store: Store, sent: Sending, project_id: int, number: int) -> None:
    """Remove a photograph, once for each form sent. Raises NotFound."""

    def act(session: Session) -> None:
        photographs.remove_photograph(session, project_id, number)

    change_once(store, sent, act)
