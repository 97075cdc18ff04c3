"""What quotes usually go by: the shop's rate, margin and tax, its address, what stands at the foot of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.fields import Group, Plain
from webapp.form.filled import Filled, sent
from webapp.pages.quotes.quote_form import SHOP, read_shop_terms, shown_terms
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store.shop import Shop
from webapp.usecases.quotes import save_shop_terms
from webapp.usecases.shop import the_shop

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class ShopTermsPage:
    """The form of the shop's usual terms; ``saved`` right after they were."""

    form: Filled
    groups: Sequence[Group]
    saved: bool


@router.get(urls.quote_terms)
def show(request: Request, saved: bool = False) -> HTMLResponse:
    """The usual terms."""
    return _page(request, _shown(the_shop(request.app.state.store)), saved=saved)


@router.post(urls.quote_terms)
def save(request: Request, form: OnceForm) -> Response:
    """Keep them, or show the form again as it was typed."""
    store = request.app.state.store
    typed = sent(SHOP, _plain(the_shop(store)), form, edits=True)

    def act() -> str:
        save_shop_terms(store, form.sending, typed.version or 0, read_shop_terms(typed.values()))
        return urls.quote_terms(saved="true")

    return saved(
        request,
        typed,
        act,
        lambda again, status: _page(request, again, status=status),
        stored=lambda: _shown(the_shop(store)).texts,
    )


def _plain(shop: Shop) -> Plain:
    return Plain(shop.units, shop.currency)


def _shown(shop: Shop) -> Filled:
    return shown_terms(SHOP, _plain(shop), shop.terms, (), shop.version)


def _page(request: Request, form: Filled, *, saved: bool = False, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "quotes/shop_terms.html",
        ShopTermsPage(form, SHOP.groups, saved),
        status=status,
        headers=MAIN_ONLY,
    )
