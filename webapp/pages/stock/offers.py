"""One offer: what is in the pack, its article number and lead time, and every price it had or will have."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import HOW_TO_NAME, Item, parse_item
from domain.problems import BadInput, Refused
from webapp.form.carried import new_token, sent_version
from webapp.form.fields import A_DAY, Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.errors import NameTaken
from webapp.store.stock_values import OfferTerms, Price
from webapp.store.suppliers import StoredOffer, StoredSupplier
from webapp.usecases.supplies import (
    OfferView,
    Supplies,
    add_offer,
    change_offer,
    end_offer,
    load_supplies,
    offer_view,
    price_offer,
)
from webapp.wording.amounts import parse_amount

router = APIRouter(include_in_schema=False)

_COSTS = (
    Field("price", "Price of a pack", Sort.MONEY, needed="needs the price of one pack"),
    Field("since", "Holds from", Sort.DAY, hint="Year, month, day.", needed=A_DAY, longest=10),
)
_PACK = (
    Field("article", "Article number", Sort.TEXT, required=False, hint="The supplier’s own.", longest=60),
    Field("lead_days", "Lead time", Sort.COUNT, required=False, unit="days"),
)
NEW = form_of(
    Field(
        "item",
        "Item",
        Sort.TEXT,
        hint="Such as key 13 × 26, plug plum 13 × 4, glue, bar plum 52 × 22 × 1950, board plum 35; sizes in mm.",
        needed=HOW_TO_NAME,
        suggest="known-items",
        longest=120,
    ),
    Field(
        "size",
        "Pack size",
        Sort.TEXT,
        hint="How many pieces, grams of glue; of boards their volume, such as 25 bd ft, 0.06 m³ or 60 l; of strips"
        " their length, such as 3 m or 10 ft.",
        needed="needs how much a pack has, such as 12 or 25 bd ft",
        longest=40,
    ),
    *_COSTS,
    *_PACK,
    at={"minor": "price"},
)
COSTS = form_of(*_COSTS, at={"minor": "price"})
PACK = form_of(*_PACK)


@router.get(urls.new_offer)
def new(request: Request, supplier_id: RowId, item: str = "") -> HTMLResponse:
    """The form of a new offer of that supplier."""
    supplies = load_supplies(request.app.state.store)
    plain = _plain(supplies.supplier(supplier_id).terms.currency)
    return _new_page(request, supplies, supplier_id, blank(NEW, plain, item=item, since=supplies.day.isoformat()))


@router.post(urls.new_offer)
def add(request: Request, supplier_id: RowId, form: OnceForm) -> Response:
    """Save a new offer with its first price."""
    store = request.app.state.store
    supplies = load_supplies(store)
    typed = sent(NEW, _plain(supplies.supplier(supplier_id).terms.currency), form)

    def save() -> str:
        values = typed.values()
        item = _item(values)
        terms, price = _terms(values, _size(values, item)), _price(values)
        add_offer(store, form.sending, supplier_id, item, terms, price)
        return urls.supplier(supplier_id, at="offers")

    return saved(
        request,
        typed,
        save,
        lambda form, status: _new_page(request, supplies, supplier_id, form, status=status),
        told={NameTaken: lambda taken: {"size": f"there is a {taken.kind} {taken.name} already; edit that one"}},
    )


@router.get(urls.offer)
def show(request: Request, offer_id: RowId) -> HTMLResponse:
    """The offer's terms and prices."""
    return _page(request, _Shown.of(_view(request, offer_id)))


@router.post(urls.offer)
def change(request: Request, offer_id: RowId, form: OnceForm) -> Response:
    """Save article number and lead time."""
    store, view = request.app.state.store, _view(request, offer_id)
    typed = sent(PACK, _plain(view.supplier.terms.currency), form, edits=True)

    def save() -> str:
        change_offer(
            store, form.sending, offer_id, typed.version or 0, _terms(typed.values(), view.offer.terms.size)
        )
        return urls.offer(offer_id)

    return saved(
        request,
        typed,
        save,
        lambda form, status: _page(request, _Shown.of(view, pack=form), status=status),
        stored=lambda: _shown(_view(request, offer_id).offer, typed.plain).texts,
    )


