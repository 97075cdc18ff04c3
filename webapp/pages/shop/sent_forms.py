"""Forms that were acted on before: the same again is led to the first result, another text is laid beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from webapp.form.carried import new_token
from webapp.pages.shop.sent_routes import Acted, Said, last_texts, route_of
from webapp.site import urls
from webapp.site.incoming import SentBefore
from webapp.site.rendering import go_to, render, wants_fragment
from webapp.store import Store
from webapp.store.tokens import KeptSending, Sending, SentOtherwise, Texts
from webapp.usecases.booking import numbers, sent_with

router = APIRouter(include_in_schema=False)

_LONGEST = 400
"""Letters of one text that are shown; of a file's text its beginning tells which it is."""
_INTO_THE_PAGE = {"HX-Retarget": "#main", "HX-Reswap": "outerHTML", "HX-Reselect": "#main", "HX-Push-Url": "false"}


@dataclass(frozen=True, slots=True)
class Beside:
    """A field with what was saved and what was sent now, both as text."""

    label: str
    first: str
    now: str

    @property
    def differs(self) -> bool:
        """Whether the two say different things."""
        return self.first != self.now


@dataclass(frozen=True, slots=True)
class Hidden:
    """A form of hidden fields that sends the text of now again, under a token of its own."""

    address: str
    fields: Sequence[tuple[str, str]]
    token: str


@dataclass(frozen=True, slots=True)
class SentOtherwisePage:
    """Both texts side by side. ``opened`` is where what was saved is seen, "" where that is not known.

    ``elsewhere`` tells that the first was another form's, ``unknown`` that what was in it was not kept.
    ``edited`` opens what was saved with the text of now, ``again`` saves that text by itself, which makes
    ``another``; with a version it is an edit (``edits``), and is opened beside what is stored now.
    """

    rows: Sequence[Beside]
    opened: str
    elsewhere: bool
    unknown: bool
    edited: Hidden | None
    again: Hidden
    another: str
    edits: bool


@router.get(urls.sent_form)
def was_sent(request: Request, token: str) -> JSONResponse:
    """Whether the form with that token was acted on, and where that led, for a page that got no answer."""
    kept = sent_with(request.app.state.store, token)
    if kept is None:
        return JSONResponse({"saved": False, "address": None})
    return JSONResponse({"saved": True, "address": led_to(kept) or None})


def answer_again(request: Request, before: SentBefore) -> Response:
    """The first result again: on to where it led."""
    return go_to(request, led_to(before.kept) or urls.projects())


def answer_otherwise(request: Request, refusal: SentOtherwise) -> Response:
    """Both texts, and what can be done about it: nothing that was typed is lost."""
    first, now = refusal.first, refusal.now
    store: Store = request.app.state.store
    known, same_route = route_of(now.route), first.route == now.route
    edited = ""
    if known is not None and same_route and known[0].edited is not None:
        acted = _acted(first, known[1])
        edited = known[0].edited(replace(acted, texts={**acted.texts, **_typed(now.texts)}))
    return render(
        request,
        "shop/sent_otherwise.html",
        SentOtherwisePage(
            rows=_rows(
                _said(store, first.route, last_texts(first.texts)), _said(store, now.route, last_texts(now.texts))
            ),
            opened=led_to(first),
            elsewhere=not same_route and first.route != "",
            unknown=first.route == "",
            edited=_hidden(now, edited, version=0) if edited else None,
            again=_hidden(now, now.route),
            another=known[0].another if known else "",
            edits=any(name == "version" for name, _ in now.texts),
        ),
        status=409,
        headers=_INTO_THE_PAGE if wants_fragment(request) else {},
    )


def led_to(kept: KeptSending) -> str:
    """Where acting on that form led; "" where an earlier version of the program kept only that it was."""
    known = route_of(kept.route)
    if known is None:
        return ""
    route, places = known
    return route.led(_acted(kept, places))


def _typed(texts: Texts) -> dict[str, str]:
    """What was typed, without what was left empty."""
    return {name: text for name, text in last_texts(texts).items() if text}


def _acted(kept: KeptSending, places: Mapping[str, str]) -> Acted:
    return Acted(numbers(kept.outcome), places, last_texts(kept.texts))


def _said(store: Store, path: str, texts: Mapping[str, str]) -> Said:
    known = route_of(path)
    return {} if known is None else known[0].said(store, texts, known[1])


def _rows(first: Said, now: Said) -> list[Beside]:
    """Every field that says something in one of the two, in the order of the form."""
    rows = (Beside(label, _short(first.get(label, "")), _short(now.get(label, ""))) for label in {**now, **first})
    return [row for row in rows if row.first or row.now]


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


def _hidden(sent: Sending, address: str, version: int | None = None) -> Hidden:
    """What was sent, to be sent to that address; ``version`` 0, no row has, so it opens beside what is stored."""
    fields = [(name, text) for name, texts in sent.texts for text in texts if version is None or name != "version"]
    if version is not None:
        fields.append(("version", str(version)))
    return Hidden(address, fields, new_token())
