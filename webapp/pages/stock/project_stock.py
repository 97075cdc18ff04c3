"""Stock for a project: planned, going ahead, built; what is reserved, used and brought back."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item
from domain.problems import BadInput
from webapp.form.values import new_token, sent_version
from webapp.pages.stock.project_booking_form import (
    ProjectBooking,
    ProjectForm,
    read_quantities,
    sent_project_form,
    shown_form,
)
from webapp.pages.stock.stock_words import STAGES
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotEnough, NotFound, NotUsed, StaleEdit
from webapp.store.stages import Stage
from webapp.usecases import stages, stockroom
from webapp.usecases.project_stock import ProjectStock, project_stock

router = APIRouter(include_in_schema=False)

BOOKED = {
    ProjectBooking.USED: "What was used is booked.",
    ProjectBooking.BUILT: "What was used is booked, and the rest is free again.",
    ProjectBooking.RETURNED: "What came back is booked.",
}
_TITLES = {
    ProjectBooking.USED: "Used so far",
    ProjectBooking.BUILT: "Built",
    ProjectBooking.RETURNED: "Bring back",
}


@router.get(urls.project_stock)
def show(request: Request, project_id: RowId, booked: str = "") -> HTMLResponse:
    """What the project needs, has reserved and has used."""
    stock = project_stock(request.app.state.store, project_id)
    told = BOOKED[ProjectBooking(booked)] if booked in list(ProjectBooking) else ""
    return _page(request, stock, told=told)


@router.post(urls.go_ahead)
def go_ahead(request: Request, project_id: RowId, form: Form) -> Response:
    """Reserve what the project needs, as it was shown."""
    store: Store = request.app.state.store
    stock = project_stock(store, project_id)
    if sent_version(form.text("revision")) != stock.revision:
        return _page(request, stock, stale=True, status=409)
    try:
        stages.go_ahead(store, form.text("token"), project_id, sent_version(form.text("version")), stock.needs)
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.post(urls.back_to_planned)
def planned(request: Request, project_id: RowId, form: Form) -> Response:
    """Let go of what is reserved."""
    store: Store = request.app.state.store
    try:
        stages.back_to_planned(store, form.text("token"), project_id, sent_version(form.text("version")))
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.get(urls.book_project)
def booking_form(request: Request, project_id: RowId, booking: str) -> HTMLResponse:
    """The form that books for the project."""
    stock = project_stock(request.app.state.store, project_id)
    return _form(request, stock, shown_form(_booking(booking), stock), stock.head.version)


@router.post(urls.book_project)
def book(request: Request, project_id: RowId, booking: str, form: Form) -> Response:
    """Book all of the form, or nothing and say why at its field."""
    store: Store = request.app.state.store
    chosen = _booking(booking)
    stock = project_stock(store, project_id)
    sent, version = sent_project_form(chosen, stock, form), sent_version(form.text("version"))
    quantities, errors = read_quantities(sent)
    if not errors and not quantities and chosen is not ProjectBooking.BUILT:
        errors = {sent.rows[0].field if sent.rows else "note": "enter at least one quantity"}
    if errors:
        return _form(request, stock, replace(sent, errors=errors), version, status=422)
    try:
        _book(store, form, stock, sent, quantities, version)
    except (NotEnough, NotUsed) as refusal:
        errors = {sent.field_of(refusal.item): str(refusal)}
        return _form(request, stock, replace(sent, errors=errors), version, status=409)
    except BadInput as refusal:
        note = next((problem.text() for problem in refusal.problems if "note" in problem.path), None)
        if note is None:
            raise
        return _form(request, stock, replace(sent, errors={"note": note}), version, status=422)
    except StaleEdit as stale:
        stock = project_stock(store, project_id)
        sent = sent_project_form(chosen, stock, form)
        return _form(request, stock, sent, stale.theirs_version, stale=True, status=409)
    return go_to(request, urls.project_stock(project_id, booked=chosen))


def _book(
    store: Store,
    form: SentForm,
    stock: ProjectStock,
    sent: ProjectForm,
    quantities: dict[Item, int],
    version: int,
) -> None:
    token, number = form.text("token"), stock.head.id
    match sent.booking:
        case ProjectBooking.USED:
            stockroom.use(store, token, number, quantities, sent.note)
        case ProjectBooking.BUILT:
            stages.built(store, token, number, version, quantities, sent.note)
        case ProjectBooking.RETURNED:
            stockroom.give_back(store, token, number, quantities, sent.note)


def _booking(name: str) -> ProjectBooking:
    if name not in list(ProjectBooking):
        raise NotFound("form", name)
    return ProjectBooking(name)


def _page(
    request: Request, stock: ProjectStock, *, told: str = "", stale: bool = False, status: int = 200
) -> HTMLResponse:
    return render(
        request,
        "stock/project.html",
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
        stock=stock,
        head=stock.head,
        stages=[(stage, name, stage is stock.stage) for stage, name in STAGES.items()],
        going_ahead=stock.stage is Stage.GOING_AHEAD,
        built=stock.stage is Stage.BUILT,
        short=[line for line in stock.lines if line.short],
        any_used=any(line.claim.used for line in stock.lines),
        told=told,
        stale=stale,
        tokens=(new_token(), new_token()),
    )


def _form(
    request: Request,
    stock: ProjectStock,
    form: ProjectForm,
    version: int,
    *,
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    return render(
        request,
        "stock/project_booking.html",
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
        stock=stock,
        head=stock.head,
        form=form,
        title=_TITLES[form.booking],
        version=version,
        stale=stale,
        token=new_token(),
    )
