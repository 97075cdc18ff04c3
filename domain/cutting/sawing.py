"""In what order a sheet is sawn: cuts that each go through what lies on the saw from edge to edge.

The plan says where pieces lie; that they can be sawn so is a plan's own promise. Here it is kept: the sheet is
taken apart by cuts that no piece stands in the way of, strips first, each measured from an edge that is there.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from domain.cutting.plan import CutSheet, Placed
from domain.cutting.request import SheetItem
from domain.lengths import ZERO, Length


class Rect(NamedTuple):
    """A part of a sheet: from its corner, along the sheet and across it, nanometres."""

    left: int
    low: int
    right: int
    high: int

    @property
    def length(self) -> Length:
        """How far it goes along the sheet."""
        return Length(self.right - self.left)

    @property
    def width(self) -> Length:
        """How far it goes across the sheet."""
        return Length(self.high - self.low)


@dataclass(frozen=True, slots=True)
class SheetCut:
    """One pass of the saw through ``of``, at ``at`` from its edge: ``near`` lies before the saw, ``far`` beyond.

    ``along``: the saw runs along the sheet's length, and ``at`` is measured across it. Where nothing is left on a
    side, that is None.
    """

    of: Rect
    along: bool
    at: Length
    near: Rect | None
    far: Rect | None


@dataclass(frozen=True, slots=True)
class SawnSheet:
    """A sheet's cuts in order, from its trimmed rectangle on; what falls free, each as large as it is."""

    trimmed: Rect
    cuts: tuple[SheetCut, ...]
    pieces: tuple[tuple[Rect, Placed], ...]
    offcuts: tuple[Rect, ...]


def sawn_sheet(item: SheetItem, cut: CutSheet) -> SawnSheet:
    """The cuts that free every piece of a sheet. Raises ValueError where no cut goes from edge to edge."""
    stock, trim = item.stock[cut.stock], item.trim.nm
    trimmed = Rect(trim, trim, stock.length.nm - trim, stock.width.nm - trim)
    cuts, pieces, offcuts = list[SheetCut](), list[tuple[Rect, Placed]](), list[Rect]()
    waiting = deque([(trimmed, [(_rect(piece), piece) for piece in cut.placed])])
    while waiting:
        part, placed = waiting.popleft()
        if not placed:
            offcuts.append(part)
            continue
        if len(placed) == 1 and placed[0][0] == part:
            pieces.append(placed[0])
            continue
        found = _cut(part, placed, item.kerf.nm)
        cuts.append(found)
        near, far = ([each for each in placed if _beyond(found, each[0]) is side] for side in (False, True))
        # the rest stays on the saw while it is cut the same way; what fell free waits its turn
        if found.near:
            waiting.append((found.near, near))
        if found.far:
            rest = (found.far, far)
            _first(waiting, rest) if far and _goes(found.far, far, item.kerf.nm, found.along) else waiting.append(
                rest
            )
    return SawnSheet(trimmed, tuple(cuts), tuple(pieces), tuple(offcuts))


def worth_keeping(offcuts: Sequence[Rect], least: Length) -> tuple[Rect, ...]:
    """The offcuts of which the shorter side is as long as the least that is kept, the largest first; of 0 none."""
    kept = [each for each in offcuts if ZERO < least <= min(each.length, each.width)]
    return tuple(sorted(kept, key=lambda each: -each.length.nm * each.width.nm))


def _first(
    waiting: deque[tuple[Rect, list[tuple[Rect, Placed]]]], rest: tuple[Rect, list[tuple[Rect, Placed]]]
) -> None:
    waiting.appendleft(rest)


def _rect(piece: Placed) -> Rect:
    return Rect(piece.x.nm, piece.y.nm, (piece.x + piece.along).nm, (piece.y + piece.across).nm)


def _beyond(cut: SheetCut, block: Rect) -> bool:
    """Whether a piece lies beyond the saw."""
    if cut.along:
        return block.low >= cut.of.low + cut.at.nm
    return block.left >= cut.of.left + cut.at.nm


def _goes(part: Rect, placed: Sequence[tuple[Rect, Placed]], kerf: int, along: bool) -> bool:
    return next(_places(part, placed, kerf, along), None) is not None


def _cut(part: Rect, placed: Sequence[tuple[Rect, Placed]], kerf: int) -> SheetCut:
    """The cut that frees the largest offcut worth it; else the nearest to the edge, along the sheet first."""
    options = [(along, at) for along in (True, False) for at in _places(part, placed, kerf, along)]
    if not options:
        raise ValueError("no cut goes from edge to edge")
    made = [_made(part, kerf, along, at) for along, at in options]
    narrowest = min(min(piece.length, piece.width) for _, piece in placed)
    return max(made, key=lambda each: _frees(each, placed, narrowest))


def _frees(cut: SheetCut, placed: Sequence[tuple[Rect, Placed]], narrowest: Length) -> int:
    """The area of what holds no piece once it is cut off; slips that no piece were cut from count nothing."""
    sides = {_beyond(cut, block) for block, _ in placed}
    free = [part for part, side in ((cut.near, False), (cut.far, True)) if part and side not in sides]
    large = [part for part in free if min(part.length, part.width) >= narrowest]
    return sum(part.length.nm * part.width.nm for part in large)


def _places(part: Rect, placed: Sequence[tuple[Rect, Placed]], kerf: int, along: bool) -> Iterator[int]:
    """Where the saw may go through, from the edge: it begins there, and no piece lies in its kerf."""
    start, end = (part.low, part.high) if along else (part.left, part.right)
    blocks = [(block.low, block.high) if along else (block.left, block.right) for block, _ in placed]
    places = {high for _, high in blocks if high < end} | {low - kerf for low, _ in blocks if low > start}
    for place in sorted(places):
        if all(high <= place or low >= place + kerf for low, high in blocks):
            yield place - start


def _made(part: Rect, kerf: int, along: bool, at: int) -> SheetCut:
    left, low, right, high = part
    if along:
        near, far = Rect(left, low, right, low + at), Rect(left, low + at + kerf, right, high)
    else:
        near, far = Rect(left, low, left + at, high), Rect(left + at + kerf, low, right, high)
    return SheetCut(part, along, Length(at), _there(near), _there(far))


def _there(part: Rect) -> Rect | None:
    return part if part.length > ZERO and part.width > ZERO else None
