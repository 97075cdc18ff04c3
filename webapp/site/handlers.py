"""Which exception becomes which failure. Registered once, by the app factory."""

from __future__ import annotations

import logging
from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from domain.problems import BadInput
from domain.reading import problem_of
from webapp.site.failures import USUAL, Words, failure
from webapp.store.errors import (
    AlreadyEnded,
    Busy,
    DiskFull,
    MarkTaken,
    NameTaken,
    NotEnough,
    NotFound,
    NotUsed,
    OverReceived,
    PlanMoved,
    ReadOnly,
    StaleCount,
    StaleEdit,
    StoreError,
    Unreachable,
)

log = logging.getLogger("dovetally")

# a store error that is not listed is 500: the data itself cannot be relied on, and its sentence says so
_STATUS: dict[type[StoreError], int] = {
    Busy: 503,
    ReadOnly: 503,
    Unreachable: 503,
    DiskFull: 507,
    NotFound: 404,
    StaleEdit: 409,
    MarkTaken: 409,
    NameTaken: 409,
    NotEnough: 409,
    NotUsed: 409,
    StaleCount: 409,
    OverReceived: 409,
    AlreadyEnded: 409,
    PlanMoved: 409,
}
_TITLES = {
    ReadOnly: "The data cannot be written",
    MarkTaken: "Taken already",
    NameTaken: "Taken already",
    NotEnough: "Not enough on hand",
    NotUsed: "Not as many were used",
    StaleCount: "Booked meanwhile",
    OverReceived: "More than was ordered",
    AlreadyEnded: "Ended already",
}
_RETRY_AFTER = {Busy: "2", ReadOnly: "60"}


def register(app: FastAPI) -> None:
    """Give every expected exception its answer. Unexpected ones are the last guard's."""
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(BadInput, _bad_input)
    app.add_exception_handler(StoreError, _store)


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    status, words = error.status_code, None
    # Starlette's own details, such as those of a broken form (400), are for programmers
    ours = status != 400 and error.detail != HTTPStatus(status).phrase
    if ours and status in USUAL:
        words = Words(USUAL[status].title, str(error.detail))
    return failure(request, status, words, headers=error.headers)


def _invalid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    found = error.errors()
    if any(one["loc"][:1] == ("path",) for one in found):
        return failure(request, 404)
    # the first step of a place is how it was sent: in the address, its query, the body
    problems = [problem_of(one | {"loc": tuple(one["loc"][1:])}) for one in found]
    return failure(request, 422, problems=problems)


def _bad_input(request: Request, error: Exception) -> Response:
    assert isinstance(error, BadInput)
    return failure(request, 422, problems=error.problems)


def _store(request: Request, error: Exception) -> Response:
    assert isinstance(error, StoreError)
    kind = type(error)
    status = _STATUS.get(kind, 500)
    title = _TITLES.get(kind, USUAL[status].title if status != 500 else "The data cannot be read")
    headers = {"Retry-After": _RETRY_AFTER[kind]} if kind in _RETRY_AFTER else {}
    if status == 500:
        log.error("store: %s", error)
    return failure(request, status, Words(title, str(error)), headers=headers)
