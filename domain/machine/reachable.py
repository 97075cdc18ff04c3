"""Readings that the machine cannot do, and pieces too small to hold: named, each with another way.

The figures behind them are common practice (no source) and the shop's own rules; the machine's manual
comes first.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, radians, sin

from domain.machine.hands import Carried
from domain.notes import Note, NoteCode
from domain.parts import Member
from domain.planning.set_up import SetUp
from domain.spec.rules import Rules
from domain.takeoff.support import is_long, too_heavy

HELD = {
    Carried.OUT: "It lies out from the machine: rest its far end on a roller stand as high as the table.",
    Carried.ALONG: "It lies along the machine's face: rest its ends on stands as high as the table.",
    Carried.UPRIGHT: "It stands on its end: have it held, or clamp a tall fence to the table that it leans on.",
}
"""How a long piece is held, by how it lies: common practice (no source)."""
SPACER_STEP = 5.0
"""Spacers are kept in whole steps of this, in mm: common practice (no source)."""
TOUCH = 1e-6


def out_of_reach(
    member: Member, set_up: SetUp, rules: Rules, carried: Carried, *, depth: float, both_ends: bool = False
) -> Iterator[Note]:
    """What the machine, or a hand, cannot do when this member is milled in this set-up, and what would do.

    ``carried`` is how the piece lies there, ``depth`` that of the slots that are milled (mm). ``both_ends``: the
    member's pieces are slotted in both of their ends.
    """
    yield from fence_too_near(set_up, rules)
    yield from stop_off_the_scale(set_up, depth, rules)
    yield from piece_too_small(member, rules, both_ends=both_ends)
    yield from piece_too_large(member, rules, carried)


def nearest_reading(set_up: SetUp, rules: Rules) -> float:
    """The least fence reading in mm: half the cutter's tip and the clearance beside it."""
    return set_up.tip_diameter / 2 + rules.fence_clearance.mm


def fence_too_near(set_up: SetUp, rules: Rules) -> Iterator[Note]:
    """A reading at which the fence would stand in the cutter's way.

    From either edge, that is: a slot of a square joint is measured from the one that serves. A spacer between
    fence and piece makes the reading larger by its thickness / sin φ, φ the fence's angle.
    """
    least, reading = nearest_reading(set_up, rules), set_up.fence_reading
    if reading >= least - TOUCH:
        return
    sine = sin(radians(set_up.angle))
    spacer = ceil(round((least - reading) * sine / SPACER_STEP, 6)) * SPACER_STEP
    instead = round(reading + spacer / sine, 3)
    yield Note.of(NoteCode.FENCE_NEAR_SPACER, reading=reading, least=least, spacer=spacer, instead=instead)


def stop_off_the_scale(set_up: SetUp, depth: float, rules: Rules) -> Iterator[Note]:
    """A stop that would have to be set beyond the stroke, or below nought.

    The slot itself is never deeper than the stroke; it is the scale, set with another cutter, that reads so.
    """
    stop = set_up.depth_stop
    if not -TOUCH <= stop <= rules.stroke.mm + TOUCH:
        yield Note.of(NoteCode.STOP_OFF_SCALE, stop=stop, stroke=rules.stroke.mm, depth=depth)


def piece_too_small(member: Member, rules: Rules, *, both_ends: bool) -> Iterator[Note]:
    """A piece shorter than what is held by hand, and how it is milled safely: common practice (no source).

    A longer blank serves the end that is milled first. Once the piece is cut off it is short, so the second end
    needs something that holds the whole of it. The blank leaves room for the cut.
    """
    least = rules.least_piece.mm
    if member.length < least - TOUCH:
        yield Note.of(
            NoteCode.PIECE_TOO_SMALL_TWICE if both_ends else NoteCode.PIECE_TOO_SMALL,
            piece_text=f"{member.mark}, {member.name}",
            length=member.length,
            least=least,
            blank=max(least, round(member.length + rules.kerf.mm, 6)),
        )


def piece_too_large(member: Member, rules: Rules, carried: Carried) -> Iterator[Note]:
    """A piece longer or heavier than what is held without support, and what holds it."""
    piece = f"{member.mark}, {member.name}"
    if is_long(member, rules):
        most, how = rules.longest_piece.mm, HELD[carried]
        yield Note.of(NoteCode.PIECE_LONG, piece_text=piece, length=member.length, most=most, how_text=how)
    weight = too_heavy(member, rules)
    if weight is not None:
        yield Note.of(
            NoteCode.PIECE_HEAVY,
            piece_text=piece,
            kilos_n=round(weight.kilograms, 1),
            wood_text=weight.wood,
            most_n=rules.heaviest_piece,
        )
