"""Suppliers: all of them, and one with its terms and its offers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.differences import Difference, differences
from webapp.form.values import new_token, sent_version
from webapp.pages.stock.supplier_form import LABELS, blank_supplier, read_supplier, sent_supplier, shown_supplier
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NameTaken, StaleEdit
from webapp.usecases.supplies import Supplies, add_supplier, change_supplier, load_supplies

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class SupplierForm:
    """The form as it is shown; ``supplier_id`` and ``version`` are None for a new supplier."""

    texts: Mapping[str, str]
    supplier_id: int | None = None
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None

    @property
    def action(self) -> str:
        """Where the form is sent."""
        return urls.new_supplier() if self.supplier_id is None else urls.supplier(self.supplier_id)


@router.get(urls.suppliers)
def show_all(request: Request) -> HTMLResponse:
    """Every supplier, and every pack of every item side by side."""
    return render(request, "stock/suppliers.html", supplies=_supplies(request))


@router.get(urls.new_supplier)
def new(request: Request) -> HTMLResponse:
    """An empty form."""
    supplies = _supplies(request)
    return _page(request, SupplierForm(blank_supplier(supplies.currency)), supplies)


@router.post(urls.new_supplier)
def add(request: Request, form: Form) -> Response:
    """Save a new supplier."""
    return _save(request, form, None)


@router.get(urls.supplier)
def show(request: Request, supplier_id: RowId) -> HTMLResponse:
    """A supplier's terms and offers."""
    supplies = _supplies(request)
    stored = supplies.supplier(supplier_id)
    return _page(request, SupplierForm(shown_supplier(stored.terms), supplier_id, stored.version), supplies)


@router.post(urls.supplier)
def change(request: Request, supplier_id: RowId, form: Form) -> Response:
    """Save a changed supplier."""
    return _save(request, form, supplier_id)


def _save(request: Request, form: SentForm, supplier_id: int | None) -> Response:
    version = None if supplier_id is None else sent_version(form.text("version"))
    sent = SupplierForm(sent_supplier(form), supplier_id, version)
    reading = read_supplier(sent.texts)
    if reading.terms is None:
        return _page(request, replace(sent, errors=reading.errors), _supplies(request), status=422)
    store: Store = request.app.state.store
    try:
        if supplier_id is None or version is None:
            supplier_id = add_supplier(store, form.text("token"), reading.terms)
        else:
            change_supplier(store, form.text("token"), supplier_id, version, reading.terms)
    except NameTaken as taken:
        return _page(request, replace(sent, errors={"name": str(taken)}), _supplies(request), status=422)
    except StaleEdit as stale:
        assert supplier_id is not None  # a new supplier has no version to be stale
        stored = shown_supplier(load_supplies(store).supplier(supplier_id).terms)
        theirs = differences(
            {label: sent.texts[name] for name, label in LABELS.items()},
            {label: stored[name] for name, label in LABELS.items()},
        )
        stale_form = replace(sent, version=stale.theirs_version, theirs=theirs)
        return _page(request, stale_form, _supplies(request), status=409)
    return go_to(request, urls.supplier(supplier_id))


def _supplies(request: Request) -> Supplies:
    return load_supplies(request.app.state.store)


def _page(request: Request, form: SupplierForm, supplies: Supplies, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "stock/supplier.html",
        status=status,
        headers=MAIN_ONLY,
        form=form,
        labels=LABELS,
        supplies=supplies,
        offers=() if form.supplier_id is None else supplies.offers_of(form.supplier_id),
        token=new_token(),
    )
