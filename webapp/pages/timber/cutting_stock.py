"""What one wood of a project is cut from, typed by hand: what is for sale and on hand, kerf, trim, offcuts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import Refused
from domain.spec.wood import WoodToCut
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, sent
from webapp.form.showing import value_texts
from webapp.form.stock_lines import HOW_BARS, HOW_SHEETS, read_stock_lines, stock_lines
from webapp.pages.shop.jobs import begun_first
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.store.projects import ProjectHead
from webapp.usecases.cutting import asked_of_projects, keep_stock, wood_of
from webapp.usecases.long_work import TakesLong
from webapp.usecases.projects import PlannedProject, plan_soon

router = APIRouter(include_in_schema=False)

STOCK = form_of(
    Field(
        "stock",
        "Cut from",
        Sort.TEXT,
        required=False,
        hint=f"{HOW_BARS}, such as “{{example}}”; empty: from the stockroom",
        lines=6,
        longest=4000,
    ),
    Field("kerf", "Kerf", required=False, zero=True, hint="Empty: the rules' own"),
    Field(
        "trim", "Trim", required=False, zero=True, hint="What comes off every end or edge; empty: the rules' own"
    ),
    Field(
        "least_offcut",
        "Least offcut to keep",
        required=False,
        zero=True,
        hint="Of a sheet, its shorter side; empty: the rules' own",
    ),
    Field(
        "nested",
        "Mitred pieces tip to tip",
        Sort.YES_NO,
        options=(("no", "no, as they are long"), ("yes", "yes, the stock is turned over after every cut")),
        required=False,
        hint="Only where all are mitred alike and nothing is run along the wood",
    ),
)
Wood = Annotated[str, Query(max_length=200)]


@dataclass(frozen=True, slots=True)
class CuttingStockPage:
    """The form of what a wood is cut from; ``sheets``: it comes in sheets."""

    head: ProjectHead
    form: Filled
    item: str
    sheets: bool
    hint: str


@router.get(urls.cutting_stock)
def edit(request: Request, project_id: RowId, item: Wood) -> HTMLResponse:
    """The form with what the project says of the wood already."""
    project = plan_soon(request.app.state.store, project_id)
    _sheets(request.app.state.store, project, item)
    return _page(request, project, item, _shown(request, project, item))


@router.post(urls.cutting_stock)
def change(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Keep what was typed, and go back to the plan."""
    try:
        return _change(request, project_id, form)
    except TakesLong as late:
        return begun_first(request, late, urls.cutting_stock(project_id, item=form.text("item")))


def _change(request: Request, project_id: int, form: OnceForm) -> Response:
    store, item = request.app.state.store, form.text("item")
    project = plan_soon(store, project_id)
    sheets = _sheets(request.app.state.store, project, item)
    typed = sent(STOCK, _plain(project), form, edits=True)

    def save() -> str:
        wood = _wood(typed.values(), item, sheets=sheets)
        keep_stock(store, form.sending, project_id, typed.version or 0, item, wood)
        return urls.cutting(project_id)

    return saved(
        request,
        typed,
        save,
        lambda again, status: _page(request, project, item, again, status=status),
        stored=lambda: _shown(request, plan_soon(store, project_id), item).texts,
    )


def _wood(values: Values, item: str, *, sheets: bool) -> WoodToCut | None:
    """What the form says; None where it says nothing, and the wood is the stockroom's."""
    text, plain = values.filled.texts.get("stock", ""), values.filled.plain
    try:
        stock = tuple(read_stock_lines(text, plain, sheets=sheets))
    except Refused as refusal:
        values.refuse("stock", str(refusal))
        stock = ()
    values.check()
    said = {name: values[name] for name in ("kerf", "trim", "least_offcut") if values[name] is not None}
    said |= {"nested": True} if values["nested"] else {}
    return values.made(WoodToCut, {"item": item, "stock": stock, **said}) if stock or said else None


def _sheets(store: Store, project: PlannedProject, item: str) -> bool:
    """Whether the wood comes in sheets. Raises NotFound for one that the project has no part of."""
    request = asked_of_projects(store, [project]).request
    if any(each.item == item for each in request.sheets):
        return True
    if any(each.item == item for each in request.bars):
        return False
    raise NotFound("wood", item)


def _plain(project: PlannedProject) -> Plain:
    return Plain(project.head.units, project.bench.prices.currency)


def _shown(request: Request, project: PlannedProject, item: str) -> Filled:
    wood, plain = wood_of(request.app.state.store, project.head.id, item), _plain(project)
    return Filled(STOCK, plain, stock_texts(wood, plain), project.head.version)


def stock_texts(wood: WoodToCut | None, plain: Plain) -> dict[str, str]:
    """The form's texts for what is said of a wood."""
    texts = value_texts(STOCK.fields, _Said(wood), plain)
    return texts | {"stock": "" if wood is None else stock_lines(wood.stock, plain)}


class _Said:
    """What the fields show of a wood: blank where nothing is said of it."""

    def __init__(self, wood: WoodToCut | None) -> None:
        self.stock = None
        self.kerf = wood and wood.kerf
        self.trim = wood and wood.trim
        self.least_offcut = wood and wood.least_offcut
        self.nested = bool(wood and wood.nested)


def _page(
    request: Request, project: PlannedProject, item: str, form: Filled, *, status: int = 200
) -> HTMLResponse:
    sheets = _sheets(request.app.state.store, project, item)
    how, example = (HOW_SHEETS, "2400 × 1200 at 64.50") if sheets else (HOW_BARS, "2500 at 16.40")
    return render(
        request,
        "timber/cutting_stock.html",
        CuttingStockPage(project.head, form, item, sheets, f"{how}: “{example}”. Empty: from the stockroom"),
        status=status,
        headers=MAIN_ONLY,
        units=project.head.units,
    )
