"""Cutting plans kept for the next time, and plans that take their time.

A plan is pure: the same wood with the same pieces gives the same plan. So each wood's plan is kept by what was
asked. The search may take many seconds; pages ask for it ``soon`` and go on without it, one search at a time.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

from domain.cut_list.stocked import Stocked
from domain.cutting.request import CuttingRequest
from domain.spec.project import Project
from webapp.usecases.kept import Kept

if TYPE_CHECKING:
    from domain.cutting.document import Cutting
    from domain.cutting.plan import BarPlan, SheetPlan

MOST_KEPT = 2_000
SOON = 3.0
"""Seconds that a page waits for a plan before it is shown without."""

Found = TypeVar("Found")

_PLANS: Kept[BarPlan | SheetPlan] = Kept(MOST_KEPT)
_SEARCHES: dict[str, Future[Cutting]] = {}
_LOCK = Lock()


def plan_now(request: CuttingRequest) -> Cutting:
    """The plan, however long it takes."""
    # the solver is loaded when it is first needed
    from domain.cutting.bars import plan_bars
    from domain.cutting.document import Cutting
    from domain.cutting.sheets import plan_sheets

    return Cutting(
        tuple(_kept(item, plan_bars) for item in request.bars),
        tuple(_kept(item, plan_sheets) for item in request.sheets),
    )


def _kept(item: Any, plan: Callable[[Any], Any]) -> Any:
    key = f"{type(item).__name__} {item.model_dump_json()}"
    found = _PLANS.get(key)
    if found is None:
        found = plan(item)
        _PLANS.put(key, found)
    return found


def plan_soon(request: CuttingRequest, seconds: float = SOON) -> Cutting | None:
    """The plan if it is found so soon; else the search goes on, and whoever asks again gets it."""
    key = request.model_dump_json()
    with _LOCK:
        search = _SEARCHES.get(key)
        new = search is None
        if search is None:
            search = _SEARCHES[key] = _searching().submit(plan_now, request)
    if new:
        # what it found is kept wood by wood: nobody needs the search itself any more
        search.add_done_callback(lambda _: _forget(key))
    try:
        return search.result(seconds)
    except NotYet:
        return None


def _forget(key: str) -> None:
    with _LOCK:
        _SEARCHES.pop(key, None)


@cache
def _searching() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="cutting")


def asked_document(asked: Stocked, cutting: Cutting, project: Project) -> dict[str, Any]:
    """A project's plan as JSON: the plan, what was asked for it, and what is to be said of its woods."""
    from domain.cutting.document import cutting_document

    request = asked.request.model_dump(mode="json", exclude_none=True)
    notes = [remark.text(project.units) for remark in asked.remarks]
    return {**cutting_document(cutting), "project": project.name, "notes": notes, "request": request}
