"""The joint schedule: by assembly, a row and a drawing for every joint."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Length, Units
from domain.moving.movement import Movement
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.assemblies import Assembly
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.face import draw_face
from webapp.drawings.fit import draw_fit, section_index
from webapp.drawings.panel_fit import draw_panel_fit
from webapp.drawings.pictorial import pictorials
from webapp.papers.lists import part_rows
from webapp.papers.pictures import Json, picture
from webapp.wording.facts import Fact
from webapp.wording.figures import fine
from webapp.wording.job import due_line
from webapp.wording.joint import MadeWords, joint_words
from webapp.wording.movement import moving_words, seasons_heading
from webapp.wording.words import notes_text


def schedule_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the schedule's template sets; every assembly of ``takeoff`` is one of the project's, by its mark."""
    specs = {spec.mark: spec for spec in project.assemblies}
    noted = project.notes or {}
    return {
        "assemblies": [_assembly(specs[each.expansion.mark], each, units, noted) for each in takeoff.assemblies],
        "notes": list(notes_text(takeoff.notes, units)),
        "due": due_line(project.due),
        "noted": project.note or "",
        "names": {fact.name.lower(): fact.value for fact in Fact},
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
        "cutter": plan.cutter.kind.words,
        "tip": fine(plan.cutter.tip_diameter, units).bare,
        "projection": fine(plan.projection, units).bare,
        "snug": fine(plan.snug_projection, units).bare,
        "joints": [],
        "drawing": picture(draw_fit(plan, units, squeeze_limit, section_index(joint))),
    }


def _assembly(spec: Assembly, assembly: AssemblyTakeoff, units: Units, noted: Mapping[str, str]) -> Json:
    expansion = assembly.expansion
    return {
        "mark": expansion.mark,
        "name": expansion.name,
        "quantity": expansion.quantity,
        "drawing": picture(draw_assembly(expansion, units)),
        "pictorials": [picture(each) for each in pictorials(spec, assembly, units)],
        "parts": part_rows(expansion, units),
        "notes": list(notes_text(expansion.notes, units)),
        "noted": noted.get(expansion.mark, ""),
        "movement": None if assembly.movement is None else _movement(assembly.movement, units),
        "joints": [_joint(joint, units, noted) for joint in assembly.joints],
    }


def _movement(movement: Movement, units: Units) -> Json:
    """The parts that move, in rows under the headings of the places; panels drawn in their grooves."""
    words = [moving_words(part, units) for part in movement.parts]
    return {
        "seasons": list(seasons_heading(movement.places)),
        "rows": [
            {
                "mark": each.mark,
                "name": each.name,
                "across": str(each.across),
                "wood": each.wood,
                "sawn": each.sawn,
                "changes": [season.change for season in each.seasons],
            }
            for each in words
        ],
        "panels": [picture(draw_panel_fit(panel, units)) for panel in movement.panels],
    }


def _joint(joint: JointPlan, units: Units, noted: Mapping[str, str]) -> Json:
    words = joint_words(joint, units)
    return {
        "mark": words.mark,
        "place": words.place,
        "where": words.where,
        "quantity": str(words.quantity),
        "members": words.members,
        "face": words.face,
        "makeable": words.made is not None,
        "figures": {} if words.made is None else _figures(words.made),
        "noted": noted.get(words.mark, ""),
        "notes": [*words.notes, *words.advice],
        "drawing": picture(draw_face(joint, units)),
        "other_member": words.other_member,
    }


def _figures(made: MadeWords) -> Json:
    """A row's figures without their unit, which the paper names once."""
    return {
        "section": made.section,
        "cutter": made.cutter,
        "tip": made.tip.bare,
        "projection": made.projection.bare,
        "depth": made.depth.bare,
        "stop": made.stop.bare,
        "entry": made.driven_from,
        "origin": made.origin,
        "centres": [centre.bare for centre in made.centres],
        "keys": made.keys.bare,
        "end": made.end,
        "slots": made.slots,
        "recess": made.recess.bare,
        "reach": made.reach.bare,
        "hold": made.hold,
    }
