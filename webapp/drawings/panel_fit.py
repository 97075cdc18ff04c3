"""A solid panel's edge in its groove or rabbet, in section and to scale, at its narrowest and at its widest.

One edge stands for both: the panel is pinned in the middle and moves as much to either side.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from domain.lengths import Units
from domain.moving.panels import PanelFit
from domain.spec.assemblies import Fit
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, split
from webapp.drawings.hatching import WOOD, WOOD_FACING, hatch
from webapp.drawings.model import Anchor, Drawing, Line, Point, Polygon, Role, Shape, Text, TextRole, finished
from webapp.wording.movement import percent

Parts = Iterator[Shape | Text]


def draw_panel_fit(panel: PanelFit, units: Units) -> Drawing:
    """The bar's edge on the left and the panel's on the right, at each end of the season, the driest above."""
    depth, wide = panel.let_in.depth, panel.let_in.width
    em = max(depth * 2.9, wide * 4) / 20
    high = max(wide, panel.part.thickness) + 2.2 * em
    parts: list[Shape | Text] = []
    states = [(panel.narrow, panel.dry), (panel.wide, panel.wet)]
    for place, (stays, moisture) in enumerate(states):
        parts += _state(panel, stays, moisture, -place * (high + 6.2 * em), high, em, units)
    shapes, texts = split(parts)
    part = panel.part
    name = f"{part.mark} {part.name} in its {panel.let_in.fit.value}"
    describes = (
        f"Cut to its eased size: {_said(panel.narrow, units)} at {percent(panel.dry)},"
        f" {_said(panel.wide, units)} at {percent(panel.wet)}. {UNIT_WORDS[units]}"
    )
    return finished(name, describes, em, shapes, texts)


def _said(stays: float, units: Units) -> str:
    return f"{fine_figure(stays, units)} stays in" if stays > 0 else "it drops out"


def _state(
    panel: PanelFit, stays: float, moisture: float, middle: float, high: float, em: float, units: Units
) -> Parts:
    depth, wide, thick = panel.let_in.depth, panel.let_in.width, panel.part.thickness
    bar = _bar(panel.let_in.fit, depth, wide, middle, high, em)
    yield Polygon(Role.WOOD, bar)
    yield from hatch(bar, WOOD, em)
    # where the wood goes on, it has no outline
    yield from _outline(bar[1:] if panel.let_in.fit is Fit.RABBET else bar[1:-1])
    edge, right = -stays, 1.1 * depth
    low = middle - wide / 2 if panel.let_in.fit is Fit.RABBET else middle - thick / 2
    board = ((right, low), (edge, low), (edge, low + thick), (right, low + thick))
    yield Polygon(Role.WOOD, board)
    yield from hatch(board, WOOD_FACING, em)
    yield from _outline(board)
    top = middle + high / 2
    above, below = top + 1.2 * em, middle - high / 2 - 1.2 * em
    if stays > 0:
        for x in (edge, 0.0):
            yield extension((x, low + thick), (x, above + 0.3 * em))
        yield from across(edge, 0.0, above, fine_figure(stays, units), em)
    gap = depth - stays
    if gap > 0.005:
        for x in (-depth, edge):
            yield extension((x, low), (x, below - 0.3 * em))
        yield from across(-depth, edge, below, fine_figure(gap, units), em, above=False)
    yield Text(TextRole.WORDS, (right + 0.8 * em, middle), f"at {percent(moisture)}", em, Anchor.START)


def _outline(points: tuple[Point, ...]) -> Parts:
    return (Line(Role.OUTLINE, start, end) for start, end in pairwise(points))


def _bar(fit: Fit, depth: float, wide: float, middle: float, high: float, em: float) -> tuple[Point, ...]:
    """The bar's section from the top left round to the bottom left; a rabbet is open below."""
    left = -depth - 3.2 * em
    top, low = middle + high / 2, middle - high / 2
    upper, lower = middle + wide / 2, middle - wide / 2
    if fit is Fit.RABBET:
        return ((left, top), (0.0, top), (0.0, upper), (-depth, upper), (-depth, lower), (left, lower))
    inner = ((0.0, upper), (-depth, upper), (-depth, lower), (0.0, lower))
    return ((left, top), (0.0, top), *inner, (0.0, low), (left, low))
