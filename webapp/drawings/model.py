"""The drawing vocabulary: lines, polygons, round-ended slots and words, in millimetres, y upwards.

A shape has a role (outline, hidden line, key …), never a weight or a colour: the stylesheet and, where
there is none, the role's own attributes say how a role looks. ``em`` is the height of the drawing's
text in mm; it follows the drawing's size, so that words stay readable whatever the assembly measures.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from math import asin, cos, pi, sin, sqrt

Point = tuple[float, float]
PLACES = 4
"""Decimals written: a tenth of a micrometre, well below what anybody mills."""
LETTER = 0.6
"""Estimated width of a character, in em; generous for figures in a sans-serif."""
LINE = 1.2
"""Height that a line of text takes, in em."""

ARC_STEPS = 16
"""Chords of a round end where a polygon stands for it, as when it is hatched."""
PIXELS = 24
"""CSS pixels to the em at a drawing's natural size; on a wide page the stylesheet letters it smaller."""


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


@dataclass(frozen=True, slots=True)
class Box:
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


def short(value: float) -> str:
    """A number for an attribute: few decimals, no trailing zeros, no minus zero."""
    text = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _at(point: Point) -> str:
    return f"{short(point[0])} {short(-point[1])}"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    role: Role
    start: Point
    end: Point

    @property
    def d(self) -> str:
        """The line as SVG path data, y downwards."""
        return f"M{_at(self.start)}L{_at(self.end)}"

    @property
    def points(self) -> tuple[Point, ...]:
        """The points that span it."""
        return (self.start, self.end)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed polygon."""

    role: Role
    points: tuple[Point, ...]

    @property
    def d(self) -> str:
        """The polygon as SVG path data, y downwards."""
        return "M" + "L".join(map(_at, self.points)) + "Z"


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
    def d(self) -> str:
        """The outline as SVG path data, y downwards."""
        left, right, radius = self.centre - self.half_width, self.centre + self.half_width, short(self.radius)
        foot = "" if self.straight == self.foot else f"L{_at((left, self.straight))}"
        back = "" if self.straight == self.foot else f"L{_at((right, self.foot))}"
        return (
            f"M{_at((left, self.foot))}{foot}A{radius} {radius} 0 0 {0 if self.down else 1} "
            f"{_at((right, self.straight))}{back}{'' if self.open_foot else 'Z'}"
        )

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
    def d(self) -> str:
        """The circle as SVG path data, y downwards."""
        (x, y), radius = self.centre, self.radius
        arc = f"A{short(radius)} {short(radius)} 0 1 1 "
        return f"M{_at((x - radius, y))}{arc}{_at((x + radius, y))}{arc}{_at((x - radius, y))}Z"

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

    @property
    def x(self) -> str:
        """SVG x."""
        return short(self.at[0])

    @property
    def y(self) -> str:
        """SVG y, downwards."""
        return short(-self.at[1])


@dataclass(frozen=True, slots=True)
class Layer:
    """Every shape of a role as one path: SVG attributes, ready to be written."""

    css: str
    d: str
    weight: str
    dashes: str
    fill: str


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

    @property
    def view_box(self) -> str:
        """SVG viewBox, in mm."""
        return f"{short(self.view.left)} {short(-self.view.high)} {short(self.width)} {short(self.height)}"

    @property
    def font_size(self) -> str:
        """Text height in mm, as an attribute."""
        return short(self.em)

    @property
    def halo(self) -> str:
        """Width of the paper-white edge that keeps words readable over lines."""
        return short(0.3 * self.em)

    @property
    def natural_width(self) -> int:
        """Width in CSS pixels at which text is as tall as a page's own; a stylesheet may change it."""
        return round(self.width / self.em * PIXELS)

    @property
    def natural_height(self) -> int:
        """Height in CSS pixels that belongs to ``natural_width``."""
        return round(self.height / self.em * PIXELS)

    @cached_property
    def layers(self) -> tuple[Layer, ...]:
        """One path for each role, in painting order."""
        found: dict[Role, list[str]] = {role: [] for role in Role}
        for shape in self.shapes:
            found[shape.role].append(shape.d)
        return tuple(
            Layer(role.css, "".join(paths), short(role.weight * self.em), _scaled(role.dashes, self.em), role.fill)
            for role, paths in found.items()
            if paths
        )


def _scaled(dashes: str, em: float) -> str:
    return " ".join(short(float(dash) * em) for dash in dashes.split())


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
