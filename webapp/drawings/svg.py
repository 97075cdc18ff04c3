"""Drawings written as SVG: the one place that knows how. Page, file and paper share it.

The attributes make a drawing whole without a stylesheet, on paper or in a file; static/base.css
overrides them on the page. Plain text is put together here rather than by a template, because a drawing
is written anew with every key press in a form.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from markupsafe import Markup, escape

from webapp.drawings.model import Dot, Drawing, Line, Point, Polygon, Role, RoundEnd, Shape, Text, TextRole

PLACES = 4
"""Decimals written: a tenth of a micrometre, well below what anybody mills."""
PIXELS = 24
"""CSS pixels to the em at a drawing's natural size; on a wide page the stylesheet letters it smaller."""
HALO = 0.3
"""Width in em of the paper-white edge that keeps words readable over lines."""
_BOLD = {TextRole.MEMBER, TextRole.JOINT}
_ROUND = 'stroke-linecap="round" stroke-linejoin="round"'


def svg(
    drawing: Drawing, identity: str, css: str = "drawing", family: str = "sans-serif", pixels: int = PIXELS
) -> Markup:
    """The drawing for a page, with an ``identity`` that is unique on it, such as "joint-A-J1".

    ``pixels`` are CSS pixels to the em where nothing makes it smaller.
    """
    name = escape(identity)
    width, height = (round(side / drawing.em * pixels) for side in (drawing.width, drawing.height))
    described = f" {name}-desc" if drawing.describes else ""
    desc = f'<desc id="{name}-desc">{escape(drawing.describes)}</desc>\n' if drawing.describes else ""
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{escape(css)}" viewBox="{view_box(drawing)}"'
        f' width="{width}" height="{height}" role="img" aria-labelledby="{name}-title{described}"'
        f' font-size="{short(drawing.em)}" font-family="{escape(family)}" fill="none"'
        f' stroke="currentColor" {_ROUND}>\n'
        f'<title id="{name}-title">{escape(drawing.name)}</title>\n{desc}{_strokes(drawing)}</svg>'
    )


def thumbnail(drawing: Drawing) -> Markup:
    """The bare lines, as small as the stylesheet makes them; what they show stands beside them."""
    paths = "".join(f'<path class="{role.css}" d="{d}"/>' for role, d in _layers(drawing.shapes))
    return Markup(
        f'<svg class="thumbnail" viewBox="{view_box(drawing)}" fill="none" stroke="currentColor"'
        f' stroke-linejoin="round">{paths}</svg>'
    )


def svg_file(drawing: Drawing) -> str:
    """The drawing as a file of its own, in millimetres: printed at 100 % it is as large as what it shows."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view_box(drawing)}"'
        f' width="{short(drawing.width)}mm" height="{short(drawing.height)}mm" role="img"'
        ' aria-labelledby="title desc"'
        f' font-size="{short(drawing.em)}" font-family="sans-serif" fill="none"'
        f' stroke="#000" color="#000" {_ROUND}>\n'
        f'<title id="title">{escape(drawing.name)}</title>\n'
        f'<desc id="desc">{escape(drawing.describes)}</desc>\n{_strokes(drawing)}</svg>'
    )


def view_box(drawing: Drawing) -> str:
    """The viewBox, in mm."""
    view = drawing.view
    return f"{short(view.left)} {short(-view.high)} {short(drawing.width)} {short(drawing.height)}"


def short(value: float) -> str:
    """A number for an attribute: few decimals, no trailing zeros, no minus zero."""
    text = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _strokes(drawing: Drawing) -> str:
    em = drawing.em
    written = [
        f'<path class="{role.css}" d="{d}" fill="{role.fill}" stroke-width="{short(role.weight * em)}"'
        f"{_dashes(role, em)}/>\n"
        for role, d in _layers(drawing.shapes)
    ]
    if drawing.texts:
        written.append(
            f'<g class="lettering" fill="currentColor" stroke="#fff" stroke-width="{short(HALO * em)}"'
            ' paint-order="stroke">\n'
        )
        written += map(_text, drawing.texts)
        written.append("</g>\n")
    return "".join(written)


def _dashes(role: Role, em: float) -> str:
    lengths = " ".join(short(float(dash) * em) for dash in role.dashes.split())
    return f' stroke-dasharray="{lengths}"' if lengths else ""


def _text(text: Text) -> str:
    # .35 em under their middle height is where figures look centred
    bold = ' font-weight="700"' if text.role in _BOLD else ""
    return (
        f'<text class="{text.role.value}" x="{short(text.at[0])}" y="{short(-text.at[1])}" dy=".35em"'
        f' text-anchor="{text.anchor.value}"{bold}>{escape(text.words)}</text>\n'
    )


def _layers(shapes: Iterable[Shape]) -> list[tuple[Role, str]]:
    """Every shape of a role as one path, in painting order."""
    found: dict[str, list[str]] = {}
    for shape in shapes:
        found.setdefault(shape.role.css, []).append(_path(shape))
    return [(role, _trimmed("".join(paths))) for role in Role if (paths := found.get(role.css))]


_TRAILING = re.compile(r"(?<=\d)\.?0+(?=[ LAMZ]|$)")
_MINUS_ZERO = f"-{0:.{PLACES}f}"
# this way a number is written twice as fast as in an f-string
_NUMBER = f"%.{PLACES}f"
_POINT = f"{_NUMBER} {_NUMBER}"
_LINE = f"M{_POINT}L{_POINT}"


def _trimmed(numbers: str) -> str:
    """Text whose numbers have all their decimals, without trailing zeros and minus zeros: ``short``, for many."""
    return _TRAILING.sub("", numbers.replace(_MINUS_ZERO, _MINUS_ZERO[1:]))


def _path(shape: Shape) -> str:
    """The shape as path data, y downwards, every number with all its decimals."""
    if isinstance(shape, Line):
        (x0, y0), (x1, y1) = shape.start, shape.end
        return _LINE % (x0, -y0, x1, -y1)
    if isinstance(shape, Polygon):
        return f"M{'L'.join(map(_at, shape.points))}Z"
    return _dot(shape) if isinstance(shape, Dot) else _round_end(shape)


def _at(point: Point) -> str:
    return _POINT % (point[0], -point[1])


def _dot(dot: Dot) -> str:
    (x, y), radius = dot.centre, dot.radius
    arc = f"A{_POINT % (radius, radius)} 0 1 1 "
    return f"M{_at((x - radius, y))}{arc}{_at((x + radius, y))}{arc}{_at((x - radius, y))}Z"


def _round_end(slot: RoundEnd) -> str:
    left, right, radius = slot.centre - slot.half_width, slot.centre + slot.half_width, _NUMBER % slot.radius
    foot = "" if slot.straight == slot.foot else f"L{_at((left, slot.straight))}"
    back = "" if slot.straight == slot.foot else f"L{_at((right, slot.foot))}"
    return (
        f"M{_at((left, slot.foot))}{foot}A{radius} {radius} 0 0 {0 if slot.down else 1} "
        f"{_at((right, slot.straight))}{back}{'' if slot.open_foot else 'Z'}"
    )
