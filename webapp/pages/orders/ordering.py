"""A new order: projects chosen, the plan beside them and on paper, its placing; an earlier order once more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from domain.lengths import Units
from domain.problems import BadInput, Problem
from webapp.form.carried import new_token, sent_version
from webapp.pages.orders.order_rows import supplier_rows
from webapp.pages.printing import pdf_answer
from webapp.pages.projects.exports import table_answer
from webapp.pages.shop.jobs import begun_first
from webapp.papers.kinds import Paper
from webapp.papers.order_plan import PlanOnPaper
from webapp.papers.render import render_order_plan
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import go_to, render
from webapp.store import Store
from webapp.store.errors import PlanMoved
from webapp.store.orders import PlacedOrder
from webapp.tables.buying_tables import plan_table
from webapp.usecases.drafts import DRAFT
from webapp.usecases.headings import heading_of_shop
from webapp.usecases.long_work import TakesLong
from webapp.usecases.ordering import OrderPlan, OtherWays, edition_text, order_plan, other_ways, what_changed
from webapp.usecases.placed_orders import Repeated, place, repeated
from webapp.usecases.shop import the_shop
from webapp.wording.money import format_money
from webapp.wording.order_plan import FOR_STOCK, SupplierRow, WhyRow, clash_text, why_rows, woodless_text
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

MOST_PROJECTS = 200
Chosen = Annotated[list[Annotated[int, Query(ge=1, le=2**53)]], Query(alias="project", max_length=MOST_PROJECTS)]


@router.get(urls.new_order)
def show(request: Request, chosen: Chosen = []) -> HTMLResponse:  # noqa: B006
    """Choose projects, and see what to buy."""
    return _page(request, order_plan(request.app.state.store, chosen))


@router.get(urls.order_request)
def show_request(request: Request, chosen: Chosen = []) -> JSONResponse:  # noqa: B006
    """What the plan is worked out from, as `dovetally order` reads it."""
    plan = order_plan(request.app.state.store, chosen)
    headers = {"Content-Disposition": 'attachment; filename="order-request.json"'}
    return JSONResponse(plan.request.model_dump(mode="json", exclude_none=True), headers=headers)


@router.get(urls.order_plan_paper)
def show_paper(request: Request, chosen: Chosen = [], paper: str = "") -> Response:  # noqa: B006
    """The plan as PDF: what goes to whom, and why so many of each item."""
    store: Store = request.app.state.store
    plan, units = order_plan(store, chosen), the_shop(store).units
    names = ", ".join(plan.projects[number].name for number in plan.chosen) or FOR_STOCK

    def printed(size: Paper) -> bytes:
        return render_order_plan(
            _on_paper(plan, units), heading_of_shop(store, units, names, revision=DRAFT), size
        )

    return pdf_answer(request, "-".join(["order-plan", *map(str, plan.chosen)]), units, paper, printed)


@router.get(urls.order_plan_table)
def show_table(request: Request, ending: str, chosen: Chosen = []) -> Response:  # noqa: B006
    """What goes to whom as a spreadsheet or as CSV."""
    store: Store = request.app.state.store
    plan, units = order_plan(store, chosen), the_shop(store).units
    name = "-".join(["order-plan", *map(str, plan.chosen)])
    return table_answer(name, ending, lambda: plan_table(plan, units))


@dataclass(frozen=True, slots=True)
class InsteadPage:
    """Other ways of a plan, each with what it would come to."""

    plan: OrderPlan
    ways: OtherWays
    currency: str


@dataclass(frozen=True, slots=True)
class PlanPage:
    """A plan to be placed. ``seen`` is the edition it was made of, ``ahead`` are the projects going ahead.

    ``moved`` says what has changed since it was shown; "" where nothing has.
    """

    plan: OrderPlan
    currency: str
    suppliers: tuple[SupplierRow, ...]
    why: tuple[WhyRow, ...]
    seen: str
    token: str
    ahead: tuple[int, ...]
    moved: str
    for_whom: str
    woodless: str
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RepeatPage:
    """An earlier order at today's prices."""

    again: Repeated
    order: PlacedOrder
    moved: bool
    token: str


@router.get(urls.order_instead)
def show_instead(request: Request, chosen: Chosen = []) -> HTMLResponse:  # noqa: B006
    """What the order would come to in other ways."""
    store: Store = request.app.state.store
    plan = order_plan(store, chosen)
    ways, currency = other_ways(store, plan), plan.offers.currency
    return render(
        request,
        "orders/instead.html",
        InsteadPage(plan, ways, currency),
        fragment="orders/_instead.html",
    )


