"""A straight line cut to what shows of it through a convex opening."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.drawings.model import Point

Segment = tuple[Point, Point]
TOUCH = 1e-6


def clipped(line: Segment, opening: Sequence[Point]) -> Segment | None:
    """The part of ``line`` inside the convex polygon, wound either way; None where there is none.

    >>> clipped(((-1.0, 1.0), (9.0, 1.0)), [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    ((0.0, 1.0), (4.0, 1.0))
    """
    (x0, y0), (x1, y1) = line
    dx, dy = x1 - x0, y1 - y0
    enter, leave = 0.0, 1.0
    turn = 1.0 if _area(opening) > 0 else -1.0
    for (ax, ay), (bx, by) in zip(opening, (*opening[1:], opening[0]), strict=True):
        # how far inside an edge the line begins, and how much it gains on its way
        inside = turn * ((bx - ax) * (y0 - ay) - (by - ay) * (x0 - ax))
        gain = turn * ((bx - ax) * dy - (by - ay) * dx)
        if abs(gain) < TOUCH:
            if inside < -TOUCH:
                return None
        elif gain > 0:
            enter = max(enter, -inside / gain)
        else:
            leave = min(leave, -inside / gain)
    if leave - enter < TOUCH:
        return None
    return (x0 + enter * dx, y0 + enter * dy), (x0 + leave * dx, y0 + leave * dy)


def _area(points: Sequence[Point]) -> float:
    """Twice the area, positive where the points run anticlockwise."""
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True))