@router.post(urls.price_offer)
def price(request: Request, offer_id: RowId, form: OnceForm) -> Response:
    """Add a price; those before it stay."""
    view = _view(request, offer_id)
    typed = sent(COSTS, _plain(view.supplier.terms.currency), form)

    def save() -> str:
        price_offer(request.app.state.store, form.sending, offer_id, _price(typed.values()))
        return urls.offer(offer_id)

    return saved(
        request, typed, save, lambda form, status: _page(request, _Shown.of(view, costs=form), status=status)
    )


@router.post(urls.withdraw_offer)
def withdraw(request: Request, offer_id: RowId, form: OnceForm) -> Response:
    """The pack can no longer be had; its prices stay."""
    view = _view(request, offer_id)
    end_offer(request.app.state.store, form.sending, offer_id, sent_version(form.text("version")))
    return go_to(request, urls.supplier(view.offer.supplier_id, at="offers"))


def _view(request: Request, offer_id: int) -> OfferView:
    return offer_view(request.app.state.store, offer_id)


def _plain(currency: str) -> Plain:
    return Plain(currency=currency)


def _item(values: Values) -> Item:
    """The item that is named; what is none is noted at its field."""
    try:
        return parse_item(values["item"] or "")
    except BadInput as refusal:
        values.refuse("item", refusal.problems[0].text())
        return Item.key("", 1)


def _size(values: Values, item: Item) -> int | None:
    """How much a pack has, in what the item is counted in; what cannot be is noted at its field."""
    text = values["size"]
    if not text:
        return None
    try:
        return parse_amount(text, item.unit)
    except Refused as refusal:
        values.refuse("size", refusal.at(("size",), text).text())
        return 1


def _terms(values: Values, size: int | None) -> OfferTerms:
    """The pack. Raises Unusable with every error of the form."""
    given = {"size": size, "article": values["article"] or "", "lead_days": values["lead_days"] or 0}
    return values.made(OfferTerms, given)


def _price(values: Values) -> Price:
    """The price. Raises Unusable with every error of the form."""
    values.check()
    since = date.fromisoformat(values["since"])
    return values.made(Price, {"minor": values["price"], "currency": values.filled.plain.currency, "since": since})


def _shown(offer: StoredOffer, plain: Plain) -> Filled:
    return shown(PACK, plain, offer.terms, offer.version)


@dataclass(frozen=True, slots=True)
class _Shown:
    """An offer's page: what there is, and its two forms."""

    view: OfferView
    pack: Filled
    costs: Filled

    @classmethod
    def of(cls, view: OfferView, *, pack: Filled | None = None, costs: Filled | None = None) -> _Shown:
        plain = _plain(view.supplier.terms.currency)
        return cls(
            view,
            pack or _shown(view.offer, plain),
            costs or blank(COSTS, plain, since=view.day.isoformat()),
        )


@dataclass(frozen=True, slots=True)
class NewOfferPage:
    """The form of a supplier's new offer; ``items`` are what can be typed."""

    form: Filled
    supplier: StoredSupplier
    items: Iterable[Item]


@dataclass(frozen=True, slots=True)
class OfferPage:
    """An offer with its two forms: of the pack, and of a new price."""

    view: OfferView
    offer: StoredOffer
    counting: Price | None
    pack: Filled
    costs: Filled
    withdraw_token: str


def _new_page(
    request: Request, supplies: Supplies, supplier_id: int, form: Filled, *, status: int = 200
) -> HTMLResponse:
    return render(
        request,
        "stock/new_offer.html",
        NewOfferPage(form, supplies.supplier(supplier_id), supplies.items),
        status=status,
        headers=MAIN_ONLY,
        units=supplies.units,
    )


def _page(request: Request, page: _Shown, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "stock/offer.html",
        OfferPage(page.view, page.view.offer, page.view.counting, page.pack, page.costs, new_token()),
        status=status,
        headers=MAIN_ONLY,
        units=page.view.units,
    )
