"""The bin: what was deleted, for thirty days; and the button that undoes what a form changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from webapp.form.carried import new_token
from webapp.form.fields import Plain
from webapp.pages.past.told import plain_of, told
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import environment, go_to, render
from webapp.store.past import Doing
from webapp.store.past_reading import Binned, Changed, Edit
from webapp.store.past_upkeep import BIN_KEPT
from webapp.usecases import past
from webapp.usecases.past_values import values_of
from webapp.usecases.shop import the_shop
from webapp.wording.backups import moment_words
from webapp.wording.past import called

router = APIRouter(include_in_schema=False)

MOST_SAID = 3
"""So many sentences tell what a form changed; a history tells all."""
_PLACES: Mapping[str, Callable[[int], str]] = {
    "project": urls.project,
    "section": lambda number: urls.catalogue(at=f"section-{number}"),
    "plug": lambda number: urls.catalogue(at="plugs"),
    "shop": lambda number: urls.rules(),
    "item": urls.stock_item,
    "supplier": urls.supplier,
    "offer": urls.offer,
    "moulding": lambda number: urls.mouldings(),
    "pattern": lambda number: urls.kept_patterns(at=f"pattern-{number}"),
}


@dataclass(frozen=True, slots=True)
class BinRow:
    """Something in the bin, in words."""

    row: int
    name: str
    of: str
    when: str
    until: str
    device: str


@dataclass(frozen=True, slots=True)
class BinPage:
    """What lies in the bin; each of its buttons has a token of its own."""

    rows: tuple[BinRow, ...]


@router.get(urls.the_bin)
def show(request: Request) -> HTMLResponse:
    """What was deleted and can be brought back."""
    store = request.app.state.store
    units = the_shop(store).units
    return render(request, "past/bin.html", BinPage(tuple(_row(each, units) for each in past.bin_of(store))))


def _row(binned: Binned, units: Units) -> BinRow:
    owner = binned.owner
    return BinRow(
        row=binned.row,
        name=called(binned.table, values_of(binned.table, binned.line), units),
        of="" if owner is None else called(binned.kind, values_of(binned.kind, owner), units),
        when=moment_words(binned.at),
        until=moment_words(binned.at + BIN_KEPT)[:10],
        device=binned.device,
    )


@router.get(urls.empty_bin)
def ask_empty(request: Request) -> HTMLResponse:
    """Ask before the bin is emptied."""
    count = len(past.bin_of(request.app.state.store))
    return render(request, "past/empty.html", EmptyPage(count))


@dataclass(frozen=True, slots=True)
class EmptyPage:
    """The question before the bin is emptied of so many things."""

    count: int


@router.post(urls.empty_bin)
def empty(request: Request, sent: OnceForm) -> Response:
    """Let go of what lies in the bin."""
    past.empty(request.app.state.store, sent.sending)
    return go_to(request, urls.the_bin())


@router.post(urls.out_of_bin)
def bring_back(request: Request, row: RowId, sent: OnceForm) -> Response:
    """Take something out of the bin and go to it."""
    return go_to(request, page_of(past.bring_back(request.app.state.store, sent.sending, row)))


@router.post(urls.undo_edit)
def undo(request: Request, edit: RowId, sent: OnceForm) -> Response:
    """Undo an edit and go to what it was about."""
    return go_to(request, page_of(past.undo_edit(request.app.state.store, sent.sending, edit)))


def page_of(numbers: tuple[int, ...]) -> str:
    """Where a thing is looked at; the projects where a project is gone again, for it lies in the bin."""
    kind, number = past.thing(numbers)
    return _PLACES[kind](number) if number else urls.projects()


def undo_offered(request: Request, token: str) -> str:
    """What the form of that token changed, beside the button that undoes it; "" where it changed nothing kept."""
    store = request.app.state.store
    found = past.edit_of_form(store, token)
    if found is None or found.edit.doing is Doing.FOUND or not found.edit.changed:
        return ""
    edit, shop = found.edit, the_shop(store)
    template = environment().get_template("past/_undo_offer.html")
    said = words_of(edit, lambda changed: plain_of(found.heads.get((changed.kind, changed.number)), shop))
    more = max(len(said) - MOST_SAID, 0)
    return template.render(edit=edit, said=said[:MOST_SAID], more=more, binned=_binned(edit), token=new_token())


def words_of(edit: Edit, plain: Callable[[Changed], Plain]) -> tuple[str, ...]:
    """What an edit changed, in words, figures as ``plain`` says of each row.

    With a whole, all that belonged to it went: it alone is told.
    """
    gone = {(each.kind, each.number) for each in edit.changed if each.after is None and each.table == each.kind}
    rows = [each for each in edit.changed if (each.kind, each.number) not in gone or each.table == each.kind]
    return told((each, plain(each)) for each in rows)


def _binned(edit: Edit) -> bool:
    return any(each.after is None and each.table in {each.kind, "assembly"} for each in edit.changed)