@router.post(urls.orders)
def place_plan(request: Request, sent: OnceForm) -> Response:
    """Place the plan exactly as it was shown: an order for each supplier; or show what stands now."""
    store: Store = request.app.state.store
    numbers = [sent_version(text) for text in sent.texts("project")]
    try:
        plan = order_plan(store, numbers)
    except TakesLong as late:
        # what it rests on has changed: nothing is placed that nobody has seen
        return begun_first(request, late, urls.new_order(project=numbers))
    if not plan.drafts:
        return _page(request, plan, moved=_moved(sent.text("seen"), plan), status=422)
    if plan.fingerprint != sent.text("plan"):
        return _page(request, plan, moved=_moved(sent.text("seen"), plan), status=409)
    try:
        placed = place(store, sent.sending, plan.edition, plan.drafts)
    except PlanMoved:
        plan = order_plan(store, plan.chosen)
        return _page(request, plan, moved=_moved(sent.text("seen"), plan), status=409)
    return go_to(request, urls.order(placed[0]) if len(placed) == 1 else urls.orders())


@router.get(urls.repeat_order)
def show_repeat(request: Request, number: RowId) -> HTMLResponse:
    """An earlier order at today's prices."""
    return _repeat_page(request, repeated(request.app.state.store, number))


@router.post(urls.repeat_order)
def place_repeat(request: Request, number: RowId, sent: OnceForm) -> Response:
    """Place it again, exactly as it was shown."""
    store: Store = request.app.state.store
    again = repeated(store, number)
    if again.draft is None:
        return _repeat_page(request, again, status=422)
    if again.fingerprint != sent.text("plan"):
        return _repeat_page(request, again, moved=True, status=409)
    try:
        placed = place(store, sent.sending, again.edition, [again.draft])
    except PlanMoved:
        return _repeat_page(request, repeated(store, number), moved=True, status=409)
    return go_to(request, urls.order(placed[0]))


def _moved(seen: str, plan: OrderPlan) -> str:
    changed = what_changed(seen, plan.edition)
    if not changed:
        return "another day has begun, or the form was not this page's own"
    return " and ".join((", ".join(changed[:-1]), changed[-1]) if len(changed) > 1 else changed) + " changed"


def _page(request: Request, plan: OrderPlan, *, moved: str = "", status: int = 200) -> HTMLResponse:
    units = the_shop(request.app.state.store).units
    return render(
        request,
        "orders/new.html",
        PlanPage(
            plan=plan,
            currency=plan.offers.currency,
            suppliers=supplier_rows(plan, units),
            why=_why(plan, units),
            seen=edition_text(plan.edition),
            token=new_token(),
            ahead=tuple(number for number, each in plan.projects.items() if each.stage.value == "going_ahead"),
            moved=moved,
            for_whom=", ".join(plan.projects[number].name for number in plan.chosen) or FOR_STOCK,
            woodless=woodless_text(plan.woodless),
            left_out=tuple(clash_text(name, marks) for name, marks in plan.clashes.items()),
        ),
        fragment="orders/_plan.html",
        status=status,
        units=units,
    )


def _why(plan: OrderPlan, units: Units) -> tuple[WhyRow, ...]:
    return why_rows(plan.items, plan.request, plan.order, plan.offers.currency, units)


def _on_paper(plan: OrderPlan, units: Units) -> PlanOnPaper:
    currency, order = plan.offers.currency, plan.order
    return PlanOnPaper(
        suppliers=supplier_rows(plan, units),
        why=_why(plan, units),
        goods=format_money(order.total - order.shipping, currency),
        shipping=format_money(order.shipping, currency),
        total=format_money(order.total, currency),
        doubt=order.doubt.value if order.doubt else "",
        woodless=woodless_text(plan.woodless),
        left_out=tuple(clash_text(name, marks) for name, marks in plan.clashes.items()),
    )


def _repeat_page(request: Request, again: Repeated, *, moved: bool = False, status: int = 200) -> HTMLResponse:
    if again.draft is None and status == 422 and not again.lines:
        raise BadInput([Problem.of(("order",), again.order.number, InputProblem.NOTHING_LEFT_TO_BUY)])
    return render(
        request,
        "orders/repeat.html",
        RepeatPage(again, again.order, moved, new_token()),
        status=status,
        units=the_shop(request.app.state.store).units,
    )
