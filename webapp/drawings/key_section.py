"""A key in section between two parts, to scale, and the slot round it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from domain.lengths import Length, Units, format_mm
from domain.planning.fit import snug_projection
from domain.spec.catalogue import Section
from webapp.drawings.dimensions import UNIT_WORDS, fine_figure
from webapp.drawings.hatching import WOOD, WOOD_FACING, hatch, section_hatching
from webapp.drawings.model import Drawing, Line, Point, Polygon, Role, Shape, finished

EMS_ACROSS = 12
"""The wood's width in heights of text."""


def draw_key_section(
    shape: Section, *, index: int = 0, tip: Length | None = None, units: Units = Units.MM
) -> Drawing:
    """The butterfly key across a closed joint, in the slots of cutter ``tip`` milled to its snug projection.

    Without ``tip``, or where it is no wider than the waist, the slots are drawn close round the key.
    ``index`` is the section's place in the catalogue, which chooses its hatching.
    """
    half_depth = shape.half_depth.mm
    depth = half_depth
    if tip is not None and tip > shape.waist:
        depth = max(snug_projection(shape, tip.mm), half_depth)
    widest = shape.waist.mm + 2 * depth * shape.slope
    em = 1.9 * widest / EMS_ACROSS
    shapes = [*wood_parts(shape.waist.mm, widest, depth, 0.95 * widest, depth + 0.4 * widest, em)]
    shapes += key_parts(shape, index, em)
    words = f"Key {fine_figure(shape.overall_width, units)} wide, waist {fine_figure(shape.waist.mm, units)}, "
    words += f"half depth {fine_figure(half_depth, units)}, flank {format_mm(shape.flank, 1)} degrees,"
    words += f" {shape.end.words}."
    return finished("The key in section", f"{words} {UNIT_WORDS[units]}", em, shapes, [])


def _dovetail(mouth: float, bottom: float, depth: float, way: int) -> tuple[Point, ...]:
    """Half of the butterfly from the joint line: ``way`` 1 upwards, -1 downwards."""
    return ((-mouth / 2, 0.0), (-bottom / 2, way * depth), (bottom / 2, way * depth), (mouth / 2, 0.0))


def wood_parts(mouth: float, bottom: float, depth: float, side: float, back: float, em: float) -> Iterator[Shape]:
    """Both parts round the key, cut off at ``side`` and ``back`` mm."""
    for way, hatching in ((1, WOOD), (-1, WOOD_FACING)):
        outline = (
            (-side, way * back),
            (-side, 0.0),
            *_dovetail(mouth, bottom, depth, way),
            (side, 0.0),
            (side, way * back),
        )
        yield from hatch(outline, hatching, em)
        # the wood goes on behind: no line along the far edge
        for start, end in pairwise(outline):
            yield Line(Role.OUTLINE, start, end)


def key_parts(shape: Section, index: int, em: float) -> Iterator[Shape]:
    """The key itself, hatched."""
    waist, wide, depth = shape.waist.mm, shape.overall_width, shape.half_depth.mm
    outline = (*_dovetail(waist, wide, depth, 1), *reversed(_dovetail(waist, wide, depth, -1)))
    yield Polygon(Role.KEY, outline)
    yield from hatch(outline, section_hatching(index), em, Role.KEY_HATCH)
