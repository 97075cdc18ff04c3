"""Cutting plans to scale: bars with their pieces, kerfs, trims and offcut; sheets with pieces, grain and cuts."""

from __future__ import annotations

from collections.abc import Iterator

from domain.cutting.laid import LaidBar, LaidPiece
from domain.cutting.sawing import Rect, SawnSheet, SheetCut
from domain.lengths import ZERO, Length, Mm, Units
from webapp.drawings.dimensions import UNIT_WORDS, across, size_figure, split, staggered
from webapp.drawings.model import (
    LETTER,
    Drawing,
    Line,
    Point,
    Polygon,
    Role,
    Shape,
    Text,
    TextRole,
    finished,
)
from webapp.wording.figures import by

EMS_ALONG, EMS_OF_SHEET = 64, 46
"""Letter heights to the length of a bar, and of a sheet."""
BAR_EMS = 2.6
"""How high a bar is drawn where nothing is known of its width, in em."""


def draw_bar(name: str, laid: LaidBar, width: Length | None, units: Units) -> Drawing:
    """A bar from its left end: trims and waste hatched with a dash, pieces by mark, an offcut that is kept dashed.

    ``width`` is the bar's, where its pieces lie tip to tip; else it is drawn as high as letters need.
    """
    length = laid.length.mm
    em = length / EMS_ALONG
    high = BAR_EMS * em if width is None else float(width.mm)
    parts: list[Shape | Text] = [_rectangle(Role.OUTLINE, 0, 0, length, high)]
    below: list[tuple[float, str]] = []
    for piece in laid.pieces:
        parts.append(Polygon(Role.WOOD, tuple(_piece(piece, high))))
        parts.append(Polygon(Role.OUTLINE, tuple(_piece(piece, high))))
        middle = (piece.start.mm + piece.end.mm) / 2
        room = piece.end.mm - piece.start.mm - 2 * piece.taper.mm
        if LETTER * em * (len(piece.mark) + 1) <= room and high >= 1.3 * em:
            parts.append(Text(TextRole.MEMBER, (middle, high / 2), piece.mark, em))
            below.append((middle, size_figure(piece.end.mm - piece.start.mm, units)))
        else:
            below.append((middle, f"{piece.mark} {size_figure(piece.end.mm - piece.start.mm, units)}"))
    if laid.trim > ZERO:
        parts += [Line(Role.HIDDEN, (x, 0), (x, high)) for x in (laid.trim.mm, length - laid.trim.mm)]
    if laid.offcut > ZERO:
        left, right = laid.free.mm, length - laid.trim.mm
        parts.append(_rectangle(Role.HIDDEN, left, 0, right, high))
        word = "keep" if laid.kept else "left"
        below.append(((left + right) / 2, f"{word} {size_figure(right - left, units)}"))
    parts += _sets(laid, high, em)
    parts += staggered(below, -0.9 * em, em, step=-1.25 * em)
    shapes, texts = split(parts)
    describes = (
        f"To scale along the bar. {UNIT_WORDS[units]} Dashed: what is trimmed off the ends, and what is left over;"
        " the gaps between pieces are kerfs."
    )
    return finished(name, describes, em, shapes, texts)


def _piece(piece: LaidPiece, high: float) -> Iterator[Point]:
    start, end, taper = piece.start.mm, piece.end.mm, piece.taper.mm
    low, top = (taper, 0.0) if piece.turned else (0.0, taper)
    yield from ((start + low, 0.0), (end - low, 0.0), (end - top, high), (start + top, high))


def _sets(laid: LaidBar, high: float, em: float) -> Iterator[Shape | Text]:
    """A line over every set of pieces that belong together."""
    for number in sorted({piece.set for piece in laid.pieces if piece.set is not None}):
        those = [piece for piece in laid.pieces if piece.set == number]
        yield from across(those[0].start.mm, those[-1].end.mm, high + 0.7 * em, "from one length", em)


def draw_sheet(name: str, sawn: SawnSheet, size: tuple[Length, Length], units: Units) -> Drawing:
    """A sheet seen from above, its length from left to right: pieces with mark and size, cuts by number."""
    length, width = size[0].mm, size[1].mm
    em = max(length, width) / EMS_OF_SHEET
    parts: list[Shape | Text] = [_rectangle(Role.OUTLINE, 0, 0, length, width)]
    trimmed = _mm(sawn.trimmed)
    parts.append(_rectangle(Role.HIDDEN, *trimmed))
    for part, piece in sawn.pieces:
        left, low, right, top = _mm(part)
        parts.append(_rectangle(Role.WOOD, left, low, right, top))
        parts.append(_rectangle(Role.OUTLINE, left, low, right, top))
        middle = (left + right) / 2, (low + top) / 2
        figure = by(units, piece.length, piece.width).replace("\xa0", " ")
        fits = LETTER * em * len(figure) <= right - left and top - low >= 2.6 * em
        parts.append(Text(TextRole.MEMBER, (middle[0], middle[1] + (0.65 * em if fits else 0)), piece.mark, em))
        if fits:
            parts.append(Text(TextRole.FIGURE, (middle[0], middle[1] - 0.65 * em), figure, em))
    for number, cut in enumerate(sawn.cuts, start=1):
        parts += _cut(number, cut, em)
    parts += across(0, length, -1.2 * em, size_figure(Mm(length), units), em, above=False)
    parts += _grain(length, width, em)
    shapes, texts = split(parts)
    describes = (
        f"To scale. {UNIT_WORDS[units]} The sheet's length, and its grain, run from left to right. Numbers are the"
        " cuts in their order, each at the end of its line; thin lines are where the saw goes."
    )
    return finished(name, describes, em, shapes, texts)


def _cut(number: int, cut: SheetCut, em: float) -> Iterator[Shape | Text]:
    """The line of the saw's near side, and its number beyond the end where it begins."""
    left, low, right, top = _mm(cut.of)
    at = cut.at.mm
    if cut.along:
        yield Line(Role.CENTRE, (left, low + at), (right, low + at))
        yield Text(TextRole.JOINT, (right - 0.9 * em, low + at), str(number), em)
    else:
        yield Line(Role.CENTRE, (left + at, low), (left + at, top))
        yield Text(TextRole.JOINT, (left + at, top - 0.8 * em), str(number), em)


def _grain(length: float, width: float, em: float) -> Iterator[Shape | Text]:
    """An arrow along the sheet."""
    y, start, end = width + em, 0.0, min(length, 10 * em)
    yield Line(Role.TICK, (start, y), (end, y))
    for x in (start, end):
        back = 0.6 * em if x == start else -0.6 * em
        yield Line(Role.TICK, (x, y), (x + back, y + 0.3 * em))
        yield Line(Role.TICK, (x, y), (x + back, y - 0.3 * em))
    yield Text(TextRole.WORDS, (end + 2.4 * em, y), "grain", em)


def _rectangle(role: Role, left: float, low: float, right: float, high: float) -> Polygon:
    return Polygon(role, ((left, low), (right, low), (right, high), (left, high)))


def _mm(part: Rect) -> tuple[float, float, float, float]:
    return part.left / 1e6, part.low / 1e6, part.right / 1e6, part.high / 1e6
