"""Joints as rows of text: worked out once in Python, so that a template only writes them down."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Units, format_length
from domain.planning.plans import JointPlan
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.wording.words import JOINT_KINDS, listed, notes_text, stack


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint in a list. ``section`` is None where it cannot be made; ``notes`` then say why."""

    mark: str
    place: str
    kind: str
    quantity: int
    section: str | None
    slots: str
    keys: str
    depth: str
    notes: tuple[str, ...]


def joint_rows(takeoff: AssemblyTakeoff, units: Units) -> tuple[JointRow, ...]:
    """The assembly's joints, in order."""
    return tuple(_row(joint, units) for joint in takeoff.joints)


def _row(joint: JointPlan, units: Units) -> JointRow:
    plan, needs = joint.plan, joint.joint
    notes = notes_text((*needs.notes, *joint.notes), units)
    kind = JOINT_KINDS[needs.kind]
    if plan is None:
        return JointRow(needs.mark, needs.place, kind, needs.quantity, None, "", "", "", notes)
    return JointRow(
        mark=needs.mark,
        place=needs.place,
        kind=kind,
        quantity=needs.quantity,
        section=plan.section.name,
        slots=listed(units, plan.centres),
        keys=stack(plan.keys),
        depth=f"{format_length(plan.depth, units)}, {plan.entry.value}",
        notes=notes,
    )
