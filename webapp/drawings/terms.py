"""What the words of a joint mean, drawn: a mating face with two slots, and a key across the closed joint.

The sizes are made up for the drawing; no figure is written, only what each is called.
"""

from __future__ import annotations

from itertools import pairwise

from webapp.drawings.dimensions import across, extension, split, upright
from webapp.drawings.hatching import WOOD, WOOD_FACING, hatch, section_hatching
from webapp.drawings.model import Anchor, Drawing, Line, Polygon, Role, RoundEnd, Shape, Text, TextRole, finished

_BREADTH, _RUN = 76.0, 30.0
_CENTRES = (21.0, 47.0)
_MOUTH, _DEPTH, _KEY, _RECESS = 13.0, 24.5, 21.0, 3.0
_WAIST, _HALF, _SLOPE = 11.0, 7.0, 0.22
Parts = list[Shape | Text]


def draw_face_terms() -> Drawing:
    """A mating face seen square on, keys driven in from below."""
    em = 2.6
    wood = ((0.0, 0.0), (_BREADTH, 0.0), (_BREADTH, _RUN), (0.0, _RUN))
    parts: Parts = [Polygon(Role.WOOD, wood), *hatch(wood, WOOD, em), Polygon(Role.OUTLINE, wood)]
    radius = _MOUTH / 2
    for centre in _CENTRES:
        parts.append(RoundEnd(Role.SLOT, centre, radius, 0.0, _DEPTH - radius, open_foot=True))
        parts.append(RoundEnd(Role.KEY, centre, radius * 0.86, _RECESS, _RECESS + _KEY - radius * 0.86))
        parts.append(Line(Role.CENTRE, (centre, -1.5 * em), (centre, _RUN + 1.0 * em)))
    first, last = _CENTRES
    for y, (low, high), words in (
        (-1.6 * em, (0.0, first), "slot centre"),
        (-3.6 * em, (0.0, _BREADTH), "breadth"),
        (-1.6 * em, (last, _BREADTH), "reach"),
    ):
        for x in (low, high):
            parts.append(extension((x, 0.0), (x, y - 0.3 * em)))
        parts += across(low, high, y, words, em, above=False)
    top = _RUN + 1.4 * em
    for low, high, words in (
        (0.0, first - radius, "edge wood"),
        (first + radius, last - radius, "web"),
    ):
        for x in (low, high):
            parts.append(extension((x, _RUN * 0.5), (x, top + 0.3 * em)))
        parts += across(low, high, top, words, em)
    for low, high, x, words in (
        (0.0, _RUN, -1.6 * em, "run"),
        (0.0, _RECESS, last + radius + 0.9 * em, "recess"),
        (_DEPTH, _RUN, last + radius + 0.9 * em, "skin"),
        (0.0, _DEPTH, _BREADTH + 1.6 * em, "depth"),
    ):
        parts += upright(low, high, x, words, em, left=x < 0)
    parts.append(extension((last, _DEPTH), (_BREADTH + 1.9 * em, _DEPTH)))
    parts.append(extension((last, _RECESS), (last + radius + 1.2 * em, _RECESS)))
    at = (_BREADTH + 1.6 * em, _DEPTH + 1.0 * em)
    parts.append(Text(TextRole.WORDS, at, "depth stop: ends it here", em, Anchor.START))
    for centre, words in ((first, "slot"), (last, "key")):
        parts.append(Text(TextRole.WORDS, (centre, _RUN * 0.45), words, em))
    shapes, texts = split(parts)
    return finished(
        "A mating face",
        "A mating face seen square on: two slots, each with its key, driven in from the edge below.",
        em,
        shapes,
        texts,
    )


def draw_key_terms() -> Drawing:
    """A key across the closed joint, in the slots of both pieces."""
    em, deep = 1.5, _HALF + 0.5
    tip, side = _WAIST + 2 * deep * _SLOPE, 19.0
    parts: Parts = []
    for way, hatching in ((1, WOOD), (-1, WOOD_FACING)):
        slot = ((-_WAIST / 2, 0.0), (-tip / 2, way * deep), (tip / 2, way * deep), (_WAIST / 2, 0.0))
        outline = ((-side, way * 14.0), (-side, 0.0), *slot, (side, 0.0), (side, way * 14.0))
        parts += hatch(outline, hatching, em)
        parts += [Line(Role.OUTLINE, start, end) for start, end in pairwise(outline)]
    wide = _WAIST / 2 + _HALF * _SLOPE
    key = (
        (-_WAIST / 2, 0.0),
        (-wide, _HALF),
        (wide, _HALF),
        (_WAIST / 2, 0.0),
        (wide, -_HALF),
        (-wide, -_HALF),
    )
    parts += [Polygon(Role.KEY, key), *hatch(key, section_hatching(0), em, Role.KEY_HATCH)]
    parts += across(-_WAIST / 2, _WAIST / 2, 0.0, "waist", em)
    high = deep + 2.4 * em
    for x in (-tip / 2, tip / 2):
        parts.append(extension((x, deep), (x, high + 0.3 * em)))
    parts += across(-tip / 2, tip / 2, high, "cutter tip", em)
    for low, top, x, words in (
        (0.0, deep, side + 1.6 * em, "projection"),
        (-_HALF, 0.0, side + 1.6 * em, "half depth"),
    ):
        for y in (low, top):
            parts.append(extension((_WAIST / 2, y), (x + 0.3 * em, y)))
        parts += upright(low, top, x, words, em, left=False)
    parts.append(
        Line(Role.DIMENSION, (-_WAIST / 2 - 0.6 * _SLOPE * _HALF, -0.6 * _HALF), (-side - 1.2 * em, -0.6 * _HALF))
    )
    parts.append(Text(TextRole.WORDS, (-side - 1.5 * em, -0.6 * _HALF), "flank", em, Anchor.END))
    shapes, texts = split(parts)
    return finished(
        "A key across the joint",
        "A key across the closed joint, in section: half of it in the slot of either piece.",
        em,
        shapes,
        texts,
    )
