"""The bare middle of a long edge: keys reach in from the ends only, and what may hold it between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from domain.faces.face import MatingFace
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.planning.entries import ENTRY_WORDS
from domain.spec.choices import Entry, Middle


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a joint's run without a key (mm): from ``start``, ``length`` long, held at one or two ends.

    Measured from the edge that keys come from; where they come from both, from the first of the face's ends.
    ``room`` is how far along it there is wood over the whole breadth, short of a groove near the other edge.
    """

    start: float
    length: float
    ends_held: int
    room: float


def bare_stretch(face: MatingFace, entry: Entry, depth: float) -> Stretch:
    """What slots of this depth (mm) from the entry leave bare."""
    if entry is Entry.BOTH:
        length = face.run - 2 * depth
        return Stretch(depth, length, 2, length)
    cut = min((void.v0 for void in face.region_from(entry).voids if void.v0 >= depth), default=face.run)
    return Stretch(depth, face.run - depth, 1, cut - depth)


def fastening_places(stretch: Stretch, spacing: float) -> tuple[Mm, ...]:
    """Where fastenings stand, in mm from the edge that the stretch is measured from, evenly spread.

    None where it is no longer than ``spacing`` (mm).
    """
    if stretch.length <= spacing:
        return ()
    number = fastenings_needed(stretch.length, spacing, ends_held=stretch.ends_held)
    # a free end takes half a pitch
    pitch = stretch.room / (number + (1.0 if stretch.ends_held > 1 else 0.5))
    return tuple(Mm(stretch.start + pitch * place) for place in range(1, number + 1))


def fastenings_needed(stretch: float, spacing: float, *, ends_held: int) -> int:
    """How many fastenings leave no more than ``spacing`` (mm) between neighbours on a ``stretch`` without a key.

    Keys hold the stretch at ``ends_held`` of its ends, one or two; at a free end one stands within half the
    spacing of it. Common practice (no source).

    >>> fastenings_needed(215, 80, ends_held=2), fastenings_needed(300, 80, ends_held=1)
    (2, 4)
    """
    held = stretch - 1e-6
    return ceil(held / spacing) - 1 if ends_held > 1 else max(1, ceil((held - spacing / 2) / spacing))


def middle_remarks(
    stretch: Stretch, places: tuple[Mm, ...], chosen: Middle | None, face: MatingFace, entry: Entry
) -> Iterator[Note]:
    """What is said of the stretch: what it takes, or where what was chosen stands."""
    if not places:
        return
    if chosen is None:
        several = f"{len(places)} loose tenons or screws"
        words = several if len(places) > 1 else "a loose tenon or a screw"
        yield Note.of(NoteCode.MIDDLE_STRETCH, stretch=stretch.length, fastenings_text=words)
        return
    figures = {"stretch": stretch.length, "first": places[0]}
    edge = ENTRY_WORDS[face.ends[0] if entry is Entry.BOTH else entry]
    if len(places) == 1:
        yield Note.of(NoteCode.MIDDLE_HELD_ONCE, **figures, fastening_text=chosen.one, edge_text=edge)
    else:
        apart = places[1] - places[0]
        words = f"{len(places)} {chosen.words}"
        yield Note.of(NoteCode.MIDDLE_HELD, **figures, apart=apart, fastenings_text=words, edge_text=edge)
    yield Note.of(NoteCode.TENON_SIZE if chosen is Middle.TENONS else NoteCode.SCREWS_SHOW)
