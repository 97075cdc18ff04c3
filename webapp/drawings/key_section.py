"""A key in section between two parts, to scale: what the calipers measured, and the slot round it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from domain.lengths import Length, Units, format_mm
from domain.planning.fit import snug_projection
from domain.spec.catalogue import Section
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, split, upright
from webapp.drawings.hatching import WOOD, WOOD_FACING, hatch, section_hatching
from webapp.drawings.model import Drawing, Line, Point, Polygon, Role, Shape, Text, finished

EMS_ACROSS = 17
"""The wood's width in heights of text, with dimensions round it and without."""
EMS_ACROSS_BARE = 12


def draw_key_section(
    shape: Section, *, index: int = 0, tip: Length | None = None, units: Units = Units.MM, dimensions: bool = True
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
    em = 1.9 * widest / (EMS_ACROSS if dimensions else EMS_ACROSS_BARE)
    side, back = 0.95 * widest, depth + 0.4 * widest
    parts: list[Shape | Text] = [*_wood(shape.waist.mm, widest, depth, side, back, em)]
    parts += _key(shape, index, em)
    if dimensions:
        parts += _dimensions(
            shape, widest if tip is not None and depth > half_depth else None, depth, side, back, em, units
        )
    shapes, texts = split(parts)
    words = f"Key {fine_figure(shape.overall_width, units)} wide, waist {fine_figure(shape.waist.mm, units)}, "
    words += f"half depth {fine_figure(half_depth, units)}, flank {format_mm(shape.flank, 1)} degrees,"
    words += f" {shape.end.words}."
    return finished("The key in section", f"{words} {UNIT_WORDS[units]}", em, shapes, texts)


def _dovetail(mouth: float, bottom: float, depth: float, way: int) -> tuple[Point, ...]:
    """Half of the butterfly from the joint line: ``way`` 1 upwards, -1 downwards."""
    return ((-mouth / 2, 0.0), (-bottom / 2, way * depth), (bottom / 2, way * depth), (mouth / 2, 0.0))


def _wood(mouth: float, bottom: float, depth: float, side: float, back: float, em: float) -> Iterator[Shape]:
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


def _key(shape: Section, index: int, em: float) -> Iterator[Shape]:
    waist, wide, depth = shape.waist.mm, shape.overall_width, shape.half_depth.mm
    outline = (*_dovetail(waist, wide, depth, 1), *reversed(_dovetail(waist, wide, depth, -1)))
    yield Polygon(Role.KEY, outline)
    yield from hatch(outline, section_hatching(index), em, Role.KEY_HATCH)


def _dimensions(
    shape: Section, tip: float | None, depth: float, side: float, back: float, em: float, units: Units
) -> Iterator[Shape | Text]:
    wide, half_depth = shape.overall_width, shape.half_depth.mm
    low, high, right, left = -back - 1.2 * em, back + 1.2 * em, side + 1.2 * em, -side - 1.2 * em
    for x in (-wide / 2, wide / 2):
        yield extension((x, -half_depth), (x, low - 0.3 * em))
    yield from across(-wide / 2, wide / 2, low, fine_figure(wide, units), em, above=False)
    yield from across(-shape.waist.mm / 2, shape.waist.mm / 2, 0.0, fine_figure(shape.waist.mm, units), em)
    yield extension((wide / 2, -half_depth), (right + 0.3 * em, -half_depth))
    yield extension((side, 0.0), (right + 0.3 * em, 0.0))
    yield from upright(-half_depth, 0.0, right, fine_figure(half_depth, units), em, left=False)
    if tip is None:
        return
    for x in (-tip / 2, tip / 2):
        yield extension((x, depth), (x, high + 0.3 * em))
    yield from across(-tip / 2, tip / 2, high, fine_figure(tip, units), em)
    yield extension((-tip / 2, depth), (left - 0.3 * em, depth))
    yield extension((-side, 0.0), (left - 0.3 * em, 0.0))
    yield from upright(0.0, depth, left, fine_figure(depth, units), em, left=True)
