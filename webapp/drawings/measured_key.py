"""The key that is being measured, with every measure's number and word on its dimension line.

The numbers are those of the list that says how to measure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from domain.lengths import Length, Mm, Units, format_mm
from domain.measuring.proportions import DepthOver
from domain.planning.fit import beyond_key, snug_projection
from domain.spec.catalogue import Section
from webapp.drawings.dimensions import UNIT_WORDS, extension, fine_figure, split, tick
from webapp.drawings.key_section import key_parts, wood_parts
from webapp.drawings.model import Anchor, Drawing, Line, Role, Shape, Text, TextRole, finished

EMS_ACROSS = 15
"""The wood's width in heights of text."""
_LINE = 1.25
"""From one line of words to the next, in em."""


@dataclass(frozen=True, slots=True)
class KnownMeasures:
    """What of a key has been measured, or follows from that; ``over`` tells what the depth was measured over."""

    overall: Mm | None = None
    waist: Length | None = None
    depth: Length | None = None
    over: DepthOver | None = None
    flank: float | None = None
    tip: Length | None = None

    @property
    def whole(self) -> bool:
        """True where the key's shape is known."""
        return None not in (self.waist, self.depth, self.over, self.flank)


def draw_measured_key(shape: Section, known: KnownMeasures, *, index: int = 0, units: Units = Units.MM) -> Drawing:
    """The key across a closed joint: to scale where it is known, else as keys usually are.

    A dimension says its number and word always, its figure only where that is known. Where cutter and key are
    known the slots are milled to the snug projection. ``index`` chooses the hatching.
    """
    half, waist = shape.half_depth.mm, shape.waist.mm
    known_tip = known.tip if known.whole and known.tip is not None and known.tip > shape.waist else None
    depth = half if known_tip is None else max(snug_projection(shape, known_tip.mm), half)
    widest = waist + 2 * depth * shape.slope
    em = 1.9 * widest / EMS_ACROSS
    room = _Room(shape, depth, widest, 0.95 * widest, depth + 0.4 * widest, em, units)
    parts: list[Shape | Text] = [*wood_parts(waist, widest, depth, room.side, room.back, em)]
    parts += key_parts(shape, index, em)
    parts += _overall(room, known)
    parts += _waist(room, known)
    parts += _depth(room, known)
    parts += _flank(room, known)
    parts += _cutter(room, known, known_tip)
    shapes, texts = split(parts)
    words = " ".join((*_said(known, units), UNIT_WORDS[units]))
    return finished("The key that is measured, in section", words, em, shapes, texts)


def draw_whole_key(section: Section, units: Units) -> Drawing:
    """A section of which everything is known, measured over the whole key."""
    known = KnownMeasures(
        Mm(section.overall_width),
        section.waist,
        section.half_depth * 2,
        DepthOver.WHOLE_KEY,
        section.flank,
        section.tip_diameter,
    )
    return draw_measured_key(section, known, units=units)


@dataclass(frozen=True, slots=True)
class _Room:
    shape: Section
    depth: float
    widest: float
    side: float
    back: float
    em: float
    units: Units

    def figure(self, length: float | Length | None) -> str:
        if length is None:
            return ""
        return fine_figure(length.mm if isinstance(length, Length) else length, self.units)

    def lines(self, x: float, y: float, words: tuple[str, ...], anchor: Anchor = Anchor.MIDDLE) -> Iterator[Text]:
        """Words under one another about the height ``y``; nothing for a line that is empty."""
        said = [line for line in words if line]
        top = y + (len(said) - 1) / 2 * _LINE * self.em
        for place, line in enumerate(said):
            yield Text(TextRole.FIGURE, (x, top - place * _LINE * self.em), line, self.em, anchor)

    def level(self, left: float, right: float, y: float) -> Iterator[Shape]:
        em = self.em
        yield Line(Role.DIMENSION, (left - 0.3 * em, y), (right + 0.3 * em, y))
        yield from (tick((left, y), em), tick((right, y), em))

    def plumb(self, low: float, high: float, x: float) -> Iterator[Shape]:
        em = self.em
        yield Line(Role.DIMENSION, (x, low - 0.3 * em), (x, high + 0.3 * em))
        yield from (tick((x, low), em), tick((x, high), em))


