"""One plug: its form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.spec.catalogue import Plug
from webapp.form.carried import sent_version
from webapp.form.fields import A_LENGTH, Field, Plain, Sort, form_of
from webapp.form.filled import Filled, blank, sent, shown
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.catalogue import StoredPlug
from webapp.store.errors import NameTaken
from webapp.usecases import catalogue
from webapp.usecases.shop import the_shop

router = APIRouter(include_in_schema=False)

PLUG = form_of(
    Field("material", "Wood", Sort.TEXT, needed="needs the wood's name, such as walnut", longest=120),
    Field("height", "Height", hint="Along the key's length, before trimming.", needed=A_LENGTH, zero=False),
    Field("price", "Price of one", Sort.MONEY, required=False),
)


@dataclass(frozen=True, slots=True)
class PlugPage:
    """A plug's form, where it is sent, and the plug that it changes; None for a new one."""

    form: Filled
    action: str
    plug_id: int | None


@router.get(urls.plugs)
def new(request: Request) -> HTMLResponse:
    """An empty form."""
    return _page(request, blank(PLUG, _plain(request)), None)


@router.post(urls.plugs)
def add(request: Request, form: OnceForm) -> Response:
    """Save a new plug."""
    return _save(request, form, None)


@router.get(urls.plug)
def edit(request: Request, plug_id: RowId) -> HTMLResponse:
    """The form of a plug in the catalogue."""
    stored = catalogue.plug(request.app.state.store, plug_id)
    return _page(request, _shown(stored, _plain(request)), plug_id)


@router.post(urls.plug)
def change(request: Request, plug_id: RowId, form: OnceForm) -> Response:
    """Save a changed plug."""
    return _save(request, form, plug_id)


@router.post(urls.delete_plug)
def delete(request: Request, plug_id: RowId, form: OnceForm) -> Response:
    """Delete a plug, if it is still as its page showed it."""
    version = sent_version(form.text("version"))
    catalogue.remove_plug(request.app.state.store, form.sending, plug_id, version)
    return go_to(request, urls.catalogue(at="plugs"))


def _save(request: Request, form: SentForm, plug_id: int | None) -> Response:
    store = request.app.state.store
    typed = sent(PLUG, _plain(request), form, edits=plug_id is not None)

    def save() -> str:
        values = typed.values()
        plug = values.made(Plug, {"material": values["material"], "height": values["height"]})
        if plug_id is None or typed.version is None:
            catalogue.add_plug(store, form.sending, plug, values["price"])
        else:
            catalogue.change_plug(store, form.sending, plug_id, typed.version, plug, values["price"])
        return urls.catalogue(at="plugs")

    def stored() -> Mapping[str, str]:
        assert plug_id is not None  # a new plug has no version to be stale
        return _shown(catalogue.plug(store, plug_id), typed.plain).texts

    return saved(
        request,
        typed,
        save,
        lambda form, status: _page(request, form, plug_id, status=status),
        told={
            NameTaken: lambda name: {"material": f"the catalogue has a plug of {name.name} already; edit that one"}
        },
        stored=stored,
    )


def _shown(stored: StoredPlug, plain: Plain) -> Filled:
    plug = stored.plug
    return shown(
        PLUG, plain, {"material": plug.material, "height": plug.height, "price": stored.price}, stored.version
    )


def _plain(request: Request) -> Plain:
    shop = the_shop(request.app.state.store)
    return Plain(shop.units, shop.currency)


def _page(request: Request, form: Filled, plug_id: int | None, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "catalogue/plug.html",
        PlugPage(form, urls.plugs() if plug_id is None else urls.plug(plug_id), plug_id),
        status=status,
        headers=MAIN_ONLY,
        units=form.plain.units,
    )
