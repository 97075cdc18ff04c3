"""Papers that take long to set, as tasks to be done apart: a draft, and a whole revision.

How long is known beforehand from measurement, by how many assemblies there are; what is short is set at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from domain.cutting.request import BarItem, CuttingRequest, SheetItem
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet
from domain.machine.work_time import WorkTime
from domain.problems import BadInput
from domain.spec.rules import ChangeMinutes
from webapp.papers.kinds import ISSUED, DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.render import render_set_ups
from webapp.store import Store
from webapp.store.engine import now
from webapp.store.errors import StaleEdit, StoreError
from webapp.store.tokens import Sending
from webapp.usecases import revisions
from webapp.usecases.apart import Step, Told
from webapp.usecases.cutting import cutting_request, draft_of_cutting
from webapp.usecases.cutting_plans import may_take_long
from webapp.usecases.headings import heading_together
from webapp.usecases.jobs import Outcome, Task
from webapp.usecases.projects import PlannedProject
from webapp.usecases.revisions import Asked, Made, NotIssuable, Seen
from webapp.usecases.scales import corrections
from webapp.usecases.set_ups import at_the_machine_soon
from webapp.usecases.snapshots import Sight, look_in

LONG = 2.0
"""Seconds. To begin a process takes one of them."""

SECONDS = {
    DocumentKind.SCHEDULE: 0.1,
    DocumentKind.SET_UPS: 0.04,
    DocumentKind.SETTING_OUT: 0.055,
    DocumentKind.ASSEMBLY: 0.08,
    DocumentKind.MEMBERS: 0.009,
    DocumentKind.KEYS: 0.002,
    DocumentKind.LABELS: 0.15,
    DocumentKind.STRIPS: 0.002,
    DocumentKind.MOVEMENT: 0.015,
}
"""What each takes for an assembly, as measured with 20 and 80 of the demo's; labels for each copy of one."""

MOVED_ON = (
    "Since the page was opened, the project or the shop's catalogue was changed, or another revision was issued. "
    "Look at it again, and issue it if that is what you want on paper."
)
NOT_SET = "Nothing was set: the work ended by itself."


def seconds(sight: Sight, kinds: Iterable[DocumentKind]) -> float:
    """About how long these documents of the project take to set."""
    assemblies = [each.spec for each in sight.whole.assemblies]
    copies = sum(spec.quantity for spec in assemblies)
    times = {kind: copies if kind is DocumentKind.LABELS else len(assemblies) for kind in SECONDS}
    return sum(SECONDS.get(kind, 0.0) * times.get(kind, 0) for kind in kinds)


def draft_task(
    store: Store, project_id: int, kind: DocumentKind, paper: Paper, labels: LabelChoices, name: str, back: str
) -> Task | None:
    """The draft as a task, its file under ``name``; None where it is set at once. Raises NotFound."""
    with store.reading() as session:
        sight, moment = look_in(session, project_id), now(session)
    if kind not in SECONDS or seconds(sight, [kind]) < LONG:
        return None
    return Task(
        f"{kind.heading}, draft",
        back,
        _set_draft,
        (sight, moment, kind, paper, labels),
        _pdf_under(name),
        ("draft", sight.bench.edition, kind, paper, labels),
    )


def cutting_draft(store: Store, project_id: int, paper: Paper, name: str, back: str) -> Task | Callable[[], bytes]:
    """The cutting plan's draft as a task, its file under ``name``; or what sets it at once, where it is soon set.

    Raises NotFound, BadInput or TakesLong.
    """
    asked = cutting_request(store, project_id)
    with store.reading() as session:
        sight, moment = look_in(session, project_id), now(session)
    items: tuple[BarItem | SheetItem, ...] = (*asked.bars, *asked.sheets)
    if not any(map(may_take_long, items)):
        return lambda: draft_of_cutting(sight, moment, asked, paper)
    heading = DocumentKind.CUTTING.heading
    same = "cutting draft", sight.bench.edition, asked.model_dump_json(), paper
    return Task(f"{heading}, draft", back, _set_cutting, (sight, moment, asked, paper), _pdf_under(name), same)


