"""One plug: its form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import BadInput
from webapp.form.differences import Difference, differences
from webapp.form.values import new_token, sent_version
from webapp.pages.catalogue.plug_form import BLANK, LABELS, read_plug, sent_plug, shown_plug
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.catalogue import load_plug
from webapp.store.errors import NameTaken, StaleEdit
from webapp.store.shop import Shop, load_shop
from webapp.usecases.catalogue import add_plug, change_plug, remove_plug

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class PlugForm:
    """The form as it is shown; ``plug_id`` and ``version`` are None for a new plug."""

    texts: Mapping[str, str]
    plug_id: int | None = None
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None

    @property
    def action(self) -> str:
        """Where the form is sent."""
        return urls.plugs() if self.plug_id is None else urls.plug(self.plug_id)


@router.get(urls.plugs)
def new(request: Request) -> HTMLResponse:
    """An empty form."""
    return _page(request, PlugForm(BLANK), _shop(request))


@router.post(urls.plugs)
def add(request: Request, form: Form) -> Response:
    """Save a new plug."""
    return _save(request, form, None)


@router.get(urls.plug)
def edit(request: Request, plug_id: RowId) -> HTMLResponse:
    """The form of a plug in the catalogue."""
    store: Store = request.app.state.store
    with store.reading() as session:
        stored, shop = load_plug(session, plug_id), load_shop(session)
    return _page(request, PlugForm(shown_plug(stored, shop.units, shop.currency), plug_id, stored.version), shop)


@router.post(urls.plug)
def change(request: Request, plug_id: RowId, form: Form) -> Response:
    """Save a changed plug."""
    return _save(request, form, plug_id)


@router.post(urls.delete_plug)
def delete(request: Request, plug_id: RowId, form: Form) -> Response:
    """Delete a plug, if it is still as its page showed it."""
    store: Store = request.app.state.store
    with store.writing() as session:
        remove_plug(session, form.text("token"), plug_id, sent_version(form.text("version")))
    return go_to(request, urls.catalogue(at="plugs"))


def _save(request: Request, form: SentForm, plug_id: int | None) -> Response:
    shop = _shop(request)
    sent = PlugForm(sent_plug(form), plug_id, None if plug_id is None else sent_version(form.text("version")))
    reading = read_plug(sent.texts, shop.units, shop.currency)
    if reading.plug is None:
        return _page(request, replace(sent, errors=reading.errors), shop, status=422)
    store: Store = request.app.state.store
    try:
        with store.writing() as session:
            if plug_id is None or sent.version is None:
                add_plug(session, form.text("token"), reading.plug, reading.price)
            else:
                change_plug(session, form.text("token"), plug_id, sent.version, reading.plug, reading.price)
    except NameTaken as taken:
        errors = {"material": f"the catalogue has a plug of {taken.name} already; edit that one"}
        return _page(request, replace(sent, errors=errors), shop, status=422)
    except BadInput as refusal:
        errors = {str(problem.path[0]): problem.text(shop.units) for problem in refusal.problems}
        return _page(request, replace(sent, errors=errors), shop, status=422)
    except StaleEdit as stale:
        assert plug_id is not None  # a new plug has no version to be stale
        with store.reading() as session:
            stored = shown_plug(load_plug(session, plug_id), shop.units, shop.currency)
        theirs = differences(sent.texts, stored, LABELS)
        return _page(request, replace(sent, version=stale.theirs_version, theirs=theirs), shop, status=409)
    return go_to(request, urls.catalogue(at="plugs"))


def _shop(request: Request) -> Shop:
    store: Store = request.app.state.store
    with store.reading() as session:
        return load_shop(session)


def _page(request: Request, form: PlugForm, shop: Shop, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "catalogue/plug.html",
        status=status,
        headers=MAIN_ONLY,
        units=shop.units,
        form=form,
        labels=LABELS,
        shop=shop,
        token=new_token(),
        delete_token=new_token(),
    )
