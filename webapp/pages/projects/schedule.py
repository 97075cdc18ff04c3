"""The joint schedule: every joint of a project with its slots, its drawing, and why it came out so."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.lengths import Length, Units, format_fine, format_length, format_mm
from domain.parts import Expansion, JointKind, Member, Panel
from domain.planning.plans import Alternative, JointPlan, SectionPlan
from webapp.drawings.face import draw_face
from webapp.drawings.fit import draw_fit, section_index
from webapp.drawings.model import Drawing
from webapp.drawings.pictorial import draw_pictorial
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.usecases.projects import PlannedAssembly, PlannedProject, Prices
from webapp.wording.money import format_money
from webapp.wording.words import JOINT_KINDS, by, in_units, listed, notes_text, other_member, sizes, stack

router = APIRouter(include_in_schema=False)

Fact = tuple[str, str]
"""A name and its figure."""


@dataclass(frozen=True, slots=True)
class PartRow:
    """A member or panel: ``size`` in words, ``ends`` and ``short`` where they are not square."""

    mark: str
    name: str
    quantity: int
    size: str
    ends: str
    material: str


@dataclass(frozen=True, slots=True)
class AlternativeRow:
    """A section for a joint: what it would come to, or why not. ``price`` is for all the joint's keys."""

    section: str
    chosen: bool
    why_not: str
    rows: str
    reach: str
    hold: str
    keys: str
    price: str


@dataclass(frozen=True, slots=True)
class JointCard:
    """A joint on the schedule."""

    mark: str
    place: str
    kind: str
    quantity: int
    members: str
    makeable: bool
    facts: tuple[Fact, ...]
    notes: tuple[str, ...]
    drawing: Drawing
    other_member: str
    fit: Drawing | None
    alternatives: tuple[AlternativeRow, ...]
    priced: bool


@dataclass(frozen=True, slots=True)
class AssemblyPart:
    """An assembly on the schedule: its parts and joints, or the problems that keep it from having any.

    ``picture`` shows a box or a carcass as a body; what is flat has none.
    """

    mark: str
    name: str
    quantity: int
    sizes: str
    parts: tuple[PartRow, ...]
    joints: tuple[JointCard, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]
    picture: Drawing | None

    @property
    def mitred(self) -> bool:
        """Whether any member's ends are not square."""
        return any(part.ends for part in self.parts)


