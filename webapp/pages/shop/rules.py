"""The shop: its name, its units and its rules."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.spec.rules import Rules
from webapp.form.fields import Plain
from webapp.form.filled import Filled, sent, shown
from webapp.pages.shop.rules_form import FORM, RULE_GROUPS, RULES, SHOP, usual_texts, usual_words
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import Form, SentForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.shop import Shop
from webapp.usecases.rules import change_shop, the_shop

router = APIRouter(include_in_schema=False)

_OWN = frozenset({"name", "units", "currency"})
"""The fields that are the shop's, not its rules."""


@router.get(urls.rules)
def show(request: Request, saved: bool = False) -> HTMLResponse:
    """All rules, each with what it is for and what is usual."""
    shop = the_shop(request.app.state.store)
    return _page(request, _shown(shop, Plain(shop.units)), saved=saved)


@router.post(urls.rules)
def save(request: Request, form: Form) -> Response:
    """Save the rules, or put one field back to its usual value without saving."""
    store = request.app.state.store
    # plain lengths mean what they meant when the form was shown, also where it chooses other units
    plain = Plain(_shown_in(form, the_shop(store).units))
    typed, reset = sent(FORM, plain, form, edits=True), form.text("reset")
    if any(rule.name == reset for rule in RULES):
        texts = {**typed.texts, reset: usual_texts(plain)[reset]}
        return _page(request, replace(typed, texts=texts), reset=reset)

    return saved(
        request,
        typed,
        lambda: _saved(store, typed),
        lambda form, status: _page(request, form, status=status),
        stored=lambda: _shown(the_shop(store), plain).texts,
    )


def _saved(store: Store, typed: Filled) -> str:
    """Save the form; an empty rule is the usual one."""
    values = typed.values()
    rules = values.made(Rules, {name: value for name, value in values.data.items() if name not in _OWN})
    change_shop(
        store,
        typed.token,
        typed.version or 0,
        name=values["name"] or "",
        units=Units(values["units"]),
        currency=values["currency"],
        rules=rules,
    )
    return urls.rules(saved="true")


def _shown_in(form: SentForm, otherwise: Units) -> Units:
    """The units that the form was shown in."""
    given = form.text("shown_in")
    return Units(given) if given in set(Units) else otherwise


def _shown(shop: Shop, plain: Plain) -> Filled:
    rules = {name: getattr(shop.rules, name) for name in Rules.model_fields}
    own = {"name": shop.name, "units": shop.units, "currency": shop.currency}
    return shown(FORM, plain, {**rules, **own}, shop.version)


def _page(
    request: Request, form: Filled, *, reset: str | None = None, status: int = 200, saved: bool = False
) -> HTMLResponse:
    units = form.plain.units
    return render(
        request,
        "shop/rules.html",
        status=status,
        headers=MAIN_ONLY,
        units=units,
        form=form,
        own=SHOP,
        groups=RULE_GROUPS,
        usual=usual_texts(form.plain),
        words={rule.name: usual_words(rule, units) for rule in RULES},
        reset=reset,
        saved=saved,
    )
