"""The takeoff as open JSON, version 1: all lengths in mm, rounded to 0.001."""

from __future__ import annotations

from typing import Any

from domain.moving.parts import PartMovement
from domain.parts import Member, Panel
from domain.planning.plans import Alternative, JointPlan
from domain.proposals import Proposal
from domain.spec.job import Stage
from domain.spec.project import Project
from domain.takeoff.shelves import ShelfSag
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from domain.timber.moving_species import Known

FORMAT = "dovetally-takeoff"
CHECK_FORMAT = "dovetally-check"
VERSION = 1
Json = dict[str, Any]


def takeoff_document(takeoff: Takeoff, project: Project | None = None) -> Json:
    """The takeoff as a JSON-ready dictionary, with what its ``project`` says beside its sizes."""
    totals = takeoff.totals
    document: Json = {
        "format": FORMAT,
        "version": VERSION,
        "project": takeoff.project,
        "assemblies": [_assembly(index, assembly) for index, assembly in enumerate(takeoff.assemblies)],
        "keys": [
            {
                "section": key.section,
                "length": json_mm(key.length),
                "used": key.used,
                "tests": key.tests,
                "spare": key.spare,
                "total": key.total,
            }
            for key in totals.keys
        ],
        "plugs": [
            {
                "material": plug.material,
                "section": plug.section,
                "height": json_mm(plug.height),
                "used": plug.used,
                "spare": plug.spare,
                "total": plug.total,
            }
            for plug in totals.plugs
        ],
        "glue_grams": json_mm(totals.glue_grams),
        "notes": [note.text() for note in takeoff.notes],
    }
    if project is not None:
        _note(document, project)
    movements = [part for each in takeoff.assemblies if each.movement for part in each.movement.parts]
    if any(each.movement for each in takeoff.assemblies):
        document["movement"] = [_movement(part) for part in movements]
    if totals.fastenings:
        document["fastenings"] = [
            {"sort": each.sort.value, "used": each.used, "spare": each.spare, "total": each.total}
            for each in totals.fastenings
        ]
    return document


def _note(document: Json, project: Project) -> None:
    """Add what is noted: state, day and note of the project, the notes of assemblies and joints."""
    if project.state is not Stage.PLANNED:
        document["state"] = project.state.value
    document |= {name: told for name in ("due", "note") if (told := getattr(project, name)) is not None}
    noted = project.notes or {}
    for assembly in document["assemblies"]:
        for each in (assembly, *assembly["joints"]):
            if each["mark"] in noted:
                each["note"] = noted[each["mark"]]


def check_document(takeoff: Takeoff) -> Json:
    """What a check of the project found, as a JSON-ready dictionary: which joints cannot be made, and why."""
    return {
        "format": CHECK_FORMAT,
        "version": VERSION,
        "project": takeoff.project,
        "good": takeoff.makeable,
        "assemblies": len(takeoff.assemblies),
        "joints": takeoff.joint_count,
        "refused": [
            {
                "mark": joint.joint.mark,
                "quantity": joint.joint.quantity,
                "notes": [note.text() for note in joint.notes],
            }
            for joint in takeoff.refused
        ],
    }


def json_mm(value: float) -> int | float:
    """A figure as the file writes it: to 0.001, whole numbers without a point, no negative zero."""
    rounded = round(value, 3)
    return int(rounded) if rounded == int(rounded) else rounded


def _assembly(index: int, assembly: AssemblyTakeoff) -> Json:
    expansion = assembly.expansion
    document: Json = {
        "mark": expansion.mark,
        "quantity": expansion.quantity,
        "members": [_member(member) for member in expansion.members],
        "panels": [_panel(panel) for panel in expansion.panels],
        "joints": [_joint(index, joint) for joint in assembly.joints],
        "notes": [note.text() for note in expansion.notes],
    }
    if assembly.sags:
        document["sag"] = [_sag(sag) for sag in assembly.sags]
    return document


def _sag(sag: ShelfSag) -> Json:
    """A shelf under its load, in kg a metre; lengths in mm."""
    return {
        "member": sag.mark,
        "load": json_mm(sag.load),
        "first_day": json_mm(sag.first_day),
        "in_years": json_mm(sag.in_years),
        "allowed": json_mm(sag.allowed),
        "longest": json_mm(sag.longest),
        "holds": sag.holds,
        "wood": sag.wood,
    }


