"""The one page that a device sees before it is paired: the code of the page of devices, and its own name."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from domain.problems import BadInput
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Unusable, blank, sent
from webapp.site import urls
from webapp.site.failures import USUAL, failure
from webapp.site.gate import give_secret
from webapp.site.incoming import Form
from webapp.site.network import at_the_computer
from webapp.site.rendering import go_to, render, wants_fragment
from webapp.usecases.pairing import LONG, TooManyCodes, pair

router = APIRouter(include_in_schema=False)
log = logging.getLogger("dovetally")

LONGEST_NAME = 60
FORM = form_of(
    Field(
        "code",
        "Code",
        Sort.TEXT,
        hint="It stands on the page Devices of the computer, for a few minutes.",
        needed=f"needs the code, {LONG} letters and digits",
        longest=20,
    ),
    Field(
        "name",
        "Name of this device",
        Sort.TEXT,
        hint="By it you know it again in the list, such as: tablet at the bench.",
        needed="needs a name by which you know it again",
        longest=LONGEST_NAME,
    ),
)
_CHALLENGE = {"WWW-Authenticate": 'Pairing realm="Dovetally"'}
"""What RFC 9110 wants with every 401; no browser knows the scheme, so none asks for a password."""


@dataclass(frozen=True, slots=True)
class PairPage:
    """The form, and whether what this device sends and sees can be overheard."""

    form: Filled
    secure: bool


@router.get(urls.pair)
def show(request: Request) -> Response:
    """The form; at the computer itself there is nothing to pair."""
    if _is_the_computer(request):
        return go_to(request, urls.devices())
    return _page(request, blank(FORM, Plain()), 200)


@router.post(urls.pair)
def send(request: Request, form: Form) -> Response:
    """Pair the device that typed a code that holds."""
    if _is_the_computer(request):
        return go_to(request, urls.devices())
    typed = sent(FORM, Plain(), form, edits=False)
    values = typed.values()
    if len(typed.texts["name"]) > LONGEST_NAME:
        values.refuse("name", f"write it with at most {LONGEST_NAME} letters")
    try:
        values.check()
        secret = pair(
            request.app.state.store, request.app.state.pairing, values["code"], values["name"], _from(request)
        )
    except Unusable as refusal:
        return _page(request, typed.refused(refusal.errors), 422)
    except TooManyCodes as refusal:
        log.warning("too many wrong codes, the last from %s", _from(request))
        answer = _page(request, typed.refused(typed.errors_of(refusal)), 429)
        answer.headers["Retry-After"] = str(int(refusal.wait.total_seconds()) + 1)
        return answer
    except BadInput as refusal:
        log.warning("a wrong code from %s", _from(request))
        return _page(request, typed.refused(typed.errors_of(refusal)), 422)
    log.info("a device was paired from %s", _from(request))
    led = go_to(request, urls.home())
    give_secret(request, led, secret)
    return led


def ask_to_pair(request: Request) -> Response:
    """The answer to everything else that a device asks before it is paired: 401, and a browser sees the form."""
    if wants_fragment(request) or request.url.path.startswith("/api/"):
        return failure(request, 401, headers=_CHALLENGE)
    if "text/html" not in request.headers.get("accept", ""):
        return JSONResponse({"error": USUAL[401].sentence}, 401, headers=_CHALLENGE)
    answer = _page(request, blank(FORM, Plain()), 401)
    answer.headers.update(_CHALLENGE)
    return answer


def _page(request: Request, form: Filled, status: int) -> HTMLResponse:
    return render(request, "shop/pair.html", PairPage(form, request.url.scheme == "https"), status=status)


def _is_the_computer(request: Request) -> bool:
    return request.app.state.network is None or at_the_computer(request.scope)


def _from(request: Request) -> str:
    return request.client.host if request.client is not None else ""
