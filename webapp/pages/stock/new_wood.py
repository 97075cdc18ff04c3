"""A form that puts wood into the stockroom: what it is, its sizes in the shop's units, and how much there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item, ItemKind, parse_item
from domain.problems import BadInput, Refused
from webapp.form.fields import A_LENGTH, Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.usecases.stockroom import StockNow, keep, stock_now
from webapp.wording.amounts import parse_amount

router = APIRouter(include_in_schema=False)

WOODS = {
    ItemKind.BAR: "Bars",
    ItemKind.SHEET: "Sheets",
    ItemKind.BOARD: "Boards by volume",
    ItemKind.STRIP: "Strips by length",
}
_SIZES = {
    ItemKind.BAR: ("thickness", "width", "length"),
    ItemKind.SHEET: ("thickness", "width", "length"),
    ItemKind.BOARD: ("thickness",),
    ItemKind.STRIP: ("thickness", "width"),
}
_LEFT_EMPTY = {
    ("width", ItemKind.BOARD): "boards are of random width; leave it empty",
    ("length", ItemKind.BOARD): "boards are counted by volume; leave it empty",
    ("length", ItemKind.STRIP): "what is sold by the metre has no length of its own; leave it empty",
}
FORM = form_of(
    Field("kind", "What it is", Sort.CHOICE, start="bar", options=tuple((k.value, w) for k, w in WOODS.items())),
    Field(
        "material",
        "Wood",
        Sort.TEXT,
        hint="As projects and parts lists call it.",
        needed="say which wood, such as plum or birch plywood",
        suggest="known-woods",
        longest=60,
    ),
    Field("thickness", "Thickness", needed=A_LENGTH, zero=False, hint="Boards: rough, as sold."),
    Field("width", "Width", required=False, zero=False, hint="Not of boards. Of a sheet, across its grain."),
    Field("length", "Length", required=False, zero=False, hint="Of bars and sheets. Of a sheet, along its grain."),
    Field(
        "quantity",
        "How much",
        Sort.TEXT,
        required=False,
        hint="Pieces; of boards such as 0.12 m³ or 51 bd ft, of strips 12.5 m.",
        longest=30,
    ),
    Field("note", "Note", Sort.TEXT, required=False, longest=500),
    at={"quantity": "quantity", "item": "material", "name": "material"},
)


@dataclass(frozen=True, slots=True)
class NewWoodPage:
    """The form; ``woods`` are the materials that the stockroom has already."""

    form: Filled
    woods: Sequence[str]


@router.get(urls.new_wood)
def new(request: Request) -> HTMLResponse:
    """An empty form."""
    now = stock_now(request.app.state.store)
    return _page(request, now, blank(FORM, Plain(units=now.units)))


@router.post(urls.new_wood)
def add(request: Request, form: OnceForm) -> Response:
    """Put the wood into the stockroom, and book what there is of it as received."""
    store = request.app.state.store
    now = stock_now(store)
    typed = sent(FORM, Plain(units=now.units), form)

    def save() -> str:
        values = typed.values()
        item, quantity = wood_item(values), values["quantity"] or ""
        item_id, booked = keep(store, form.sending, item, _counted(values, quantity, item), values["note"] or "")
        return urls.stock_item(item_id, booked=booked)

    return saved(request, typed, save, lambda form, status: _page(request, now, form, status=status))


def _counted(values: Values, text: str, item: Item) -> int:
    """How much there is; 0 where nothing was typed."""
    try:
        count = parse_amount(text, item.unit) if text else 0
    except Refused as refused:
        values.refuse("quantity", str(refused))
        count = 0
    values.check()
    return count


def wood_item(values: Values) -> Item:
    """The wood that was typed. Raises Unusable with every error of the form."""
    if values["kind"] not in list(WOODS):
        values.refuse("kind", "choose what it is")
        values.check()
    kind = ItemKind(values["kind"])
    sizes: dict[str, Any] = {name: values[name] for name in ("thickness", "width", "length")}
    for name, size in sizes.items():
        wanted = name in _SIZES[kind]
        if wanted and size is None and name not in values.errors:
            values.refuse(name, A_LENGTH)
        elif size is not None and not wanted:
            values.refuse(name, _LEFT_EMPTY[name, kind])
    values.check()
    item = _made(kind, " ".join(values["material"].split()), sizes)
    if not _leads_back(item):
        values.refuse("material", "must be a name without sizes, such as plum or birch plywood")
    values.check()
    return item


def _leads_back(item: Item) -> bool:
    try:
        return parse_item(item.name) == item
    except BadInput:
        return False


def _made(kind: ItemKind, material: str, sizes: dict[str, Any]) -> Item:
    thickness, width, length = sizes.values()
    match kind:
        case ItemKind.BAR:
            return Item.bar(material, width, thickness, length)
        case ItemKind.SHEET:
            return Item.sheet(material, thickness, length, width)
        case ItemKind.BOARD:
            return Item.board(material, thickness)
        case _:
            return Item.strip(material, width, thickness)


def _page(request: Request, now: StockNow, form: Filled, *, status: int = 200) -> HTMLResponse:
    woods = sorted({each.item.material for each in now.balances if each.item.is_wood})
    return render(
        request, "stock/new_wood.html", NewWoodPage(form, woods), status=status, headers=MAIN_ONLY, units=now.units
    )
