"""Dimensions: lines with ticks and a figure in the project's units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from domain.lengths import Mm, Units
from webapp.drawings.model import Anchor, Dot, Line, Point, Role, Shape, Text, TextRole
from webapp.wording.figures import as_set, fine, size

TICK = 0.28
"""Half the length of a dimension's tick, in em."""
GAP = 0.2
"""Room between figures that must not touch, in em."""
UNIT_WORDS = {Units.MM: "Dimensions in millimetres.", Units.INCH: "Dimensions in inches."}


def size_figure(mm: float, units: Units) -> str:
    """A size in a drawing's own millimetres, as the drawing writes it."""
    return size(Mm(mm), units).drawn


def set_figure(mm: float, units: Units) -> str:
    """What is set at the machine, as a drawing writes it."""
    return as_set(Mm(mm), units).drawn


def fine_figure(mm: float, units: Units) -> str:
    """A projection or a measure of key or cutter, as a drawing writes it."""
    return fine(Mm(mm), units).drawn


def tick(at: Point, em: float) -> Line:
    """The slanting stroke that ends a dimension."""
    size, (x, y) = TICK * em, at
    return Line(Role.TICK, (x - size, y - size), (x + size, y + size))


def dot(at: Point, em: float) -> Dot:
    """Where running dimensions count from."""
    return Dot(Role.TICK, at, TICK * em * 0.7)


def across(
    left: float, right: float, y: float, words: str, em: float, *, above: bool = True
) -> list[Shape | Text]:
    """A dimension from ``left`` to ``right`` at height ``y``, its figure above or below the line."""
    height = y + (0.75 if above else -0.75) * em
    return [
        Line(Role.DIMENSION, (left - 0.3 * em, y), (right + 0.3 * em, y)),
        tick((left, y), em),
        tick((right, y), em),
        Text(TextRole.FIGURE, ((left + right) / 2, height), words, em),
    ]


def upright(low: float, high: float, x: float, words: str, em: float, *, left: bool) -> list[Shape | Text]:
    """A dimension from ``low`` to ``high`` at ``x``, its figure upright on the left or the right of it."""
    at = (x + (-0.5 if left else 0.5) * em, (low + high) / 2)
    return [
        Line(Role.DIMENSION, (x, low - 0.3 * em), (x, high + 0.3 * em)),
        tick((x, low), em),
        tick((x, high), em),
        Text(TextRole.FIGURE, at, words, em, Anchor.END if left else Anchor.START),
    ]


def extension(start: Point, end: Point) -> Line:
    """A line that leads from the drawn thing out to its dimension."""
    return Line(Role.DIMENSION, start, end)


def running(
    places: Sequence[float], y: float, units: Units, em: float, origin: float = 0.0
) -> tuple[list[Shape | Text], float]:
    """Running dimensions from ``origin``: a dot there, a tick and a figure at every place.

    Figures that would touch go a row lower. Returns the parts and the height of the lowest row.
    """
    parts: list[Shape | Text] = [
        Line(Role.DIMENSION, (origin, y), (max(places), y)),
        dot((origin, y), em),
    ]
    parts += [tick((place, y), em) for place in places]
    texts = staggered(
        [(place, set_figure(place - origin, units)) for place in places], y - 0.9 * em, em, step=-1.25 * em
    )
    return [*parts, *texts], min(text.at[1] for text in texts)


def staggered(labels: Iterable[tuple[float, str]], y: float, em: float, step: float) -> list[Text]:
    """Centred figures at given x, in as many rows as keep them apart; ``step`` leads to the next row."""
    rows: list[float] = []
    texts = []
    for x, words in sorted(labels):
        text = Text(TextRole.FIGURE, (x, y), words, em)
        row = next((i for i, taken in enumerate(rows) if taken + GAP * em <= text.box.left), len(rows))
        rows[row : row + 1] = [text.box.right]
        texts.append(Text(TextRole.FIGURE, (x, y + row * step), words, em))
    return texts


def split(parts: Iterable[Shape | Text]) -> tuple[list[Shape], list[Text]]:
    """Shapes and words apart."""
    shapes: list[Shape] = []
    texts: list[Text] = []
    for part in parts:
        if isinstance(part, Text):
            texts.append(part)
        else:
            shapes.append(part)
    return shapes, texts
