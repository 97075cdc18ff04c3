"""A step of the assembly sheet as a pictorial: what stands, what comes along its way, the keys between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from domain.assembling.sheet import AssemblySheet, SheetStep
from domain.parts import Single
from domain.space.apart import NOWHERE
from domain.space.bodies import seams
from domain.space.body import Body, moved
from domain.takeoff.nipped import nipped
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.driven import Driven, between, driven_keys, ends_said, gap_between
from webapp.drawings.fastened import Fastened, fastened, fastened_said
from webapp.drawings.model import Drawing
from webapp.drawings.pictorial import PROJECTION, View, pictorial

MANY = 24
"""Of more pieces than this, those are drawn that the step joins."""


def step_drawings(sheet: AssemblySheet, takeoff: AssemblyTakeoff) -> Iterator[Drawing]:
    """Every step in turn."""
    found = seams(takeoff.expansion, sheet.bodies)
    placed = nipped(sheet.bodies, takeoff, found)
    driven, held = tuple(driven_keys(takeoff, found)), tuple(fastened(takeoff, found))
    for step in sheet.steps:
        yield pictorial(_view(step, placed, takeoff, driven, held))


def _view(
    step: SheetStep,
    stood: Sequence[Body],
    takeoff: AssemblyTakeoff,
    driven: Sequence[Driven],
    held: Sequence[Fastened],
) -> View:
    """The step's bodies, what comes as far from its place as two keys are deep."""
    closed = [each for each in driven if _closes(step, each)]
    joined = [each for each in held if _closes(step, each)]
    shown = _shown(step, closed)
    placed = [body for body in stood if body.piece in shown]
    gap = gap_between(placed, closed, joined)
    moves = dict.fromkeys(step.base, NOWHERE)
    moves |= {piece: moved(NOWHERE, each.way, -gap) for each in step.coming for piece in each.pieces}
    bodies = [body.shifted(moves[body.piece]) for body in placed]
    some: tuple[Driven | Fastened, ...] = (*closed, *joined)
    keys = [key.shifted(between(each.seam, moves)) for each in some for key in each.solids]
    slots = [slot.shifted(moves[slot.piece]) for each in some for slot in each.slots]
    axes = [axis for each in joined for axis in each.axes(moves)]
    marked = {body.piece.mark: body.piece for body in reversed(placed)}
    one = takeoff.expansion
    describes = (
        f"{PROJECTION} What stands, and what comes to it along its way, with the keys that join them."
        f"{ends_said(closed)}{fastened_said(joined)}"
    )
    return View(
        f"{one.mark}: {one.name}, step {step.number}", describes, bodies, keys, slots, axes, tuple(marked.values())
    )


def _closes(step: SheetStep, joining: Driven | Fastened) -> bool:
    """Whether the step brings the two pieces together that this joins."""
    both = {joining.seam.meeting.first.piece, joining.seam.meeting.second.piece}
    sides = [{*step.base}, *({*each.pieces} for each in step.coming)]
    return both <= set().union(*sides) and not any(both <= side for side in sides)


def _shown(step: SheetStep, closed: Sequence[Driven]) -> set[Single]:
    pieces = {*step.pieces}
    if len(pieces) <= MANY or not closed:
        return pieces
    meetings = [each.seam.meeting for each in closed]
    return {spot.piece for meeting in meetings for spot in (meeting.first, meeting.second)}
