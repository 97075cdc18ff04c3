"""Pieces that are too long or too heavy to be milled without support; how each is held, the set-up sheet says.

How much a shop lifts is its own rule, and the start value common practice (no source); the machine's manual comes
first. A piece's weight is known where the density of its wood is (``domain.timber.species``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from domain.notes import Note, NoteCode
from domain.parts import Expansion, Member
from domain.planning.plans import JointPlan
from domain.spec.rules import Rules
from domain.timber.species import mass, wood_of

TOUCH = 1e-6


@dataclass(frozen=True, slots=True)
class Weight:
    """What a piece weighs, kg, and which wood that was reckoned with."""

    kilograms: float
    wood: str


def is_long(member: Member, rules: Rules) -> bool:
    """True for a piece longer than what is milled without support; the rule at 0 asks for none."""
    return bool(0 < rules.longest_piece.mm < member.length - TOUCH)


def too_heavy(member: Member, rules: Rules) -> Weight | None:
    """The weight of a piece heavier than the rule allows, as if it were a whole board; None where it is not.

    None too where its wood's density is not known, and where the rule is 0.
    """
    wood = wood_of(member.material)
    kilograms = mass(member.material, member.length, member.width, member.thickness)
    if wood is None or wood.heaviest is None or kilograms is None:
        return None
    if not 0 < rules.heaviest_piece < kilograms:
        return None
    return Weight(kilograms, wood.said(wood.heaviest))


def notes_on_support(expansion: Expansion, joints: Sequence[JointPlan], rules: Rules) -> Iterator[Note]:
    """The pieces that joints which can be made mill, as far as they need support."""
    milled = {mark for joint in joints if joint.plan is not None for mark in joint.joint.members}
    pieces = ", ".join(f"{member.mark} {member.name}" for member in _large(expansion, milled, rules))
    if pieces:
        yield Note.of(NoteCode.SUPPORT_NEEDED, pieces_text=pieces)


def _large(expansion: Expansion, milled: Collection[str], rules: Rules) -> Iterator[Member]:
    for member in expansion.members:
        if member.mark in milled and (is_long(member, rules) or too_heavy(member, rules) is not None):
            yield member
