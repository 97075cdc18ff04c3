"""Every failure in words: what a person, a script or htmx is told when a request cannot be answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import Request
from fastapi.responses import JSONResponse, Response

from domain.problems import Problem, path_text, shown
from webapp.site.rendering import render, wants_fragment


@dataclass(frozen=True, slots=True)
class Words:
    """A failure's title, and the sentence that says what happened and what would work."""

    title: str
    sentence: str


USUAL = {
    400: Words("Not understood", "The request could not be read. Go back, reload the page and try again."),
    403: Words(
        "Refused",
        "The request did not come from this program's own page, so nothing was changed. "
        "Open the program's page and do it there.",
    ),
    404: Words("Nothing here", "There is nothing at this address. It may have been deleted, or mistyped."),
    405: Words("Not possible here", "This address takes no such request. Go back and use the page's own buttons."),
    409: Words(
        "Changed meanwhile",
        "This was changed somewhere else since you opened it, so your version was not saved. "
        "Open it again beside this one, compare, and save what you want to keep.",
    ),
    413: Words("Too large", "What was sent is too large. Send a smaller file."),
    421: Words(
        "Not this address",
        "The program answers only to its own address. Open it as http://127.0.0.1 with its port.",
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
        fragment="errors/_message.html",
        status=status,
        headers={**(headers or {}), **to_htmx},
        words=words,
        code=status,
        places=[(path_text(problem.path), shown(problem.value), problem.text()) for problem in problems],
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
