"""The shop: its name, its units and its rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.problems import BadInput
from webapp.form.differences import Difference, differences
from webapp.form.values import new_token, sent_version
from webapp.pages.shop.rules_form import (
    BY_NAME,
    GROUPS,
    LABELS,
    errors_by_field,
    read_shop,
    sent_shop,
    sent_units,
    shown_shop,
)
from webapp.site import urls
from webapp.site.incoming import Form
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import StaleEdit
from webapp.store.shop import Shop, load_shop
from webapp.usecases.rules import change_shop

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class RulesForm:
    """The form as it is shown. ``shown_in`` is what its plain lengths mean."""

    texts: Mapping[str, str]
    version: int
    shown_in: Units
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None
    reset: str | None = None


@router.get(urls.rules)
def show(request: Request, saved: bool = False) -> HTMLResponse:
    """All rules, each with what it is for and what is usual."""
    shop = _shop(request)
    return _page(request, RulesForm(shown_shop(shop, shop.units), shop.version, shop.units), saved=saved)


@router.post(urls.rules)
def save(request: Request, form: Form) -> Response:
    """Save the rules, or put one field back to its usual value without saving."""
    shown_in = sent_units(form, _shop(request).units)
    sent = RulesForm(sent_shop(form), sent_version(form.text("version")), shown_in)
    reset = BY_NAME.get(form.text("reset"))
    if reset is not None:
        texts = {**sent.texts, reset.name: reset.usual_text(shown_in)}
        return _page(request, replace(sent, texts=texts, reset=reset.name))
    reading = read_shop(sent.texts, shown_in)
    if reading.rules is None:
        return _page(request, replace(sent, errors=reading.errors), status=422)
    store: Store = request.app.state.store
    try:
        with store.writing() as session:
            change_shop(
                session,
                form.text("token"),
                sent.version,
                name=reading.name,
                units=reading.units,
                currency=reading.currency,
                rules=reading.rules,
            )
    except StaleEdit as stale:
        theirs = differences(sent.texts, shown_shop(_shop(request), shown_in), LABELS)
        return _page(request, replace(sent, version=stale.theirs_version, theirs=theirs), status=409)
    except BadInput as refusal:
        return _page(request, replace(sent, errors=errors_by_field(refusal, shown_in)), status=422)
    return go_to(request, urls.rules(saved="true"))


def _shop(request: Request) -> Shop:
    store: Store = request.app.state.store
    with store.reading() as session:
        return load_shop(session)


def _page(request: Request, form: RulesForm, *, status: int = 200, saved: bool = False) -> HTMLResponse:
    return render(
        request,
        "shop/rules.html",
        status=status,
        headers=MAIN_ONLY,
        units=form.shown_in,
        form=form,
        groups=GROUPS,
        labels=LABELS,
        token=new_token(),
        saved=saved,
    )
