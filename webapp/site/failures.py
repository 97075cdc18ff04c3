"""Every failure in words: what a person, a script or htmx is told when a request cannot be answered."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from domain.problems import BadInput, Problem, path_text, shown
from domain.reading import problem_of
from webapp.site.rendering import render, wants_fragment
from webapp.store.archive import ShopNotEmpty
from webapp.store.archive_file import NoArchive
from webapp.store.backup import CannotKeep
from webapp.store.errors import (
    AlreadyEnded,
    Busy,
    DiskFull,
    ForeignDatabase,
    GoingAhead,
    MarkTaken,
    NameTaken,
    NewerDatabase,
    NotEnough,
    NotFound,
    NothingWritten,
    NotUsed,
    OtherVersion,
    OverReceived,
    PlanMoved,
    ReadOnly,
    StaleCount,
    StaleEdit,
    StoreError,
    Unreachable,
)
from webapp.store.past_errors import (
    ChangedSince,
    Full,
    NoLongerKept,
    OwnerGone,
    StillNeeded,
    TakenMeanwhile,
    ThereAlready,
)
from webapp.store.restore import DataDamaged, OnServer, Refused
from webapp.usecases.places import MOST_SECONDS


@dataclass(frozen=True, slots=True)
class Words:
    """A failure's title, and the sentence that says what happened and what would work."""

    title: str
    sentence: str


USUAL = {
    400: Words("Not understood", "The request could not be read. Go back, reload the page and try again."),
    401: Words(
        "Not paired",
        "This device is not paired, or no longer, so nothing was shown and nothing was changed. "
        "Open the program's page on it anew, and type a code from the page Devices on the computer.",
    ),
    403: Words(
        "Refused",
        "The request did not come from this program's own page, so nothing was changed. "
        "Open the program's page and do it there.",
    ),
    404: Words("Nothing here", "There is nothing at this address. It may have been deleted, or mistyped."),
    405: Words("Not possible here", "This address takes no such request. Go back and use the page's own buttons."),
    408: Words(
        "Too slow", "What was sent came too slowly, and stopped half way. Nothing was saved. Send it again."
    ),
    409: Words(
        "Changed meanwhile",
        "This was changed somewhere else since you opened it, so your version was not saved. "
        "Open it again beside this one, compare, and save what you want to keep.",
    ),
    413: Words("Too large", "What was sent is too large. Send a smaller file."),
    421: Words(
        "Not this address",
        "The program answers only to its own address. Open it as http://127.0.0.1 with its port; "
        "on another device as the page Devices says.",
    ),
    422: Words("Please check", "Something in what was sent cannot be used. Nothing was saved."),
    500: Words(
        "Something went wrong in the program",
        "This is a fault of the program, not of what you typed. Nothing was half saved. "
        "Try once more; if it happens again, the program's log says where.",
    ),
    503: Words(
        "Busy",
        "Something else is writing to the project file just now. Nothing was saved. Wait a moment and try again.",
    ),
    507: Words(
        "The disk is full",
        "There is no room left on the disk, so nothing was saved. Make room and try again.",
    ),
}

_IN_API = "/api/"


@dataclass(frozen=True, slots=True)
class Again:
    """A form that was not acted on, as it was sent: it is sent again with all that was typed.

    ``typed`` is what a person sees of it: fields and texts, long ones by their beginning.
    """

    address: str
    fields: tuple[tuple[str, str], ...]
    typed: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FailurePage:
    """A failure as it is told; ``places`` are problems by place, value and what would work.

    ``again`` is the form that it came to, None where there was none.
    """

    words: Words
    code: int
    places: tuple[tuple[str, str, str], ...]
    again: Again | None = None


_CARRIED = {"token", "version"}
_LONGEST = 400


