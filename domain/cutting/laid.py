"""Where the pieces of a bar lie, and what is left of it that is worth keeping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.cutting.plan import CutBar
from domain.cutting.request import BarItem
from domain.cutting.wholes import slanting_kerf
from domain.lengths import ZERO, Length


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """A piece along a bar, from the bar's end before trimming to its own farther tip.

    ``taper``: how far the short side falls back at either end, 0 where the ends are square. ``turned``: its long
    side lies where its neighbours have the short one. ``set``: which of the bar's sets it belongs to, from 1.
    """

    mark: str
    start: Length
    end: Length
    taper: Length
    turned: bool
    set: int | None


@dataclass(frozen=True, slots=True)
class LaidBar:
    """A bar's pieces as they are sawn, from ``trim`` on; the rest begins at ``free``.

    ``offcut`` is its length, 0 where the saw leaves nothing of it.
    """

    length: Length
    trim: Length
    pieces: tuple[LaidPiece, ...]
    free: Length
    offcut: Length
    kept: bool


def laid_bar(item: BarItem, cut: CutBar) -> LaidBar:
    """The pieces of a bar in their places. The rest is kept where it is as long as the least offcut."""
    length = item.stock[cut.stock].length
    kerf = slanting_kerf(item)
    pieces = tuple(_pieces(item, cut))
    offcut = Length(max(0, cut.left.nm - kerf.nm))
    kept = ZERO < item.least_offcut <= offcut
    return LaidBar(length, item.trim, pieces, length - item.trim - offcut, offcut, kept)


def _pieces(item: BarItem, cut: CutBar) -> Iterator[LaidPiece]:
    lengths = {piece.mark: piece.length for piece in item.pieces}
    tapers = {piece.mark: _taper(piece.length, piece.short_length) for piece in item.pieces}
    matches = {match.mark: match.together for match in item.matched}
    nested, kerf = item.nest_width is not None, slanting_kerf(item)
    deep = max(tapers.values(), default=ZERO) if nested else ZERO
    end, number, turned = item.trim - kerf + deep, 0, True
    for mark in (mark for mark, count in cut.asked for _ in range(count)):
        # a neighbour that is turned over reaches back under the slant before it
        start, turned = end + kerf - deep, nested and not turned
        if mark in matches:
            number += 1
            for at, (one, length) in enumerate(matches[mark]):
                start = start if not at else end + item.kerf
                end = start + length
                yield LaidPiece(one, start, end, deep if nested else ZERO, turned, number)
        else:
            end = start + lengths[mark]
            yield LaidPiece(mark, start, end, tapers[mark], turned, None)


def _taper(length: Length, short: Length | None) -> Length:
    return ZERO if short is None else Length((length.nm - short.nm) // 2)
