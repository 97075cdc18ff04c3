"""The bare middle of a long edge: keys reach in from the ends only, and what may hold it between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from domain.faces.face import Behind, MatingFace
from domain.intervals import gaps, union
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.planning.entries import ENTRY_WORDS
from domain.spec.choices import Entry, Middle

CLEAR = 10.0
"""How far (mm) a fastening's middle stays from a slot, groove or rabbet: common practice (no source)."""
TENON_WIDE = 16.0
"""How wide (mm, along the run) a loose tenon may be: leaves 2 beside its mortise. Common practice (no source)."""
MORE = 4
"""So many fastenings more than evenly spread ones are tried where grooves push them apart."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a joint's run without a key (mm): from ``start``, ``length`` long, held at one or two ends.

    Measured from the edge that keys come from; where they come from both, from the first of the face's ends.
    ``cut`` are the grooves and rabbets in it, from where to where.
    """

    start: float
    length: float
    ends_held: int
    cut: tuple[tuple[float, float], ...] = ()

    @property
    def end(self) -> float:
        """Where it ends."""
        return self.start + self.length


def bare_stretch(face: MatingFace, entry: Entry, depth: float, far_depth: float) -> Stretch:
    """What slots of this depth (mm) from the entry leave bare; from both ends, with those from the far one."""
    both = entry is Entry.BOTH
    region = face.region if both else face.region_from(entry)
    cut = tuple(sorted((void.v0, void.v1) for void in region.voids))
    return Stretch(depth, face.run - (depth + far_depth if both else depth), 2 if both else 1, cut)


def fastening_places(stretch: Stretch, spacing: float) -> tuple[Mm, ...]:
    """Where fastenings stand, in mm from the edge that the stretch is measured from.

    Evenly spread; one that would come into a groove is moved beside it, and where that leaves more than
    ``spacing`` (mm) between two, the next number is spread. None where the stretch is no longer than that.
    """
    if stretch.length <= spacing:
        return ()
    fewest = fastenings_needed(stretch.length, spacing, ends_held=stretch.ends_held)
    for more in range(MORE + 1):
        places = _spread(stretch, fewest + more)
        if _widest(stretch, places) <= spacing + 1e-5:
            return places
    return _spread(stretch, fewest)


def _spread(stretch: Stretch, number: int) -> tuple[Mm, ...]:
    # a free end takes half a pitch
    pitch = stretch.length / (number + (1.0 if stretch.ends_held > 1 else 0.5))
    grown = union((low - CLEAR, high + CLEAR) for low, high in stretch.cut)
    free = gaps(stretch.start + CLEAR, stretch.end - CLEAR, grown)
    places: list[Mm] = []
    for place in range(1, number + 1) if free else ():
        beside = Mm(_nearest(free, stretch.start + pitch * place))
        # of two that are moved to one side of a groove, one is enough
        if not places or beside - places[-1] >= 2 * CLEAR:
            places.append(beside)
    return tuple(places)


def _nearest(free: Iterable[tuple[float, float]], at: float) -> float:
    """The place itself, or the nearest one beside the groove that it comes into."""
    return min((min(max(at, low), high) for low, high in free), key=lambda place: abs(place - at))


def _widest(stretch: Stretch, places: Sequence[float]) -> float:
    """The widest gap between neighbours, a free end's counted twice."""
    held = [stretch.start, *places, *([stretch.end] if stretch.ends_held > 1 else [])]
    gaps = [after - before for before, after in pairwise(held)]
    return max(gaps if stretch.ends_held > 1 else [*gaps, 2 * (stretch.end - held[-1])])


def fastenings_needed(stretch: float, spacing: float, *, ends_held: int) -> int:
    """How many fastenings leave no more than ``spacing`` (mm) between neighbours on a ``stretch`` without a key.

    Keys hold the stretch at ``ends_held`` of its ends, one or two; at a free end one stands within half the
    spacing of it. Common practice (no source).

    >>> fastenings_needed(215, 80, ends_held=2), fastenings_needed(300, 80, ends_held=1)
    (2, 4)
    """
    held = stretch - 1e-6
    return ceil(held / spacing) - 1 if ends_held > 1 else max(1, ceil((held - spacing / 2) / spacing))


@dataclass(frozen=True, slots=True)
class TenonRoom:
    """The largest loose tenon that a joint's wood has room for, in the middle of its breadth (mm).

    It is ``thick`` across the joint line, ``wide`` along the run, and goes ``deep`` into either piece.
    """

    thick: float
    wide: float
    deep: float


def tenon_room(face: MatingFace) -> TenonRoom:
    """A third of the thinner piece thick; two thirds of the wood deep, one where another may come from behind.

    In a mitre the wood is what lies square to the joint line, from the tenon's outer side to the outer face:
    x / cos φ, x being its distance from there. Common practice (no source).
    """
    thick = min([face.region.width, *(backing.wood for backing in face.backings)]) / 3
    deep = [backing.wood * (1 if backing.beyond is Behind.OPPOSITE_SLOT else 2) / 3 for backing in face.backings]
    if face.cosine > 1e-9:
        deep.append((face.breadth - thick) / 2 * face.sine / face.cosine * 2 / 3)
    return TenonRoom(thick, TENON_WIDE, min(deep, default=face.region.width))


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
        words = f"{len(places)} {chosen.words}"
        yield Note.of(NoteCode.MIDDLE_HELD, **figures, last=places[-1], fastenings_text=words, edge_text=edge)
    if chosen is Middle.TENONS:
        room = tenon_room(face)
        yield Note.of(NoteCode.TENON_SIZE, thick=room.thick, wide=room.wide, deep=room.deep)
    else:
        yield Note.of(NoteCode.SCREWS_SHOW)