def _movement(part: PartMovement) -> Json:
    """By how much a part changes across the grain, mm, from the shop on; moisture in %.

    ``change`` is that of the kind that moves most. Where several are meant, ``change_least`` is that of the one
    that moves least. ``moisture_other`` and ``change_other`` are those of the other season, from the shop on as
    well.
    """
    document: Json = {
        "member": part.mark,
        "across": json_mm(part.across),
        "species": part.wood.said,
        "cut": part.cut.value,
        "moisture_from": json_mm(part.shop),
        "moisture_to": json_mm(part.home.moisture),
        "change": json_mm(part.home.across.most),
    }
    several = part.wood.known is not Known.ROW
    if several:
        document["change_least"] = json_mm(part.home.across.least)
    if part.other is not None:
        document["moisture_other"] = json_mm(part.other.moisture)
        document["change_other"] = json_mm(part.other.across.most)
        if several:
            document["change_other_least"] = json_mm(part.other.across.least)
    return document


def _sizes(part: Member | Panel) -> Json:
    return {
        "mark": part.mark,
        "name": part.name,
        "quantity": part.quantity,
        "length": json_mm(part.length),
        "width": json_mm(part.width),
        "thickness": json_mm(part.thickness),
    }


def _panel(panel: Panel) -> Json:
    """A panel's sizes; one with ``room`` has no thickness of its own, which is then 0."""
    document = _sizes(panel)
    if panel.room is not None:
        document["room"] = json_mm(panel.room)
    if panel.material is not None:
        document["material"] = panel.material
    return document


def _member(member: Member) -> Json:
    document = _sizes(member) | {"material": member.material}
    if member.short_length is not None:
        document["short_length"] = json_mm(member.short_length)
    document["ends"] = [json_mm(angle) for angle in member.ends]
    return document


def _joint(index: int, joint: JointPlan) -> Json:
    plan, needs = joint.plan, joint.joint
    document: Json = {
        "mark": needs.mark,
        "kind": needs.kind.value,
        "quantity": needs.quantity,
        "members": list(needs.members),
        "angle": json_mm(needs.face.angle),
        "breadth": json_mm(needs.face.breadth),
        "run": json_mm(needs.face.run),
        "section": None,
        "slots": [],
    }
    if plan is not None:
        document |= {
            "section": plan.section.name,
            "end": plan.section.end.value,
            "cutter": plan.cutter.kind.value,
            "projection": json_mm(plan.projection),
            "snug_projection": json_mm(plan.snug_projection),
            "slots": [
                {
                    "entry": slot.entry.value,
                    "centre": json_mm(slot.centre),
                    "depth": json_mm(slot.depth),
                    "keys": [json_mm(key) for key in slot.keys],
                    "recess": json_mm(slot.recess),
                }
                for slot in joint.slots
            ],
            "reach": json_mm(plan.reach),
            "hold": json_mm(plan.hold),
            "depth_stop": json_mm(joint.stop),
            **_other_stop(joint),
        }
        if plan.fastenings and needs.choices.middle is not None:
            places = [json_mm(place) for place in plan.fastenings]
            document["middle"] = {
                "sort": needs.choices.middle.value,
                "from": joint.counted_from.value,
                "places": places,
                # across the run they stand in the middle, as far from the tip or reference edge
                "centre": json_mm(needs.face.breadth / 2),
            }
    document["alternatives"] = [_alternative(alternative) for alternative in joint.alternatives]
    document["notes"] = [note.text() for note in joint.notes]
    for name, proposals in (("nearest", joint.nearest), ("near", joint.near)):
        if proposals:
            document[name] = [_proposal(index, proposal) for proposal in proposals]
    return document


def _other_stop(joint: JointPlan) -> Json:
    """The stop for the other end of a run that is entered from both, where each end has its own."""
    far = None if joint.plan is None else joint.plan.far
    if far is None or json_mm(joint.stop_from(far.entry)) == json_mm(joint.stop):
        return {}
    return {"other_depth_stop": json_mm(joint.stop_from(far.entry))}


def _proposal(index: int, proposal: Proposal) -> Json:
    """A proposal; its paths run from the project."""
    changes = [{"path": one.pointer("assemblies", index), "value": one.value} for one in proposal.changes]
    return {"says": proposal.says.text(), "changes": changes}


def _alternative(alternative: Alternative) -> Json:
    document: Json = {"section": alternative.section.name, "fits": alternative.fits}
    if alternative.plan is not None:
        plan = alternative.plan
        document |= {"count": plan.count, "reach": json_mm(plan.reach), "hold": json_mm(plan.hold)}
    if alternative.why_not is not None:
        document["why_not"] = alternative.why_not.text()
    return document
