"""Projects as they go to the machine: one or several on a set-up sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet
from domain.machine.work_time import WorkTime, work_time
from domain.spec.rules import ChangeMinutes
from domain.takeoff.takeoff import Takeoff
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.usecases.apart import Step, Told
from webapp.usecases.kept import Kept
from webapp.usecases.long_work import LongWork, TakesLong
from webapp.usecases.projects import PlannedProject, plan, plan_all_soon
from webapp.usecases.shop import project_heads, the_shop


@dataclass(frozen=True, slots=True)
class Timed:
    """A project on a sheet, and the time that it takes by itself."""

    source: Source
    time: WorkTime


@dataclass(frozen=True, slots=True)
class AtTheMachine:
    """What goes to the machine together: the sheet, and its projects by themselves."""

    sheet: Sheet
    projects: tuple[Timed, ...]


SOON = 500
"""Assemblies whose set-ups are found in about a second; the time grows with their square."""
_SHEETS: Kept[AtTheMachine] = Kept(8)


def source_of(project: PlannedProject) -> Source:
    """The planned project as it comes to the machine; an assembly whose sizes clash does not."""
    good = tuple(each.takeoff for each in project.assemblies if each.takeoff is not None)
    takeoff = Takeoff(project.head.name, good, project.totals, project.notes)
    return Source(str(project.head.id), takeoff, project.rules)


def at_the_machine(sources: Sequence[Source], change_minutes: ChangeMinutes) -> AtTheMachine:
    """These projects on one sheet; ``change_minutes`` are those of the machine that they go to."""
    sheet = set_up_sheet(sources, change_minutes)
    alone = sheet if len(sources) == 1 else None
    return AtTheMachine(sheet, tuple(Timed(source, work_time(source, alone)) for source in sources))


def at_the_machine_soon(projects: Sequence[PlannedProject], change_minutes: ChangeMinutes) -> AtTheMachine:
    """The same for somebody who waits. Raises TakesLong where so much goes to the machine that it takes long."""
    sources = tuple(source_of(project) for project in projects)
    if not _takes_long(projects):
        return at_the_machine(sources, change_minutes)
    key = tuple(project.bench.edition for project in projects), change_minutes
    found = _SHEETS.get(key)
    if found is None:

        def keep(result: object) -> None:
            _SHEETS.put(key, cast(AtTheMachine, result))

        raise TakesLong(LongWork("Set-up sheet", _set_up_apart, (sources, change_minutes), keep, ("set-ups", key)))
    return found


def sheet_soon(projects: Sequence[PlannedProject], change_minutes: ChangeMinutes) -> Sheet:
    """Their sheet alone. Raises as ``at_the_machine_soon``."""
    if _takes_long(projects):
        return at_the_machine_soon(projects, change_minutes).sheet
    return set_up_sheet([source_of(project) for project in projects], change_minutes)


def _takes_long(projects: Sequence[PlannedProject]) -> bool:
    return sum(len(project.assemblies) for project in projects) > SOON


def _set_up_apart(told: Told, sources: Sequence[Source], change_minutes: ChangeMinutes) -> AtTheMachine:
    told(Step(0, 0, "Set-up sheet"))
    return at_the_machine(sources, change_minutes)


def choose_soon(store: Store, numbers: Sequence[int]) -> tuple[tuple[PlannedProject, ...], ChangeMinutes]:
    """As ``choose``, for somebody who waits. Raises BadInput and TakesLong too."""
    return plan_all_soon(store, numbers), the_shop(store).rules.change_minutes


def choose(store: Store, numbers: Sequence[int]) -> tuple[tuple[PlannedProject, ...], ChangeMinutes]:
    """These projects planned, and the shop's own minutes. Raises NotFound or Unreadable."""
    return tuple(plan(store, number) for number in numbers), the_shop(store).rules.change_minutes


def choosable(store: Store) -> tuple[ProjectHead, ...]:
    """Every project that has an assembly and is not put away, the one changed last first."""
    return tuple(head for head in project_heads(store) if head.assemblies and head.put_away is None)
