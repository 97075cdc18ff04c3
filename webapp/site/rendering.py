"""Templates to responses. One function, ``render``, decides between the page and its fragment."""

from __future__ import annotations

import hashlib
import mimetypes
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from importlib.metadata import version
from typing import TYPE_CHECKING

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from domain.lengths import Length, Units, format_fine, format_length, format_mm
from domain.notes import Note
from webapp import data_folder
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.areas import AREAS, area_here
from webapp.site.look import look_of
from webapp.site.undo_offer import offer_undo
from webapp.wording.amounts import amount, bare_amount, shown_in
from webapp.wording.job import told_apart
from webapp.wording.money import format_money
from webapp.wording.terms import TERMS, term_for

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

    from webapp.drawings.model import Drawing
    from webapp.store import Store
    from webapp.store.errors import StoreError

TEMPLATES = data_folder("templates")
STATIC = data_folder("static")


def wants_fragment(request: Request) -> bool:
    """Whether htmx asks for a part to swap in.

    False for a whole page: also when htmx re-reads one for the Back button, or swaps the body.
    """
    headers = request.headers
    return (
        headers.get("HX-Request") == "true"
        and headers.get("HX-Request-Type") != "full"
        and headers.get("HX-History-Restore-Request") != "true"
    )


def render(
    request: Request,
    template: str,
    context: DataclassInstance,
    *,
    fragment: str | None = None,
    status: int = 200,
    units: Units = Units.MM,
    headers: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """The page ``template``, or for htmx the ``fragment`` that the page itself includes.

    ``context`` is the page's dataclass: each of its fields is a name in the template, and the template
    knows no others. ``units`` is what the filters ``length``, ``fine`` and ``note`` write lengths in.
    """
    names = {each.name: getattr(context, each.name) for each in fields(context)}
    names["trouble"] = _trouble(request)
    names["device"] = look_of(request)
    names["demo"] = getattr(request.app.state, "demo", None) is not None if "app" in request.scope else False
    chosen = fragment if fragment is not None and wants_fragment(request) else template
    body = environment().get_template(chosen).render(request=request, units=units, **names)
    return HTMLResponse(body, status_code=status, headers={**(headers or {}), "Vary": "HX-Request"})


def _trouble(request: Request) -> StoreError | None:
    """Why nothing is saved any more, which base.html tells on every page; None where all is well."""
    app = request.scope.get("app")
    store: Store | None = None if app is None else getattr(app.state, "store", None)
    return None if store is None else store.trouble


MAIN_ONLY = {"HX-Reselect": "#main"}
"""Headers of a whole page that answers a form sent by htmx into ``#main``: of the page it takes that part."""


@cache
def environment() -> Environment:
    """The one Jinja environment: everything is escaped, and a misspelt name is an error."""
    env = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    # "length" here is a measure; to count things, Jinja has "count"
    env.filters.update(length=_length, fine=_fine, mm=_plain_mm, money=format_money, note=_note)
    env.filters.update(told_apart=told_apart)
    env.filters.update(amount=_amount, bare_amount=_bare_amount, shown_in=_shown_in)
    env.globals.update(
        svg=_svg,
        thumbnail=_thumbnail,
        urls=urls,
        areas=AREAS,
        area_here=area_here,
        static_url=static_url,
        new_token=new_token,
        terms=TERMS,
        term_for=term_for,
        program_version=version("dovetally"),
    )
    return env


@cache
def static_url(name: str) -> str:
    """The address of a static file with the mark of its content, so that it may be cached for good."""
    mark = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"{urls.static_files}/{name}?v={mark}"


def _svg(drawing: Drawing, identity: str, css: str = "drawing", pixels: int | None = None) -> Markup:
    # drawings are loaded for the first page that has one
    from webapp.drawings.svg import PIXELS, svg

    return svg(drawing, identity, css, pixels=pixels or PIXELS)


def _thumbnail(drawing: Drawing) -> Markup:
    from webapp.drawings.svg import thumbnail

    return thumbnail(drawing)


def _units(context: Context, units: Units | None) -> Units:
    """The units asked for, or those of the page. A macro sees the page's only if they are handed in."""
    return units if units is not None else Units(context["units"])


@pass_context
def _amount(context: Context, count: int, unit: str, units: Units | None = None) -> Markup:
    figure, _, shown = amount(count, unit, _units(context, units)).partition("\xa0")
    return Markup("{}&nbsp;{}").format(figure, shown)


@pass_context
def _bare_amount(context: Context, count: int, unit: str, units: Units | None = None) -> str:
    return bare_amount(count, unit, _units(context, units))


@pass_context
def _shown_in(context: Context, unit: str) -> str:
    return shown_in(unit, _units(context, None))


def _mm(value: Length | float) -> float:
    return value.mm if isinstance(value, Length) else value


@pass_context
def _length(context: Context, value: Length | float, units: Units | None = None) -> str:
    return format_length(_mm(value), _units(context, units))


@pass_context
def _fine(context: Context, value: Length | float, units: Units | None = None) -> str:
    return format_fine(_mm(value), _units(context, units))


def _plain_mm(value: Length | float, places: int = 3) -> str:
    return format_mm(_mm(value), places)


@pass_context
def _note(context: Context, note: Note, units: Units | None = None) -> str:
    return note.text(_units(context, units))


def go_to(request: Request, address: str) -> Response:
    """The answer to a form that was saved: on to ``address``.

    A browser is sent there with 303. htmx would follow that inside its own request and swap the page it
    finds into the form, so it is told to leave the page instead.
    """
    answer: Response = RedirectResponse(address, status_code=303)
    if request.headers.get("HX-Request") == "true":
        answer = Response(status_code=204, headers={"HX-Redirect": address})
    offer_undo(request, answer)
    return answer


# Windows may call a script plain text, by whatever was installed on it; a browser runs no such module.
mimetypes.add_type("text/javascript", ".js")


class VersionedFiles(StaticFiles):
    """Static files; an address with the mark of the file's content may be kept for a year.

    A module that another one imports is asked for without a mark: it is kept, and asked after every time.
    """

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file; without the right mark it is asked for again every time."""
        response = await super().get_response(path, scope)
        asked = f"{urls.static_files}/{path}?{scope['query_string'].decode('latin-1')}"
        current = response.status_code == 200 and asked == static_url(path)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if current else "no-cache"
        return response
