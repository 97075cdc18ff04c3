"""One offer: what is in the pack, its article number and lead time, and every price it had or will have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.differences import Difference, differences
from webapp.form.values import new_token, sent_version
from webapp.pages.stock.offer_form import (
    LABELS,
    PRICE,
    TERMS,
    read_new_offer,
    read_price,
    read_terms,
    sent_offer,
)
from webapp.site import urls
from webapp.site.incoming import Form, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NameTaken, StaleEdit
from webapp.store.suppliers import StoredOffer
from webapp.usecases.supplies import (
    OfferView,
    add_offer,
    change_offer,
    end_offer,
    load_supplies,
    offer_view,
    price_offer,
)

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class OfferForm:
    """A form as it is shown: texts and errors by field, and what somebody else changed meanwhile."""

    texts: Mapping[str, str]
    version: int = 0
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None


@router.get(urls.new_offer)
def new(request: Request, supplier_id: RowId, item: str = "") -> HTMLResponse:
    """The form of a new offer of that supplier."""
    texts = {**dict.fromkeys(LABELS, ""), "item": item}
    return _new_page(request, supplier_id, OfferForm(texts), fresh=True)


@router.post(urls.new_offer)
def add(request: Request, supplier_id: RowId, form: Form) -> Response:
    """Save a new offer with its first price."""
    sent = OfferForm(sent_offer(form))
    store: Store = request.app.state.store
    supplier = load_supplies(store).supplier(supplier_id)
    reading = read_new_offer(sent.texts, supplier.terms.currency)
    if reading.item is None or reading.terms is None or reading.price is None:
        return _new_page(request, supplier_id, replace(sent, errors=reading.errors), status=422)
    try:
        add_offer(store, form.text("token"), supplier_id, reading.item, reading.terms, reading.price)
    except NameTaken as taken:
        errors = {"size": f"there is a {taken.kind} {taken.name} already; edit that one"}
        return _new_page(request, supplier_id, replace(sent, errors=errors), status=422)
    return go_to(request, urls.supplier(supplier_id, at="offers"))


@router.get(urls.offer)
def show(request: Request, offer_id: RowId) -> HTMLResponse:
    """The offer's terms and prices."""
    return _page(request, _view(request, offer_id))


@router.post(urls.offer)
def change(request: Request, offer_id: RowId, form: Form) -> Response:
    """Save article number and lead time."""
    view = _view(request, offer_id)
    sent = OfferForm({name: form.text(name) for name in TERMS}, sent_version(form.text("version")))
    reading = read_terms(sent.texts, view.offer.terms.size)
    if reading.terms is None:
        return _page(request, view, terms=replace(sent, errors=reading.errors), status=422)
    try:
        change_offer(request.app.state.store, form.text("token"), offer_id, sent.version, reading.terms)
    except StaleEdit as stale:
        stored = _terms(view.offer)
        theirs = differences(
            {LABELS[name]: sent.texts[name] for name in TERMS}, {LABELS[name]: stored[name] for name in TERMS}
        )
        return _page(request, view, terms=replace(sent, version=stale.theirs_version, theirs=theirs), status=409)
    return go_to(request, urls.offer(offer_id))


@router.post(urls.price_offer)
def price(request: Request, offer_id: RowId, form: Form) -> Response:
    """Add a price; those before it stay."""
    view = _view(request, offer_id)
    sent = OfferForm({name: form.text(name) for name in PRICE})
    reading = read_price(sent.texts, view.supplier.terms.currency)
    if reading.price is None:
        return _page(request, view, priced=replace(sent, errors=reading.errors), status=422)
    price_offer(request.app.state.store, form.text("token"), offer_id, reading.price)
    return go_to(request, urls.offer(offer_id))


@router.post(urls.withdraw_offer)
def withdraw(request: Request, offer_id: RowId, form: Form) -> Response:
    """The pack can no longer be had; its prices stay."""
    view = _view(request, offer_id)
    end_offer(request.app.state.store, form.text("token"), offer_id, sent_version(form.text("version")))
    return go_to(request, f"{urls.supplier(view.offer.supplier_id)}#offers")


def _view(request: Request, offer_id: int) -> OfferView:
    return offer_view(request.app.state.store, offer_id)


def _terms(offer: StoredOffer) -> dict[str, str]:
    return {"article": offer.terms.article, "lead_days": str(offer.terms.lead_days)}


def _new_page(
    request: Request, supplier_id: int, form: OfferForm, *, fresh: bool = False, status: int = 200
) -> HTMLResponse:
    supplies = load_supplies(request.app.state.store)
    if fresh:
        form = replace(form, texts={**form.texts, "since": supplies.day.isoformat()})
    return render(
        request,
        "stock/new_offer.html",
        status=status,
        headers=MAIN_ONLY,
        form=form,
        supplier=supplies.supplier(supplier_id),
        items=supplies.items,
        labels=LABELS,
        token=new_token(),
    )


def _page(
    request: Request,
    view: OfferView,
    *,
    terms: OfferForm | None = None,
    priced: OfferForm | None = None,
    status: int = 200,
) -> HTMLResponse:
    offer = view.offer
    terms = terms or OfferForm(_terms(offer), offer.version)
    priced = priced or OfferForm({"price": "", "since": view.day.isoformat()})
    return render(
        request,
        "stock/offer.html",
        status=status,
        headers=MAIN_ONLY,
        view=view,
        offer=offer,
        counting=view.counting,
        terms=terms,
        priced=priced,
        errors={**terms.errors, **priced.errors},
        labels=LABELS,
        tokens=(new_token(), new_token(), new_token()),
    )
