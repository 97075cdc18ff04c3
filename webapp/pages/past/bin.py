"""The bin: what was deleted, for thirty days; and the button that undoes what a form changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import environment, go_to, render
from webapp.store.past import Doing
from webapp.store.past_reading import Edit
from webapp.store.past_upkeep import BIN_KEPT
from webapp.usecases import past
from webapp.wording.backups import moment_words
from webapp.wording.past import called, edit_words

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
    rows = tuple(
        BinRow(
            row=each.row,
            name=called(each.table, each.line),
            of="" if each.owner is None else called(each.kind, each.owner),
            when=moment_words(each.at),
            until=moment_words(each.at + BIN_KEPT)[:10],
            device=each.device,
        )
        for each in past.bin_of(request.app.state.store)
    )
    return render(request, "past/bin.html", BinPage(rows))


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
    edit = past.edit_of_form(request.app.state.store, token)
    if edit is None or edit.doing is Doing.FOUND or not edit.changed:
        return ""
    template = environment().get_template("past/_undo_offer.html")
    said = words_of(edit)
    more = max(len(said) - MOST_SAID, 0)
    return template.render(edit=edit, said=said[:MOST_SAID], more=more, binned=_binned(edit), token=new_token())


def words_of(edit: Edit) -> tuple[str, ...]:
    """What an edit changed, in words. With a whole, all that belonged to it went: it alone is told."""
    gone = {(each.kind, each.number) for each in edit.changed if each.after is None and each.table == each.kind}
    return edit_words(
        [
            (each.table, each.before, each.after)
            for each in edit.changed
            if (each.kind, each.number) not in gone or each.table == each.kind
        ]
    )


def _binned(edit: Edit) -> bool:
    return any(each.after is None and each.table in {each.kind, "assembly"} for each in edit.changed)
