"""The wall: the least wood beside a slot, by what stands there.

In solid wood the grain runs along a piece. Towards an edge or a face it runs along the wall, or stands in it from
root to rim, and the shop's wall will do. Towards the end of a piece that is slotted in its face or edge it runs
across the wall: short grain, which breaks off along the slot. Plywood parts between its plies and board crumbles
at any edge. Common practice (no source), the figures too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.faces.face import MatingFace
from domain.notes import Note, NoteCode
from domain.parts import Joint
from domain.planning.plans import SectionPlan
from domain.spec.rules import Rules
from domain.timber.stuff import Stuff

SHEETS = {
    Stuff.PLYWOOD: "plywood, which parts between its plies",
    Stuff.BOARD: "board, which crumbles at its edges",
}
NEAR = 0.5
"""So much more than the short grain's wall (mm), and nobody need be told of it."""


@dataclass(frozen=True, slots=True)
class Walls:
    """The least wood beside a slot, mm: ``first`` from x = 0 on, ``usual`` from every other edge."""

    first: float
    usual: float


def walls_of(face: MatingFace, rules: Rules) -> Walls:
    """What the shop's rules ask of a face. No wall is thinner than the rule ``wall``.

    Where the second member ends ``end_off`` before x = 0, its short grain is counted from there.
    """
    if face.stuff.is_sheet:
        usual: float = max(rules.wall, rules.sheet_wall).mm
        return Walls(usual, usual)
    if face.end_off is None:
        return Walls(rules.wall.mm, rules.wall.mm)
    return Walls(max(rules.wall.mm, rules.short_grain_wall.mm - face.end_off), rules.wall.mm)


def wall_remarks(joint: Joint, rules: Rules, plan: SectionPlan | None) -> Iterator[Note]:
    """What stands beside the slots, where it asks for more than the usual wall.

    Of short grain only where there is no plan, or its slots come so near to the end that it counts.
    """
    face, usual = joint.face, rules.wall.mm
    walls = walls_of(face, rules)
    if face.stuff.is_sheet and walls.usual > usual:
        yield Note.of(NoteCode.SHEET_WALL, sheet_text=SHEETS[face.stuff], wall=walls.usual, usual=usual)
    elif walls.first > usual and (plan is None or _first_wood(face, plan) <= walls.first + NEAR):
        wall = max(rules.wall, rules.short_grain_wall).mm
        yield Note.of(NoteCode.SHORT_GRAIN_WALL, piece_text=joint.members[1], wall=wall, usual=usual)


def _first_wood(face: MatingFace, plan: SectionPlan) -> float:
    """The wood between x = 0 and the first slot, mm."""
    return plan.centres[0] * face.sine + plan.extent[0]
