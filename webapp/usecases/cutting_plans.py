"""Cutting plans kept for the next time, and plans that take their time.

A plan is pure: the same wood with the same pieces gives the same plan. So each wood's plan is kept by what was
asked. The search may take many seconds: whoever waits asks for it ``soon``, and has it done apart where it may.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, cast

from domain.cut_list.stocked import Stocked
from domain.cutting.request import BarItem, CuttingRequest, SheetItem
from domain.spec.project import Project
from webapp.usecases.apart import Step, Told
from webapp.usecases.kept import Kept
from webapp.usecases.long_work import LongWork, TakesLong

if TYPE_CHECKING:
    from domain.cutting.document import Cutting
    from domain.cutting.plan import BarPlan, SheetPlan

MOST_KEPT = 2_000
FEW_BARS, FEW_SHEETS = 12, 20
"""Different sizes of pieces whose plan is found soon."""

_PLANS: Kept[BarPlan | SheetPlan] = Kept(MOST_KEPT)


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
    found = _PLANS.get(_key(item))
    if found is None:
        found = plan(item)
        _PLANS.put(_key(item), found)
    return found


def _key(item: BarItem | SheetItem) -> str:
    return f"{type(item).__name__} {item.model_dump_json()}"


def plan_soon(request: CuttingRequest) -> Cutting:
    """The plan, for somebody who waits. Raises TakesLong where some of it is not kept and may take long."""
    items: tuple[BarItem | SheetItem, ...] = (*request.bars, *request.sheets)
    wanted = tuple(item for item in items if may_take_long(item) and _PLANS.get(_key(item)) is None)
    if wanted:

        def keep(result: object) -> None:
            for item, plan in zip(wanted, cast("list[BarPlan | SheetPlan]", result), strict=True):
                _PLANS.put(_key(item), plan)

        title = f"Cutting plan of {wanted[0].item if len(wanted) == 1 else f'{len(wanted)} woods'}"
        raise TakesLong(LongWork(title, plan_apart, (wanted,), keep, ("cutting", tuple(map(_key, wanted)))))
    return plan_now(request)


def may_take_long(item: BarItem | SheetItem) -> bool:
    """Whether its plan may take longer than somebody waits: nobody knows before it is found.

    As measured: below so many sizes all plans took less than a second, above some took a quarter of a minute.
    """
    return bool(item.stock) and len(item.pieces) > (FEW_SHEETS if isinstance(item, SheetItem) else FEW_BARS)


def plan_apart(told: Told, items: Sequence[BarItem | SheetItem]) -> list[BarPlan | SheetPlan]:
    """The plans of these woods, in a process of its own."""
    from domain.cutting.bars import plan_bars
    from domain.cutting.sheets import plan_sheets

    found: list[BarPlan | SheetPlan] = []
    for number, item in enumerate(items):
        told(Step(number, len(items), item.item, "woods planned"))
        found.append(plan_sheets(item) if isinstance(item, SheetItem) else plan_bars(item))
    return found


def asked_document(asked: Stocked, cutting: Cutting, project: Project) -> dict[str, Any]:
    """A project's plan as JSON: the plan, what was asked for it, and what is to be said of its woods."""
    from domain.cutting.document import cutting_document

    request = asked.request.model_dump(mode="json", exclude_none=True)
    notes = [remark.text(project.units) for remark in asked.remarks]
    return {**cutting_document(cutting), "project": project.name, "notes": notes, "request": request}