@router.get("/projects/{project_id}/schedule")
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The joint schedule."""
    return kept_page(request, project_id, lambda project: _show(request, project))


def _show(request: Request, project: PlannedProject) -> HTMLResponse:
    units, prices = project.head.units, project.bench.prices
    return render(
        request,
        "schedule/page.html",
        units=units,
        head=project.head,
        assemblies=[_part(each, units, prices, project.rules.squeeze_limit) for each in project.assemblies],
        notes=notes_text(project.notes, units) if project.assemblies else (),
    )


def _part(planned: PlannedAssembly, units: Units, prices: Prices, squeeze_limit: Length) -> AssemblyPart:
    spec, takeoff = planned.stored.spec, planned.takeoff
    return AssemblyPart(
        mark=spec.mark,
        name=takeoff.expansion.name if takeoff else spec.name or "",
        quantity=spec.quantity,
        sizes=sizes(spec, units),
        parts=_parts(takeoff.expansion, units) if takeoff else (),
        joints=tuple(_card(joint, units, prices, squeeze_limit) for joint in takeoff.joints) if takeoff else (),
        notes=notes_text(takeoff.expansion.notes, units) if takeoff else (),
        problems=tuple(in_units(problem.allowed, units) for problem in planned.problems),
        picture=draw_pictorial(spec, takeoff, units) if takeoff else None,
    )


def _parts(expansion: Expansion, units: Units) -> tuple[PartRow, ...]:
    return tuple(_member(member, units) for member in expansion.members) + tuple(
        _panel(panel, units) for panel in expansion.panels
    )


def _member(member: Member, units: Units) -> PartRow:
    ends = ""
    if member.short_length is not None:
        angles = " and ".join(dict.fromkeys(f"{angle:g}°" for angle in member.ends))
        ends = f"{angles}, short side {format_length(member.short_length, units)}"
    size = by(units, member.length, member.width, member.thickness)
    return PartRow(member.mark, member.name, member.quantity, size, ends, member.material or "")


def _panel(panel: Panel, units: Units) -> PartRow:
    size = by(units, panel.length, panel.width, panel.thickness)
    return PartRow(panel.mark, panel.name, panel.quantity, size, "", panel.material or "")


def _card(joint: JointPlan, units: Units, prices: Prices, squeeze_limit: Length) -> JointCard:
    needs, plan = joint.joint, joint.plan
    alternatives = tuple(_alternative(each, joint, units, prices) for each in joint.alternatives)
    return JointCard(
        mark=needs.mark,
        place=needs.place,
        kind=JOINT_KINDS[needs.kind],
        quantity=needs.quantity,
        members=" to ".join(needs.members),
        makeable=plan is not None,
        facts=_face_facts(joint, units) + (() if plan is None else _plan_facts(joint, plan, units)),
        notes=notes_text((*needs.notes, *joint.notes), units),
        drawing=draw_face(joint, units),
        other_member=other_member(needs.kind) if plan else "",
        fit=draw_fit(plan, units, squeeze_limit, section_index(joint)) if plan else None,
        alternatives=alternatives,
        priced=any(row.price for row in alternatives),
    )


def _face_facts(joint: JointPlan, units: Units) -> tuple[Fact, ...]:
    face = joint.joint.face
    return (("Mating face", f"{by(units, face.breadth, face.run)}, {face.angle:.4g}°"),)


def _plan_facts(joint: JointPlan, plan: SectionPlan, units: Units) -> tuple[Fact, ...]:
    return (
        ("Section", plan.section.name),
        ("Cutter", f"{plan.cutter.kind.value}, {format_fine(plan.cutter.tip_diameter, units)} tip"),
        (
            "Projection",
            f"{format_fine(plan.projection, units)} (snug at {format_fine(plan.snug_projection, units)})",
        ),
        ("Slot centres", f"{listed(units, plan.centres)} from the {_origin(joint)}"),
        ("Depth", format_length(plan.depth, units)),
        ("Depth stop", format_length(joint.stop, units)),
        ("Driven in from", "both edges" if plan.entry.value == "both" else plan.entry.value),
        ("Keys in driving order", _keys(joint, plan)),
        ("Recess", format_length(plan.recess, units)),
        ("Reach", format_length(plan.reach, units)),
        ("Hold", format_mm(plan.hold, 2)),
    )


def _origin(joint: JointPlan) -> str:
    return "tip" if joint.joint.kind in {JointKind.MITRE, JointKind.EDGE_MITRE} else "reference edge"


def _keys(joint: JointPlan, plan: SectionPlan) -> str:
    each = f" in each of {len(joint.slots)} slots" if len(joint.slots) > 1 else ""
    return f"{stack(plan.keys)} mm{each}"


def _alternative(each: Alternative, joint: JointPlan, units: Units, prices: Prices) -> AlternativeRow:
    name = each.section.name
    chosen = joint.plan is not None and joint.plan.section.name == name
    if each.plan is None:
        why = each.why_not.text(units) if each.why_not else ""
        return AlternativeRow(name, chosen, why, "", "", "", "", "")
    plan = each.plan
    return AlternativeRow(
        section=name,
        chosen=chosen,
        why_not="",
        rows=str(plan.count),
        reach=format_length(plan.reach, units),
        hold=format_mm(plan.hold, 2),
        keys=f"{stack(plan.keys)} mm",
        price=_price(plan, joint.joint.quantity, prices),
    )


def _price(plan: SectionPlan, quantity: int, prices: Prices) -> str:
    """What the keys of all these joints cost with this section; "" where a price is missing."""
    entries = 2 if plan.entry.value == "both" else 1
    each = [prices.key(plan.section.name, key) for key in plan.keys]
    if any(price is None for price in each):
        return ""
    slot = sum(price for price in each if price is not None)
    return format_money(slot * plan.count * entries * quantity, prices.currency)