def _again(request: Request) -> Again | None:
    fields: tuple[tuple[str, str], ...] | None = getattr(request.state, "sent_fields", None)
    if fields is None:
        return None
    typed = [(name.replace("_", " "), text) for name, text in fields if text.strip() and name not in _CARRIED]
    asked = f"?{request.url.query}" if request.url.query else ""
    short = ((name, text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…") for name, text in typed)
    return Again(request.url.path + asked, fields, tuple(short))


def failure(
    request: Request,
    status: int,
    words: Words | None = None,
    *,
    problems: Sequence[Problem] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """The answer for a failure: JSON under /api, a message for htmx, a whole page otherwise."""
    words = words or USUAL.get(status) or Words(HTTPStatus(status).phrase, USUAL[400].sentence)
    if request.url.path.startswith(_IN_API):
        return JSONResponse(_as_json(words, problems), status_code=status, headers=dict(headers or {}))
    to_htmx = _INTO_MESSAGES if wants_fragment(request) else {}
    return render(
        request,
        "errors/page.html",
        FailurePage(
            words,
            status,
            tuple((path_text(problem.path), shown(problem.value), problem.text()) for problem in problems),
            _again(request),
        ),
        fragment="errors/_message.html",
        status=status,
        headers={**(headers or {}), **to_htmx},
    )


# htmx 4 swaps every status into the element's own target: a failure would wipe the form that was just
# filled in. These headers send it to the page's message area instead, whatever the element says.
_INTO_MESSAGES = {
    "HX-Retarget": "#messages",
    "HX-Reswap": "innerHTML",
    "HX-Reselect": ".notice",
    "HX-Push-Url": "false",
}


def _as_json(words: Words, problems: Sequence[Problem]) -> dict[str, object]:
    return {
        "error": words.sentence,
        "problems": [
            {"path": path_text(problem.path), "value": shown(problem.value), "allowed": problem.text()}
            for problem in problems
        ],
    }


log = logging.getLogger("dovetally")

# a store error that is not listed is 500: the data itself cannot be relied on, and its sentence says so
_STATUS: dict[type[StoreError], int] = {
    Busy: 503,
    ReadOnly: 503,
    NothingWritten: 503,
    Unreachable: 503,
    OtherVersion: 503,
    DiskFull: 507,
    NotFound: 404,
    StaleEdit: 409,
    MarkTaken: 409,
    NameTaken: 409,
    NotEnough: 409,
    NotUsed: 409,
    GoingAhead: 409,
    StaleCount: 409,
    OverReceived: 409,
    AlreadyEnded: 409,
    PlanMoved: 409,
    CannotKeep: 503,
    DataDamaged: 409,
    OnServer: 409,
    Refused: 422,
    NoArchive: 422,
    ShopNotEmpty: 409,
    NoLongerKept: 409,
    ChangedSince: 409,
    TakenMeanwhile: 409,
    ThereAlready: 409,
    OwnerGone: 409,
    StillNeeded: 409,
    Full: 409,
    ForeignDatabase: 422,
    NewerDatabase: 422,
}
_TITLES = {
    ReadOnly: "The data cannot be written",
    CannotKeep: "No backup was written",
    DataDamaged: "The data is damaged",
    OnServer: "Not backed up here",
    OtherVersion: "Another version",
    Refused: "Not restored",
    NoArchive: "Not taken in",
    ShopNotEmpty: "Not an empty shop",
    ForeignDatabase: "Not restored",
    NewerDatabase: "Not restored",
    NothingWritten: "Nothing is saved any more",
    MarkTaken: "Taken already",
    NameTaken: "Taken already",
    NotEnough: "Not enough on hand",
    NotUsed: "Not as many were used",
    GoingAhead: "It goes ahead",
    StaleCount: "Booked meanwhile",
    OverReceived: "More than was ordered",
    AlreadyEnded: "Ended already",
    NoLongerKept: "Not kept any more",
    ChangedSince: "Changed again since",
    TakenMeanwhile: "Taken meanwhile",
    ThereAlready: "There already",
    OwnerGone: "Deleted too",
    StillNeeded: "Still needed",
    Full: "No room",
}
_RETRY_AFTER = {Busy: "2", ReadOnly: "60", DiskFull: "60"}


NO_PLACE = Words(
    "All places are taken", "Other long work is being done; as much as there is room for. Ask again in a while."
)
TOO_MUCH_WORK = Words(
    "Too much work",
    f"This takes longer than {MOST_SECONDS:g} s, and was ended. Ask for less at once: fewer assemblies or "
    "projects, fewer different sizes, or fewer packs; or use the command line, where nobody else waits.",
)


def register(app: FastAPI) -> None:
    """Give every expected exception its answer. Unexpected ones are the last guard's."""
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(BadInput, _bad_input)
    app.add_exception_handler(StoreError, store_failure)


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


def no_place(request: Request, error: Exception) -> Response:
    """All places for work of programs are taken."""
    return failure(request, 503, NO_PLACE, headers={"Retry-After": "10"})


def too_much_work(request: Request, error: Exception) -> Response:
    """The work that was asked for took as long as any answer may, and was ended."""
    return failure(request, 413, TOO_MUCH_WORK)


def store_failure(request: Request, error: Exception) -> Response:
    """What the store refuses, in words."""
    assert isinstance(error, StoreError)
    kind = type(error)
    status = _STATUS.get(kind, 500)
    title = _TITLES.get(kind, USUAL[status].title if status != 500 else "The data cannot be read")
    headers = {"Retry-After": _RETRY_AFTER[kind]} if kind in _RETRY_AFTER else {}
    if status == 500:
        log.error("store: %s", error)
    return failure(request, status, Words(title, str(error)), headers=headers)
