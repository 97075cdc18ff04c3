"""A cutting plan booked as cut: its bars and sheets leave the stockroom for the project, useful offcuts come back.

In one transaction, once for each form sent, and only as the plan was shown: where parts or stock changed since, it
is refused with what changed. Wood that the project names itself is none of the stockroom's and is not booked.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting
from domain.cutting.laid import laid_bar
from domain.cutting.request import BarItem, SheetItem
from domain.cutting.sawing import sawn_sheet, worth_keeping
from domain.lengths import NM_PER_MM, Length
from domain.ordering.items import Item, ItemKind, wood_of
from webapp.store import Store, ledger
from webapp.store.balances import balances, claims_of
from webapp.store.projects import load_project
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once
from webapp.usecases.cutting import asked_in, asked_of_projects
from webapp.usecases.cutting_plans import plan_now
from webapp.usecases.cutting_plans import plan_soon as plan_cuts_soon
from webapp.usecases.projects import plan_soon

NOTE = "cut for it"


class StalePlan(Exception):
    """The plan is not the one that was shown: ``changed`` has a sentence for each wood that differs."""

    def __init__(self, changed: tuple[str, ...]) -> None:
        self.changed = changed
        super().__init__(" ".join(changed))


@dataclass(frozen=True, slots=True)
class Taken:
    """What a plan takes out of the stockroom, and the offcuts that it puts back."""

    used: Mapping[Item, int]
    offcuts: Mapping[Item, int]


def seen_of(asked: Stocked) -> str:
    """What a form carries of the plan that was shown: every wood, with marks of its pieces and its stock.

    Wood by wood, so that what changed since can be named.
    """
    return json.dumps([[item.item, _mark(item, pieces=True), _mark(item, pieces=False)] for item in _items(asked)])


def changed_since(seen: str, asked: Stocked) -> Iterator[str]:
    """A sentence for each wood that is not as it was seen."""
    before = _read(seen)
    for item in _items(asked):
        pieces, stock = before.pop(item.item, ("", ""))
        if not pieces:
            yield f"{item.item} is new in the plan."
        elif pieces != _mark(item, pieces=True):
            yield f"The pieces of {item.item} have changed."
        elif stock != _mark(item, pieces=False):
            yield f"What {item.item} is cut from has changed."
    yield from (f"{name} is no longer in the plan." for name in before)


def _read(seen: str) -> dict[str, tuple[str, str]]:
    """What a form carried; nothing where it carried something else."""
    try:
        return {str(name): (str(pieces), str(stock)) for name, pieces, stock in json.loads(seen)}
    except (ValueError, TypeError):
        return {}


def taken_in(session: Session, asked: Stocked, cutting: Cutting) -> Taken:
    """The stockroom's bars and sheets that a plan uses, and the offcuts that are kept."""
    stock = [balance.item for balance in balances(session)]
    used, offcuts = Counter[Item](), Counter[Item]()
    for bar, plan_of_bars in zip(asked.request.bars, cutting.bars, strict=True):
        for cut in plan_of_bars.cuts if bar.item in asked.shops else ():
            item = _item(stock, ItemKind.BAR, bar.item, bar.stock[cut.stock].length)
            laid = laid_bar(bar, cut)
            used[item] += cut.times
            left = _whole_mm(laid.offcut)
            if laid.kept and left.nm and bar.least_offcut.nm:
                offcuts[Item.bar(item.material, _side(item.width), _side(item.thickness), left)] += cut.times
    for sheet, plan_of_sheets in zip(asked.request.sheets, cutting.sheets, strict=True):
        for layout in plan_of_sheets.cuts if sheet.item in asked.shops else ():
            sold = sheet.stock[layout.stock]
            item = _item(stock, ItemKind.SHEET, sheet.item, sold.length, sold.width)
            used[item] += layout.times
            kept = worth_keeping(sawn_sheet(sheet, layout).offcuts, sheet.least_offcut)
            for part in kept if sheet.least_offcut.nm else ():
                size = _whole_mm(part.length), _whole_mm(part.width)
                offcuts[Item.sheet(item.material, _side(item.thickness), *size)] += layout.times
    return Taken(used, offcuts)


def taken(store: Store, project_id: int, asked: Stocked, cutting: Cutting) -> tuple[Taken, Mapping[Item, int]]:
    """What booking a project's plan would take and put back; and the wood that was booked for it before."""
    with store.reading() as session:
        claims = claims_of(session, project_id)
        before = {item: claim.used for item, claim in claims.items() if item.is_wood and claim.used}
        return taken_in(session, asked, cutting), before


def book_as_cut(store: Store, sent: Sending, project_id: int, seen: str) -> Numbers:
    """Take the plan's wood from the stockroom and put its offcuts there, once for each form sent.

    Returns the movements' numbers. Raises NotFound, StalePlan, TakesLong, or NotEnough where what
    is bought has not come.
    """
    project = plan_soon(store, project_id)
    # the search is long, and nobody else may write meanwhile: what it found is kept, and asked for again below
    plan_cuts_soon(asked_of_projects(store, [project]).request)

    def act(session: Session) -> Iterator[int]:
        if load_project(session, project_id).head.version != project.head.version:
            raise StalePlan(("The project has changed.",))
        asked = asked_in(session, [project])
        changed = tuple(changed_since(seen, asked))
        if changed:
            raise StalePlan(changed)
        found = taken_in(session, asked, plan_now(asked.request))
        for item, count in found.used.items():
            yield ledger.use(session, project_id, item, count, NOTE)
        for item, count in found.offcuts.items():
            yield ledger.receive(session, item, count, f"offcut of {project.head.name}")

    return book_once(store, sent, act)


def _items(asked: Stocked) -> tuple[BarItem | SheetItem, ...]:
    return (*asked.request.bars, *asked.request.sheets)


def _mark(item: BarItem | SheetItem, *, pieces: bool) -> str:
    """A short mark of an item's pieces, or of all else that its plan rests on."""
    parts = {"pieces", "matched", "nest_width"}
    text = item.model_dump_json(include=parts) if pieces else item.model_dump_json(exclude=parts)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _item(stock: list[Item], kind: ItemKind, name: str, length: Length, width: Length | None = None) -> Item:
    """The stockroom's item of a wood by its name on the cut list, in that size."""
    wood = wood_of(name)
    return next(
        item
        for item in stock
        if item.kind is kind
        and item.wood_key == wood
        and item.size == length
        and (width is None or item.width == width)
    )


def _side(length: Length | None) -> Length:
    """A side that bars and sheets have."""
    assert length is not None
    return length


def _whole_mm(length: Length) -> Length:
    """No more than there is, in whole millimetres: an offcut's name is written on it by hand."""
    return Length(length.nm // NM_PER_MM * NM_PER_MM)