def set_ups_of_several(
    store: Store, projects: Sequence[PlannedProject], change_minutes: ChangeMinutes, paper: Paper, back: str
) -> bytes | Callable[[str], Task]:
    """The set-up sheet of these projects together; or, where it takes long, its task, by its file's name.

    Raises BadInput or TakesLong.
    """
    found = at_the_machine_soon(projects, change_minutes)
    heading = replace(heading_together(store, projects), corrections=corrections(store))
    timed = tuple((each.source, each.time) for each in found.projects)
    kind = DocumentKind.SET_UPS
    assemblies = sum(len(project.assemblies) for project in projects)
    if assemblies * SECONDS[kind] < LONG:
        return render_set_ups(found.sheet, timed, heading, paper)

    def task(name: str) -> Task:
        same = "set-ups together", tuple(project.bench.edition for project in projects), change_minutes, paper
        work = (found.sheet, timed, heading, paper)
        return Task(f"{kind.heading}, draft", back, _set_together, work, _pdf_under(name), same)

    return task


def _pdf_under(name: str) -> Callable[[object], Outcome]:
    def finish(result: object) -> Outcome:
        return Outcome(body=result, name=name) if isinstance(result, bytes) else _refused(result)

    return finish


def issue_task(
    store: Store,
    sent: Sending,
    project_id: int,
    seen: Seen,
    paper: Paper,
    labels: LabelChoices,
    led: Callable[[int], str],
    back: str,
) -> Task | None:
    """The next revision as a task, ``led`` to by its number; None where it is issued at once.

    Nothing is stored before all of it is set: ended on the way, there is no such revision. Raises as ``issue``.
    """
    asked = revisions.ask(store, sent, project_id, seen)
    if isinstance(asked, int) or seconds(asked.sight, ISSUED) < LONG:
        return None

    def finish(result: object) -> Outcome:
        if not isinstance(result, Made):
            return _refused(result)
        try:
            return Outcome(led(revisions.keep(store, sent, project_id, seen, result)))
        except StaleEdit:
            return Outcome(reasons=(MOVED_ON,))
        except StoreError as refusal:
            return Outcome(reasons=(str(refusal),))

    return Task(
        f"Revision {seen.number}",
        back,
        _set_revision,
        (asked, paper, labels),
        finish,
        ("issue", sent.token, sent.fingerprint),
    )


def _refused(result: object) -> Outcome:
    reasons = tuple(map(str, result)) if isinstance(result, tuple) else ()
    return Outcome(reasons=reasons or (NOT_SET,))


def _set_draft(
    told: Told, sight: Sight, moment: datetime, kind: DocumentKind, paper: Paper, labels: LabelChoices
) -> bytes | tuple[str, ...]:
    told(Step(0, 0, kind.heading))
    try:
        return revisions.draft_of(sight, moment, kind, paper, labels=labels)
    except NotIssuable as refusal:
        return refusal.reasons


def _set_together(
    told: Told, sheet: Sheet, timed: Sequence[tuple[Source, WorkTime]], heading: Heading, paper: Paper
) -> bytes | tuple[str, ...]:
    told(Step(0, 0, DocumentKind.SET_UPS.heading))
    try:
        return render_set_ups(sheet, timed, heading, paper)
    except BadInput as refusal:
        return tuple(f"{problem}." for problem in refusal.problems)


def _set_cutting(
    told: Told, sight: Sight, moment: datetime, asked: CuttingRequest, paper: Paper
) -> bytes | tuple[str, ...]:
    told(Step(0, 0, DocumentKind.CUTTING.heading))
    try:
        return draft_of_cutting(sight, moment, asked, paper)
    except NotIssuable as refusal:
        return refusal.reasons


def _set_revision(told: Told, asked: Asked, paper: Paper, labels: LabelChoices) -> Made | tuple[str, ...]:
    kinds = ISSUED

    def next_is(kind: DocumentKind) -> None:
        told(Step(kinds.index(kind), len(kinds), f"the {kind.heading.lower()}"))

    try:
        return revisions.make(asked, paper, labels=labels, begun=next_is)
    except NotIssuable as refusal:
        return refusal.reasons
