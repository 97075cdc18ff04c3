"""The joint schedule: by assembly, a row and a drawing for every joint."""

from __future__ import annotations

from domain.lengths import Length, Units, format_mm
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.assemblies import Assembly
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.dimensions import fine_figure
from webapp.drawings.face import draw_face
from webapp.drawings.fit import draw_fit, section_index
from webapp.drawings.pictorial import draw_pictorial
from webapp.papers.parts import part_rows
from webapp.papers.pictures import Json, picture
from webapp.wording.words import JOINT_KINDS, bare, notes_text, other_member, stack


def schedule_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the schedule's template sets; every assembly of ``takeoff`` is one of the project's, by its mark."""
    specs = {spec.mark: spec for spec in project.assemblies}
    return {
        "assemblies": [_assembly(specs[each.expansion.mark], each, units) for each in takeoff.assemblies],
        "notes": list(notes_text(takeoff.notes, units)),
        "fits": _fits(takeoff, (project.rules or Rules()).squeeze_limit, units),
    }


def _fits(takeoff: Takeoff, squeeze_limit: Length, units: Units) -> list[Json]:
    """How keys sit in their slots, once for every section, cutter and projection."""
    found: dict[tuple[str, float, float], Json] = {}
    for joint in (joint for assembly in takeoff.assemblies for joint in assembly.joints):
        plan = joint.plan
        if plan is not None:
            setting = (plan.section.name, plan.cutter.tip_diameter, plan.projection)
            if setting not in found:
                found[setting] = _fit(joint, plan, squeeze_limit, units)
            found[setting]["joints"].append(joint.joint.mark)
    return list(found.values())


def _fit(joint: JointPlan, plan: SectionPlan, squeeze_limit: Length, units: Units) -> Json:
    return {
        "section": plan.section.name,
        "cutter": plan.cutter.kind.value,
        "tip": fine(plan.cutter.tip_diameter, units),
        "projection": fine(plan.projection, units),
        "snug": fine(plan.snug_projection, units),
        "joints": [],
        "drawing": picture(draw_fit(plan, units, squeeze_limit, section_index(joint))),
    }


def _assembly(spec: Assembly, assembly: AssemblyTakeoff, units: Units) -> Json:
    expansion = assembly.expansion
    body = draw_pictorial(spec, assembly, units)
    return {
        "mark": expansion.mark,
        "name": expansion.name,
        "quantity": expansion.quantity,
        "drawing": picture(draw_assembly(expansion, units)),
        "body": None if body is None else picture(body),
        "parts": part_rows(expansion, units),
        "notes": list(notes_text(expansion.notes, units)),
        "joints": [_joint(joint, units) for joint in assembly.joints],
    }


def _joint(joint: JointPlan, units: Units) -> Json:
    needs, plan = joint.joint, joint.plan
    face = needs.face
    return {
        "mark": needs.mark,
        "place": needs.place,
        "kind": JOINT_KINDS[needs.kind],
        "quantity": str(needs.quantity),
        "members": " to ".join(needs.members),
        "face": f"{bare(face.breadth, units)} × {bare(face.run, units)}, {face.angle:.4g}°",
        "makeable": plan is not None,
        "figures": {} if plan is None else _figures(joint, plan, units),
        "notes": list(notes_text((*needs.notes, *joint.notes), units)),
        "drawing": picture(draw_face(joint, units)),
        "other_member": other_member(needs.kind) if plan else "",
    }


def _figures(joint: JointPlan, plan: SectionPlan, units: Units) -> Json:
    """Machine figures are as fine as they are set: inches to a thousandth, as on the drawings."""
    return {
        "section": plan.section.name,
        "cutter": plan.cutter.kind.value,
        "tip": fine(plan.cutter.tip_diameter, units),
        "projection": fine(plan.projection, units),
        "depth": fine(plan.depth, units),
        "stop": fine(joint.stop, units),
        "entry": f"{joint.joint.face.ends[0]} and {joint.joint.face.ends[1]}"
        if plan.entry == "both"
        else plan.entry,
        "origin": origin(joint),
        "centres": [fine(centre, units) for centre in plan.centres],
        "keys": stack(plan.keys),
        "slots": len(joint.slots),
        "recess": fine(plan.recess, units),
        "reach": bare(plan.reach, units),
        "hold": format_mm(plan.hold, 2),
    }


def fine(mm: float, units: Units) -> str:
    """A machine figure without its unit."""
    return fine_figure(mm, units).rstrip("″")


def origin(joint: JointPlan) -> str:
    """Where a joint's centres are measured from."""
    return "reference edge" if joint.joint.face.angle == 90 else "tip"
