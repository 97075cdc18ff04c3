"""Suppliers: all of them, and one with its terms and its offers."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store.errors import NameTaken
from webapp.store.stock_values import SupplierTerms
from webapp.store.suppliers import StoredOffer, StoredSupplier
from webapp.usecases.supplies import Supplies, add_supplier, change_supplier, load_supplies
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

A_CURRENCY = InputProblem.NOT_A_CURRENCY.sentence
SUPPLIER = form_of(
    Field("name", "Name", Sort.TEXT, needed="needs the supplier's name", longest=120),
    Field("currency", "Currency", Sort.CURRENCY, hint="Three letters, such as EUR.", needed=A_CURRENCY, longest=3),
    Field("shipping", "Shipping", Sort.MONEY, required=False, hint="For one order."),
    Field("minimum_order", "Minimum order", Sort.MONEY, required=False, hint="Goods’ value without shipping."),
)
_CURRENCY = re.compile("[A-Z]{3}")


@dataclass(frozen=True, slots=True)
class SuppliersPage:
    """Every supplier and every offer."""

    supplies: Supplies


@dataclass(frozen=True, slots=True)
class SupplierPage:
    """A supplier's form, where it is sent, and its offers; ``supplier_id`` is None for a new one."""

    form: Filled
    action: str
    supplier_id: int | None
    supplies: Supplies
    offers: Sequence[StoredOffer]


@router.get(urls.suppliers)
def show_all(request: Request) -> HTMLResponse:
    """Every supplier, and every pack of every item side by side."""
    supplies = _supplies(request)
    return render(request, "stock/suppliers.html", SuppliersPage(supplies), units=supplies.units)


@router.get(urls.new_supplier)
def new(request: Request) -> HTMLResponse:
    """An empty form, in the shop's currency."""
    supplies = _supplies(request)
    form = blank(SUPPLIER, Plain(currency=supplies.currency), currency=supplies.currency)
    return _page(request, form, supplies, None)


@router.post(urls.new_supplier)
def add(request: Request, form: OnceForm) -> Response:
    """Save a new supplier."""
    return _save(request, form, None)


@router.get(urls.supplier)
def show(request: Request, supplier_id: RowId) -> HTMLResponse:
    """A supplier's terms and offers."""
    supplies = _supplies(request)
    return _page(request, _shown(supplies.supplier(supplier_id)), supplies, supplier_id)


@router.post(urls.supplier)
def change(request: Request, supplier_id: RowId, form: OnceForm) -> Response:
    """Save a changed supplier."""
    return _save(request, form, supplier_id)


def _save(request: Request, form: SentForm, supplier_id: int | None) -> Response:
    store, supplies = request.app.state.store, _supplies(request)
    currency = form.text("currency").upper()
    plain = Plain(currency=currency if _CURRENCY.fullmatch(currency) else supplies.currency)
    typed = sent(SUPPLIER, plain, form, edits=supplier_id is not None)

    def save() -> str:
        terms = _terms(typed.values())
        if supplier_id is None or typed.version is None:
            return urls.supplier(add_supplier(store, form.sending, terms))
        change_supplier(store, form.sending, supplier_id, typed.version, terms)
        return urls.supplier(supplier_id)

    def stored() -> Mapping[str, str]:
        assert supplier_id is not None  # a new supplier has no version to be stale
        return _shown(load_supplies(store).supplier(supplier_id)).texts

    return saved(
        request,
        typed,
        save,
        lambda form, status: _page(request, form, supplies, supplier_id, status=status),
        told={NameTaken: lambda taken: {"name": str(taken)}},
        stored=stored,
    )


def _terms(values: Values) -> SupplierTerms:
    """What the form says. Raises Unusable."""
    given = {"name": values["name"], "currency": values["currency"]}
    return values.made(SupplierTerms, given | {name: values[name] or 0 for name in ("shipping", "minimum_order")})


def _shown(stored: StoredSupplier) -> Filled:
    terms = stored.terms
    return shown(SUPPLIER, Plain(currency=terms.currency), terms, stored.version)


def _supplies(request: Request) -> Supplies:
    return load_supplies(request.app.state.store)


def _page(
    request: Request, form: Filled, supplies: Supplies, supplier_id: int | None, *, status: int = 200
) -> HTMLResponse:
    return render(
        request,
        "stock/supplier.html",
        SupplierPage(
            form,
            urls.new_supplier() if supplier_id is None else urls.supplier(supplier_id),
            supplier_id,
            supplies,
            () if supplier_id is None else supplies.offers_of(supplier_id),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=supplies.units,
    )
