"""The joint schedule: every joint of a project with its slots, its drawing, and why it came out so."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from domain.lengths import Length, Units
from domain.planning.plans import Alternative, JointPlan, SectionPlan
from domain.spec.assemblies import Assembly
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.face import draw_face
from webapp.drawings.fit import draw_fit, section_index
from webapp.drawings.model import Drawing
from webapp.drawings.pictorial import pictorials
from webapp.drawings.through import draw_sections
from webapp.pages.projects.assembly_pages import DRAWN, Asked, AssemblyPages, Of, Shown, page_of
from webapp.pages.projects.photographs import ShownPhotograph, photographs_by_mark
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store.photographs import Photograph
from webapp.store.projects import ProjectHead
from webapp.usecases.advised import with_advice
from webapp.usecases.json_text import sent_changes
from webapp.usecases.photographs import photographs_of
from webapp.usecases.projects import PlannedAssembly, PlannedProject, Prices, plan_soon
from webapp.wording.facts import Fact
from webapp.wording.job import due_line
from webapp.wording.joint import (
    AlternativeWords,
    JointWords,
    MadeWords,
    alternative_words,
    change_made,
    joint_words,
)
from webapp.wording.money import format_money
from webapp.wording.parts import PartWords, part_words
from webapp.wording.words import notes_text, sizes

router = APIRouter(include_in_schema=False)

Facts = tuple[tuple[Fact, str], ...]
"""Figures by their names."""


@dataclass(frozen=True, slots=True)
class AlternativeRow:
    """A section for a joint with the ``price`` of all the joint's keys, "" where a price is missing."""

    words: AlternativeWords
    price: str


@dataclass(frozen=True, slots=True)
class JointCard:
    """A joint on the schedule: its words, its facts as a list, and its drawings."""

    words: JointWords
    facts: Facts
    drawing: Drawing
    fit: Drawing | None
    alternatives: tuple[AlternativeRow, ...]
    priced: bool


@dataclass(frozen=True, slots=True)
class AssemblyPart:
    """An assembly on the schedule: its parts and joints, or the problems that keep it from having any.

    ``pictures`` show it in elevation and section, put together and taken apart. ``version`` is what a change of it
    carries.
    """

    id: int
    version: int
    mark: str
    name: str
    quantity: int
    sizes: str
    parts: tuple[PartWords, ...]
    joints: tuple[JointCard, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]
    pictures: tuple[Drawing, ...]

    @property
    def mitred(self) -> bool:
        """Whether any member's ends are not square."""
        return any(part.shape for part in self.parts)


@dataclass(frozen=True, slots=True)
class Done:
    """A change that was carried out a moment ago: of which joint, what it is now, and what takes it back.

    ``of_rules``: the project's rules were changed, not the assembly.
    """

    joint: str
    made: bool
    says: str
    part: AssemblyPart
    back: str
    of_rules: bool


@dataclass(frozen=True, slots=True)
class SchedulePage:
    """A project's assemblies with all their joints; ``done`` is what was just changed in one of them.

    ``pages`` is where a large project's other assemblies are. ``noted`` is what somebody noted at an assembly or a
    joint, ``photographs`` what was taken of them, by its mark. ``due`` says when the project is due.
    """

    head: ProjectHead
    assemblies: Sequence[AssemblyPart]
    pages: AssemblyPages | None
    notes: Sequence[str]
    done: Done | None
    noted: Mapping[str, str]
    photographs: Mapping[str, Sequence[ShownPhotograph]]
    due: str
    note_on_project: str


@router.get(urls.schedule)
def show(
    request: Request,
    project_id: RowId,
    of: Of = "",
    part: Of = "",
    changed: Shown = 0,
    joint: str = "",
    back: str = "",
) -> Response:
    """The joint schedule, a large project's in pages; after a change, with what was changed and a way back."""
    store, asked = request.app.state.store, Asked(DRAWN, of, changed)
    if part:
        return RedirectResponse(_of_part(plan_soon(store, project_id), part), status_code=303)
    photographs = photographs_of(store, project_id)
    if back:
        project = plan_soon(store, project_id)
        return _show(
            request, project, asked, photographs, lambda parts: _done(project, parts, changed, joint, back)
        )
    return kept_page(
        request,
        project_id,
        lambda project: _show(request, project, asked, photographs),
        also=photographs,
        asked=asked,
    )


def _of_part(project: PlannedProject, mark: str) -> str:
    """Where a part is, by the mark on its label; the schedule's first page where it is gone."""
    for each in project.assemblies:
        if each.takeoff and any(part.mark == mark for part in each.takeoff.expansion.parts):
            return urls.schedule(project.head.id, at=f"part-{mark}", of=each.stored.spec.mark)
    return urls.schedule(project.head.id)


