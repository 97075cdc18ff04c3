"""The sizes of each kind of assembly that a change of a joint may begin at: what they are called, which way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.assemblies.bays import place_of
from domain.lengths import Length
from domain.problems import Path
from domain.spec.assemblies import Assembly, Box, Carcass, Fit, MitredFrame, RailedFrame, SingleJoint

LEAST_LET_IN = Length.from_mm(2)
"""A groove or rabbet shallower or narrower than this holds no panel: common practice (no source)."""
UP, DOWN = 1, -1
NOTHING = Length(0)


@dataclass(frozen=True, slots=True)
class Size:
    """A length of a spec at each of ``paths``, and the ways in which it may be changed, down to ``least``.

    Of several paths, those that hold less are raised together: rails that are alike stay alike. ``slight``:
    half a millimetre of it may decide what fits, which it does not of the size of the whole.
    """

    paths: tuple[Path, ...]
    words: str
    value: Length
    ways: tuple[int, ...] = (UP,)
    least: Length = NOTHING
    slight: bool = True


def sizes_of(spec: Assembly) -> Iterator[Size]:
    """What may be changed: what is let in first, then where it lies, then the wood, then the whole."""
    if spec.keys.plug is not None:
        yield Size((("keys", "plug", "height"),), "plug height", spec.keys.plug.height, (DOWN,))
    match spec:
        case MitredFrame():
            yield from _of_mitred(spec)
        case RailedFrame():
            yield from _of_railed(spec)
        case Box():
            yield from _of_box(spec)
        case Carcass():
            yield from _of_carcass(spec)
        case SingleJoint():
            yield from _of_single(spec)


def places_of(spec: Assembly, part: str) -> Iterator[Size]:
    """Where parts called ``part`` stand: what moves slots that come too near to those of another joint."""
    match spec:
        case Carcass() if part == "shelf":
            for index, shelf in enumerate(spec.shelves):
                yield Size((place_of(index, shelf),), f"shelf {index + 1} at", shelf.at, (UP, DOWN))
        case Carcass() if part == "partition":
            for index, partition in enumerate(spec.partitions):
                yield Size((place_of(index, partition),), f"partition {index + 1} at", partition.at, (UP, DOWN))
        case RailedFrame():
            yield from _openings(spec)


def _openings(spec: RailedFrame) -> Iterator[Size]:
    """Every opening of a frame that is not what is left, by rows or by columns."""
    rows = [("rows", "columns", "row", row.opening, row.columns) for row in spec.rows]
    columns = [("columns", "rows", "column", column.opening, column.rows) for column in spec.columns or ()]
    each = columns or rows
    for index, (outer, inner, called, opening, within) in enumerate(each):
        if isinstance(opening, Length):
            yield Size(((outer, index, "opening"),), f"opening of {called} {index + 1}", opening, (UP, DOWN))
        for number, one in enumerate(within):
            if isinstance(one, Length):
                words = f"opening {number + 1} of {called} {index + 1}"
                yield Size(((outer, index, inner, number),), words, one, (UP, DOWN))


def _shallower(path: Path, words: str, value: Length) -> Size:
    return Size((path,), words, value, (DOWN,), LEAST_LET_IN)


def _wood(name: str, words: str, value: Length | None) -> Iterator[Size]:
    if value:
        yield Size(((name,),), words, value)


def _whole(name: str, words: str, value: Length | None) -> Iterator[Size]:
    if value:
        yield Size(((name,),), words, value, slight=False)


def _of_mitred(spec: MitredFrame) -> Iterator[Size]:
    stock = spec.stock
    if stock.rabbet_width:
        yield _shallower(("stock", "rabbet_width"), "rabbet width", stock.rabbet_width)
        yield _shallower(("stock", "rabbet_depth"), "rabbet depth", stock.rabbet_depth)
    yield Size((("stock", "thickness"),), "stock thickness", stock.thickness)
    yield Size((("stock", "width"),), "stock width", stock.width)
    yield from _whole("width", "width", spec.width)
    yield from _whole("height", "height", spec.height)
    yield from _whole("across", "size across", spec.across)


def _of_railed(spec: RailedFrame) -> Iterator[Size]:
    if spec.panel is not None:
        called = spec.panel.fit.value
        yield _shallower(("panel", "depth"), f"depth of the panel's {called}", spec.panel.depth)
        yield _shallower(("panel", "width"), f"width of the panel's {called}", spec.panel.width)
    yield Size((("thickness",),), "thickness", spec.thickness)
    rails = (("top_rail", spec.top_rail), ("bottom_rail", spec.bottom_rail), ("mid_rail", spec.mid_rail))
    for name, value in (("stile", spec.stile), *rails, ("mid_stile", spec.mid_stile)):
        yield from _wood(name, name.replace("_", " "), value)
    there = [(name, value) for name, value in rails if value is not None]
    yield Size(tuple((name,) for name, _ in there), "rails", min(value for _, value in there))
    yield from _whole("width", "width", spec.width)
    yield from _whole("height", "height", spec.height)


def _of_box(spec: Box) -> Iterator[Size]:
    if spec.bottom is not None:
        called = spec.bottom.fit.value
        yield _shallower(("bottom", "depth"), f"depth of the bottom's {called}", spec.bottom.depth)
        if spec.bottom.fit is Fit.GROOVE:
            yield Size((("bottom", "up"),), "bottom's groove up from the edge by", spec.bottom.up, (UP, DOWN))
        yield _shallower(("bottom", "thickness"), "thickness of the bottom", spec.bottom.thickness)
    if spec.top is not None and spec.top.depth is not None and spec.top.down is not None:
        yield _shallower(("top", "depth"), "depth of the top's groove", spec.top.depth)
        yield Size((("top", "down"),), "top's groove down from the edge by", spec.top.down, (UP, DOWN))
    if spec.lid is not None:
        if spec.lid.lip:
            yield Size((("lid", "lip"),), "lip", spec.lid.lip, (DOWN,))
        yield Size((("lid", "height"),), "lid height", spec.lid.height, (UP, DOWN))
    yield from _wood("wall", "wall", spec.wall)
    for name in ("height", "width", "length"):
        yield from _whole(name, name, getattr(spec, name))


def _of_carcass(spec: Carcass) -> Iterator[Size]:
    if spec.back is not None:
        called = spec.back.fit.value
        yield _shallower(("back", "depth"), f"depth of the back's {called}", spec.back.depth)
        if spec.back.fit is Fit.GROOVE:
            yield Size((("back", "inset"),), "back's groove in from the edge by", spec.back.inset, (UP, DOWN))
    yield from _wood("thickness", "thickness", spec.thickness)
    for name in ("depth", "width", "height"):
        yield from _whole(name, name, getattr(spec, name))


def _of_single(spec: SingleJoint) -> Iterator[Size]:
    first, second = spec.behind
    yield Size((("behind", 0),), "wood behind the first side", first)
    yield Size((("behind", 1),), "wood behind the second side", second)
    yield Size((("behind", 0), ("behind", 1)), "wood behind both sides", min(first, second))
    yield from _wood("run", "run", spec.run)
    yield from _wood("breadth", "breadth", spec.breadth)