def _overall(room: _Room, known: KnownMeasures) -> Iterator[Shape | Text]:
    wide, y, em = room.shape.overall_width / 2, -room.back - 1.2 * room.em, room.em
    for x in (-wide, wide):
        yield extension((x, -room.shape.half_depth.mm), (x, y - 0.3 * em))
    yield from room.level(-wide, wide, y)
    yield from room.lines(0.0, y - 0.9 * em, (f"1 overall width {room.figure(known.overall)}".strip(),))


def _waist(room: _Room, known: KnownMeasures) -> Iterator[Shape | Text]:
    half, em = room.shape.waist.mm / 2, room.em
    yield from room.level(-half, half, 0.0)
    yield from room.lines(0.0, 0.8 * em, ("2 waist",))
    yield from room.lines(0.0, -0.8 * em, (room.figure(known.waist),))


def _depth(room: _Room, known: KnownMeasures) -> Iterator[Shape | Text]:
    """One dimension where it is said what was measured, both where it is not."""
    for over in DepthOver:
        if known.over in (None, over):
            way: Literal[1, -1] = -1 if known.over is None and over is DepthOver.ONE_SIDE else 1
            yield from _depth_over(room, known, over, way)


def _depth_over(room: _Room, known: KnownMeasures, over: DepthOver, way: Literal[1, -1]) -> Iterator[Shape | Text]:
    half, wide, em = room.shape.half_depth.mm, room.shape.overall_width / 2, room.em
    x = way * (room.side + 1.2 * em)
    high, begins = (half, wide) if over is DepthOver.WHOLE_KEY else (0.0, room.side)
    yield extension((way * wide, -half), (x + way * 0.3 * em, -half))
    yield extension((way * begins, high), (x + way * 0.3 * em, high))
    yield from room.plumb(-half, high, x)
    words = ("3 depth,", "whole key" if over is DepthOver.WHOLE_KEY else "one side")
    figure = room.figure(known.depth if known.over is over else None)
    at = (x + way * 0.5 * em, (high - half) / 2)
    yield from room.lines(*at, (*words, figure), Anchor.START if way == 1 else Anchor.END)


def _flank(room: _Room, known: KnownMeasures) -> Iterator[Shape | Text]:
    shape, em = room.shape, room.em
    middle = (shape.waist.mm / 2 + shape.overall_width / 2) / 2
    y = room.back - 1.1 * em
    yield Line(Role.DIMENSION, (middle, shape.half_depth.mm / 2), (room.side + 0.4 * em, y))
    figure = "" if known.flank is None else f"{format_mm(known.flank, 1)}°"
    yield from room.lines(room.side + 0.7 * em, y, ("5 flank", figure), Anchor.START)


def _cutter(room: _Room, known: KnownMeasures, tip: Length | None) -> Iterator[Shape | Text]:
    if tip is None:
        return
    half, y, em = tip.mm / 2, room.back + 1.2 * room.em, room.em
    for x in (-half, half):
        yield extension((x, room.depth), (x, y + 0.3 * em))
    yield from room.level(-half, half, y)
    yield from room.lines(0.0, y + 0.9 * em, (f"4 cutter tip {room.figure(tip)}",))
    if beyond_key(room.shape, tip.mm).nm < 0:
        return
    x = -room.side - 1.2 * em
    yield extension((-half, room.depth), (x - 0.3 * em, room.depth))
    yield extension((-room.side, 0.0), (x - 0.3 * em, 0.0))
    yield from room.plumb(0.0, room.depth, x)
    yield from room.lines(
        x - 0.5 * em, room.depth / 2, ("snug", "projection", room.figure(room.depth)), Anchor.END
    )


def _said(known: KnownMeasures, units: Units) -> Iterator[str]:
    """The drawing in words: what is known of the key."""
    lengths = (
        ("Overall width", known.overall),
        ("waist", None if known.waist is None else known.waist.mm),
        (
            f"depth over {known.over.words}" if known.over else "depth",
            None if known.depth is None else known.depth.mm,
        ),
        ("cutter tip", None if known.tip is None else known.tip.mm),
    )
    said = [f"{name} {fine_figure(mm, units)}" for name, mm in lengths if mm is not None]
    said += [] if known.flank is None else [f"flank {format_mm(known.flank, 1)} degrees"]
    yield (", ".join(said) + ".") if said else "Nothing is measured yet."