def _show(
    request: Request,
    project: PlannedProject,
    asked: Asked,
    photographs: tuple[Photograph, ...],
    done: Callable[[Sequence[AssemblyPart]], Done | None] = lambda parts: None,
) -> HTMLResponse:
    units, prices = project.head.units, project.bench.prices
    page = page_of(project, asked, urls.schedule)
    advised = {each.stored.id: each for each in with_advice(project, page.assemblies).assemblies}
    shown = [advised[each.stored.id] for each in page.assemblies]
    parts = [_part(each, units, prices, project.rules.squeeze_limit) for each in shown]
    return render(
        request,
        "projects/schedule.html",
        SchedulePage(
            project.head,
            parts,
            page.pages,
            notes_text(project.notes, units) if project.assemblies else (),
            done(parts),
            project.bench.notes,
            photographs_by_mark(project.head.id, photographs),
            due_line(project.head.due),
            project.bench.note or "",
        ),
        units=units,
    )


def _done(
    project: PlannedProject, parts: Sequence[AssemblyPart], changed: int, joint: str, back: str
) -> Done | None:
    """What was changed; None where the assembly, or the joint, is no longer there."""
    specs = {planned.stored.id: planned.stored.spec for planned in project.assemblies}
    for part in parts:
        card = next((card for card in part.joints if card.words.mark == joint), None)
        if part.id == changed and card is not None:
            changes = sent_changes(back)
            says = change_made(specs[part.id], project.rules, changes, project.head.units)
            return Done(joint, card.words.made is not None, says, part, back, any(one.of_rules for one in changes))
    return None


def _part(planned: PlannedAssembly, units: Units, prices: Prices, squeeze_limit: Length) -> AssemblyPart:
    spec, takeoff = planned.stored.spec, planned.takeoff
    return AssemblyPart(
        id=planned.stored.id,
        version=planned.stored.version,
        mark=spec.mark,
        name=takeoff.expansion.name if takeoff else spec.name or "",
        quantity=spec.quantity,
        sizes=sizes(spec, units),
        parts=tuple(part_words(part, units) for part in takeoff.expansion.parts) if takeoff else (),
        joints=tuple(_card(joint, units, prices, squeeze_limit) for joint in takeoff.joints) if takeoff else (),
        notes=notes_text(takeoff.expansion.notes, units) if takeoff else (),
        problems=tuple(problem.text(units) for problem in planned.problems),
        pictures=_pictures(spec, takeoff, units) if takeoff else (),
    )


def _pictures(spec: Assembly, takeoff: AssemblyTakeoff, units: Units) -> tuple[Drawing, ...]:
    """The elevation with every mark, sections, then the thing put together and taken apart."""
    expansion = takeoff.expansion
    return (
        draw_assembly(expansion, units),
        *draw_sections(spec, expansion, units),
        *pictorials(spec, takeoff, units),
    )


def _card(joint: JointPlan, units: Units, prices: Prices, squeeze_limit: Length) -> JointCard:
    words, plan = joint_words(joint, units), joint.plan
    alternatives = tuple(_alternative(each, joint, units, prices) for each in joint.alternatives)
    return JointCard(
        words=words,
        facts=((Fact.FACE, words.face), *(() if words.made is None else _facts(words.made))),
        drawing=draw_face(joint, units),
        fit=draw_fit(plan, units, squeeze_limit, section_index(joint)) if plan else None,
        alternatives=alternatives,
        priced=any(row.price for row in alternatives),
    )


def _facts(made: MadeWords) -> Facts:
    return (
        (Fact.SECTION, made.section),
        (Fact.CUTTER, f"{made.cutter}, {made.tip} tip"),
        (Fact.PROJECTION, f"{made.projection} (snug at {made.snug})"),
        (Fact.CENTRES, f"{made.centres_text} from the {made.origin}"),
        (Fact.DEPTH, str(made.depth)),
        (Fact.STOP, str(made.stop)),
        (Fact.EDGES, made.driven_from),
        (Fact.KEYS, made.keys_by_slot),
        (Fact.END, made.end),
        (Fact.RECESS, str(made.recess)),
        (Fact.REACH, str(made.reach)),
        (Fact.HOLD, made.held),
        *(((Fact.MIDDLE, str(made.middle)),) if made.middle else ()),
    )


def _alternative(each: Alternative, joint: JointPlan, units: Units, prices: Prices) -> AlternativeRow:
    price = "" if each.plan is None else _price(each.plan, joint.joint.quantity, prices)
    return AlternativeRow(alternative_words(each, joint, units), price)


def _price(plan: SectionPlan, quantity: int, prices: Prices) -> str:
    """What the keys of all these joints cost with this section; "" where a price is missing."""
    each = [prices.key(plan.section.name, key) for key in plan.row]
    if any(price is None for price in each):
        return ""
    row = sum(price for price in each if price is not None)
    return format_money(row * plan.count * quantity, prices.currency)
