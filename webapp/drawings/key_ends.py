"""How a key leads into its slot, round or square, to scale: how to tell them, and how far a square end gets."""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units
from domain.planning.fit import mouth, room_past_end, snug_projection
from domain.spec.catalogue import KeyEnd, Section
from webapp.drawings.dimensions import UNIT_WORDS, fine_figure, split, upright
from webapp.drawings.hatching import hatch, section_hatching
from webapp.drawings.model import Drawing, Line, Polygon, Role, RoundEnd, Shape, Text, TextRole, finished

TIPS_DEEP = 1.8
"""How much of a slot is drawn, in tip diameters."""
EMS_ACROSS = 9
"""The tip diameter in heights of text."""


def draw_key_ends(shape: Section, *, index: int = 0, units: Units = Units.MM) -> Drawing:
    """Both ends, driven home side by side in slots of the close-fit cutter at snug projection.

    ``index`` is the section's place in the catalogue, which chooses its hatching.
    """
    tip = shape.tip_diameter.mm
    opening = mouth(shape, tip, snug_projection(shape, tip))
    short = room_past_end(KeyEnd.SQUARE, shape.waist.mm, tip, opening)
    em = tip / EMS_ACROSS * 2
    parts: list[Shape | Text] = []
    for end, centre in ((KeyEnd.ROUND, 0.0), (KeyEnd.SQUARE, 2.4 * tip)):
        parts += _driven(shape, end, centre, opening, short, em, index)
    top = TIPS_DEEP * tip
    right = 2.4 * tip + tip / 2 + 1.2 * em
    parts += upright(top - short, top, right, fine_figure(short, units), em, left=False)
    shapes, texts = split(parts)
    words = f"A round end goes to the top of its slot. A square end stops {fine_figure(short, units)} short of it."
    return finished("Round and square ends", f"{words} {UNIT_WORDS[units]}", em, shapes, texts)


def _driven(
    shape: Section, end: KeyEnd, centre: float, opening: float, short: float, em: float, index: int
) -> Iterator[Shape | Text]:
    """A slot seen on the mating face, with the key as far in as it goes."""
    tip, waist = shape.tip_diameter.mm, shape.waist.mm
    top = TIPS_DEEP * tip
    turn = top - tip / 2
    yield RoundEnd(Role.SLOT, centre, opening / 2, 0.0, turn, open_foot=True)
    yield RoundEnd(Role.HIDDEN, centre, tip / 2, 0.0, turn, open_foot=True)
    key: RoundEnd | Polygon
    if end is KeyEnd.ROUND:
        key = RoundEnd(Role.KEY, centre, waist / 2, 0.0, turn, open_foot=True)
    else:
        left, right, high = centre - waist / 2, centre + waist / 2, top - short
        key = Polygon(Role.KEY, ((left, 0.0), (right, 0.0), (right, high), (left, high)))
        yield Line(Role.DIMENSION, (right, high), (centre + tip / 2 + 1.6 * em, high))
        yield Line(Role.DIMENSION, (centre, top), (centre + tip / 2 + 1.6 * em, top))
    yield key
    yield from hatch(key.points, section_hatching(index), em, Role.KEY_HATCH)
    yield Text(TextRole.WORDS, (centre, -1.2 * em), end.words, em)
