"""What stored projects are cut from: their parts with their own stock, or what the stockroom has and can buy."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlmodel import Session

from domain.cut_list.listing import cut_list
from domain.cut_list.of_file import woods_of
from domain.cut_list.stocked import ShopStock, Stocked, stocked
from domain.cutting.request import CuttingRequest
from domain.spec.project import Project
from domain.spec.wood import WoodToCut
from domain.takeoff.takeoff import Takeoff
from domain.timber.item_names import item_key
from webapp.papers.kinds import DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.render import render
from webapp.store import Store
from webapp.store import projects as stored
from webapp.store.tokens import Sending
from webapp.usecases.booking import change_once
from webapp.usecases.parts_list import job_of
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.revisions import draft_of
from webapp.usecases.snapshots import Sight
from webapp.usecases.wood_stock import wood_stock_in


def asked_of_projects(store: Store, projects: Sequence[PlannedProject]) -> Stocked:
    """The parts of these projects with what they may be cut from: their own stock, else the stockroom's.

    Raises BadInput for more pieces than are planned in one go.
    """
    with store.reading() as session:
        return asked_in(session, projects)


def asked_in(session: Session, projects: Sequence[PlannedProject]) -> Stocked:
    """The same, as the session sees the stockroom."""
    whole = [stored.load_project(session, project.head.id).project for project in projects]
    listed = cut_list([job_of(project) for project in projects])
    numbers = frozenset(project.head.id for project in projects)
    shop = wood_stock_in(session, [group.item for group in listed.groups], numbers)
    return stocked(listed, [each.stock for each in whole], shop.currency, ShopStock(shop.bars, shop.sheets))


def cutting_request(store: Store, project_id: int) -> CuttingRequest:
    """What the cutting page asks for a project. Raises NotFound, BadInput or TakesLong."""
    return asked_of_projects(store, [plan_soon(store, project_id)]).request


def draft_of_cutting(sight: Sight, moment: datetime, asked: CuttingRequest, paper: Paper) -> bytes:
    """The cutting plan as the page has it, as a draft on paper; it needs no store. Raises NotIssuable."""
    seen = {"stock": woods_of(asked) or None, "currency": asked.currency}

    def render_seen(
        kind: DocumentKind,
        project: Project,
        takeoff: Takeoff,
        heading: Heading,
        paper: Paper,
        labels: LabelChoices,
    ) -> bytes:
        return render(kind, project.model_copy(update=seen), takeoff, heading, paper, labels)

    return draft_of(sight, moment, DocumentKind.CUTTING, paper, render_seen)


def keep_stock(
    store: Store, sent: Sending, project_id: int, version: int, item: str | None, wood: WoodToCut | None
) -> None:
    """Say what a wood of the project, or with None every other, is cut from; no ``wood``: the stockroom's again.

    Once for each form sent. Raises NotFound or StaleEdit.
    """

    def act(session: Session) -> None:
        now = stored.load_project(session, project_id).project.stock or ()
        kept = [each for each in now if not _same(each.item, item)]
        woods = [*kept, *(() if wood is None else (wood,))]
        stored.update_stock(session, project_id, version, woods or None)

    change_once(store, sent, act)


def wood_of(store: Store, project_id: int, item: str | None) -> WoodToCut | None:
    """What a project says of a wood by its name; None where it says nothing of it. Raises NotFound."""
    with store.reading() as session:
        woods = stored.load_project(session, project_id).project.stock or ()
    return next((each for each in woods if _same(each.item, item)), None)


def _same(one: str | None, other: str | None) -> bool:
    return one is other is None or (one is not None and other is not None and item_key(one) == item_key(other))
