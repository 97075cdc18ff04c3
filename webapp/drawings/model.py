"""The drawing vocabulary: lines, polygons, round-ended slots and words, in millimetres, y upwards.

A shape has a role (outline, hidden line, key …), never a weight or a colour: the stylesheet and, where
there is none, the role's own attributes say how a role looks. ``em`` is the height of the drawing's
text in mm; it follows the drawing's size, so that words stay readable whatever the assembly measures.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import asin, cos, pi, sin, sqrt
from typing import NamedTuple

Point = tuple[float, float]
LETTER = 0.6
"""Estimated width of a character, in em; generous for figures in a sans-serif."""
LINE = 1.2
"""Height that a line of text takes, in em."""

ARC_STEPS = 16
"""Chords of a round end where a polygon stands for it, as when it is hatched."""


class Role(Enum):
    """What a shape stands for: class, stroke width and dashes in em, and fill. Painted in this order."""

    WOOD = ("wood", 0.0, "", "#fff")
    HATCH = ("hatch-line", 0.035, "", "none")
    SLOT = ("slot", 0.08, "", "#fff")
    KEY = ("key", 0.07, "", "#fff")
    KEY_HATCH = ("hatch-line key-hatch", 0.035, "", "none")
    ALLOWED = ("allowed", 0.05, "", "#fff")
    HIDDEN = ("hidden-line", 0.05, "0.25 0.16", "none")
    THIN = ("thin", 0.05, "", "none")
    WALL = ("wall", 0.16, "", "none")
    OUTLINE = ("outline", 0.1, "", "none")
    JOINT = ("joint-line", 0.16, "", "none")
    CENTRE = ("centre-line", 0.05, "0.6 0.15 0.1 0.15", "none")
    DIMENSION = ("dimension", 0.04, "", "none")
    TICK = ("tick", 0.09, "", "none")

    def __init__(self, css: str, weight: float, dashes: str, fill: str) -> None:
        self.css = css
        self.weight = weight
        self.dashes = dashes
        self.fill = fill


class Anchor(Enum):
    """Which part of a text stands at its point, as SVG calls it."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class TextRole(Enum):
    """What words are: the value is their class."""

    FIGURE = "dimension-figure"
    MEMBER = "member-mark"
    JOINT = "joint-mark"
    WORDS = "words"


class Box(NamedTuple):
    """An upright rectangle in mm, y upwards."""

    left: float
    low: float
    right: float
    high: float

    def overlaps(self, other: Box) -> bool:
        """True where the two share more than an edge."""
        return (
            self.left < other.right and other.left < self.right and self.low < other.high and other.low < self.high
        )

    def grown(self, by: float) -> Box:
        """The box with ``by`` mm more on every side."""
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)

    def union(self, other: Box) -> Box:
        """The least box that holds both."""
        return Box(
            min(self.left, other.left),
            min(self.low, other.low),
            max(self.right, other.right),
            max(self.high, other.high),
        )


class Line(NamedTuple):
    """A straight line."""

    role: Role
    start: Point
    end: Point

    @property
    def points(self) -> tuple[Point, ...]:
        """The points that span it."""
        return (self.start, self.end)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed polygon."""

    role: Role
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class RoundEnd:
    """A slot or key seen square on: straight from ``foot``, ending in a semicircle about ``turn``.

    ``foot`` and ``turn`` are heights in mm; a slot from the far edge runs down. One shallower than its
    radius is the part of the circle beyond the foot. ``open_foot`` leaves the entry edge undrawn.
    """

    role: Role
    centre: float
    radius: float
    foot: float
    turn: float
    down: bool = False
    open_foot: bool = False

    @property
    def top(self) -> float:
        """The height that the round end reaches."""
        return self.turn - self.radius if self.down else self.turn + self.radius

    @property
    def straight(self) -> float:
        """The height where the straight sides meet the arc."""
        return min(self.foot, self.turn) if self.down else max(self.foot, self.turn)

    @property
    def half_width(self) -> float:
        """Half the width at ``straight``: the radius, or half the chord of a shallow one."""
        rise = self.straight - self.turn
        return sqrt(max(0.0, self.radius**2 - rise**2))

    @property
    def points(self) -> tuple[Point, ...]:
        """The shape as a polygon: its arc in short chords."""
        start = asin(min(1.0, abs(self.straight - self.turn) / self.radius))
        way = -1 if self.down else 1
        turns = [start + (pi - 2 * start) * step / ARC_STEPS for step in range(ARC_STEPS + 1)]
        arc = [(self.centre + self.radius * cos(t), self.turn + way * self.radius * sin(t)) for t in turns]
        return ((self.centre - self.half_width, self.foot), (self.centre + self.half_width, self.foot), *arc)


@dataclass(frozen=True, slots=True)
class Dot:
    """A small circle: where running dimensions count from."""

    role: Role
    centre: Point
    radius: float

    @property
    def points(self) -> tuple[Point, ...]:
        """Opposite corners of the square round it."""
        (x, y), radius = self.centre, self.radius
        return ((x - radius, y - radius), (x + radius, y + radius))


Shape = Line | Polygon | RoundEnd | Dot


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words, standing upright with its middle height at ``at``. ``em`` in mm."""

    role: TextRole
    at: Point
    words: str
    em: float
    anchor: Anchor = Anchor.MIDDLE

    @property
    def box(self) -> Box:
        """The room that the words take, estimated."""
        width, half = LETTER * self.em * len(self.words), LINE * self.em / 2
        x, y = self.at
        left = x
        if self.anchor is not Anchor.START:
            left -= width if self.anchor is Anchor.END else width / 2
        return Box(left, y - half, left + width, y + half)


@dataclass(frozen=True)
class Drawing:
    """A finished drawing: shapes and words in mm within ``view``, y upwards, at true scale.

    ``name`` and ``describes`` are read out where a picture cannot be seen; ``describes`` also does as
    a caption.
    """

    name: str
    describes: str
    view: Box
    em: float
    shapes: tuple[Shape, ...]
    texts: tuple[Text, ...] = ()

    @property
    def width(self) -> float:
        """Width of the view in mm."""
        return self.view.right - self.view.left

    @property
    def height(self) -> float:
        """Height of the view in mm."""
        return self.view.high - self.view.low


def finished(
    name: str, describes: str, em: float, shapes: Iterable[Shape], texts: Iterable[Text] = (), margin: float = 0.6
) -> Drawing:
    """A drawing whose view holds every shape and word, with ``margin`` em of paper round them."""
    shapes, texts = tuple(shapes), tuple(texts)
    xs = [x for shape in shapes for x, _ in shape.points]
    ys = [y for shape in shapes for _, y in shape.points]
    view = Box(min(xs), min(ys), max(xs), max(ys))
    for text in texts:
        view = view.union(text.box)
    return Drawing(name, describes, view.grown(margin * em), em, shapes, texts)
