"""How an item's sheets are cut: its pieces as kinds in whole numbers, and what was laid as pieces again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from domain.cutting.guillotine import Kind, Layout, Sheet
from domain.cutting.plan import CutSheet, Placed, Plan, SheetPlan, Unplaced, WhyUnplaced
from domain.cutting.request import SheetItem, SheetPiece, costs
from domain.cutting.sheet_bound import least_cost_of_sheets
from domain.cutting.trying import Trying
from domain.lengths import Length
from domain.sayings import Figures
from domain.spec.wood import Grain


def plan_sheets(item: SheetItem) -> SheetPlan:
    """The cheapest way found to cut an item's pieces, and what no way costs less than."""
    if not item.stock:
        unplaced = [Unplaced(piece.mark, piece.count, WhyUnplaced.NO_STOCK) for piece in item.pieces]
        return Plan(item.item, (), 0, 0, tuple(unplaced))
    sheets = _sheets(item)
    fitting = [piece for piece in item.pieces if _fits(item, piece)]
    unplaced = [_too_large(item, piece) for piece in item.pieces if not _fits(item, piece)]
    if not fitting:
        return Plan(item.item, (), 0, 0, tuple(unplaced))
    groups = _groups(item, fitting)
    kinds = [group.kind for group in groups]
    trying = Trying(kinds, sheets, least_cost_of_sheets(kinds, sheets))
    trying.run()
    for index, short in Counter(trying.missing).items():
        unplaced += groups[index].short_of(item, short)
        kinds[index] = replace(kinds[index], count=kinds[index].count - short)
    return Plan(
        item=item.item,
        cuts=tuple(_named(item, trying.layouts, groups)),
        cost=trying.cost,
        bound=min(trying.cost, least_cost_of_sheets(kinds, sheets)),
        unplaced=tuple(unplaced),
    )


@dataclass(frozen=True, slots=True)
class _Group:
    """Pieces of one size and grain, whatever their marks."""

    kind: Kind
    pieces: tuple[SheetPiece, ...]

    def marks(self) -> list[str]:
        """A mark for every piece, in the order of the request."""
        return [piece.mark for piece in self.pieces for _ in range(piece.count)]

    def short_of(self, item: SheetItem, number: int) -> Iterator[Unplaced]:
        """The last pieces, of which so many lie on no sheet."""
        for mark, count in Counter(self.marks()[-number:]).items():
            piece = next(piece for piece in self.pieces if piece.mark == mark)
            yield Unplaced(mark, count, WhyUnplaced.NO_SHEET_LEFT, _needed(item, piece))


def _groups(item: SheetItem, pieces: list[SheetPiece]) -> list[_Group]:
    kerf = item.kerf.nm
    alike: dict[tuple[int, int, Grain], list[SheetPiece]] = {}
    for piece in pieces:
        alike.setdefault((piece.length.nm + kerf, piece.width.nm + kerf, piece.grain), []).append(piece)
    return [
        _Group(_kind(length, width, grain, sum(piece.count for piece in same)), tuple(same))
        for (length, width, grain), same in alike.items()
    ]


def _kind(length: int, width: int, grain: Grain, count: int) -> Kind:
    straight, turned = (length, width), (width, length)
    if grain is Grain.LENGTH or (grain is Grain.ANY and length == width):
        return Kind((straight,), (False,), count)
    if grain is Grain.WIDTH:
        return Kind((turned,), (True,), count)
    return Kind((straight, turned), (False, True), count)


def _sheets(item: SheetItem) -> list[Sheet]:
    return [
        Sheet(
            length=max(1, stock.length.nm - 2 * item.trim.nm + item.kerf.nm),
            width=max(1, stock.width.nm - 2 * item.trim.nm + item.kerf.nm),
            cost=cost,
            most=stock.count,
        )
        for stock, cost in zip(item.stock, costs(item.stock), strict=True)
    ]


def _fits(item: SheetItem, piece: SheetPiece) -> bool:
    return any(
        length <= stock.length.nm - 2 * item.trim.nm and width <= stock.width.nm - 2 * item.trim.nm
        for stock in item.stock
        for length, width in _kind(piece.length.nm, piece.width.nm, piece.grain, 1).ways
    )


def _too_large(item: SheetItem, piece: SheetPiece) -> Unplaced:
    free = piece.model_copy(update={"grain": Grain.ANY})
    why = WhyUnplaced.GRAIN if _fits(item, free) else WhyUnplaced.TOO_LARGE
    return Unplaced(piece.mark, piece.count, why, _needed(item, piece))


def _needed(item: SheetItem, piece: SheetPiece) -> Figures:
    """The smallest sheet that a piece can be cut from, its trims with it."""
    length, width = _kind(piece.length.nm, piece.width.nm, piece.grain, 1).ways[0]
    trims = item.trim * 2
    return (("length", (Length(length) + trims).mm), ("width", (Length(width) + trims).mm))


def _named(item: SheetItem, layouts: list[Layout], groups: list[_Group]) -> Iterator[CutSheet]:
    """The layouts with the marks of their pieces; sheets that are cut alike in one row, as they come."""
    marks = [iter(group.marks()) for group in groups]
    rows: Counter[tuple[int, tuple[Placed, ...]]] = Counter()
    for layout in sorted(layouts, key=lambda each: (each.stock, -len(each.laid))):
        placed = tuple(
            Placed(
                mark=next(marks[piece.kind]),
                x=Length(piece.x) + item.trim,
                y=Length(piece.y) + item.trim,
                length=Length(piece.width if piece.turned else piece.length) - item.kerf,
                width=Length(piece.length if piece.turned else piece.width) - item.kerf,
                turned=piece.turned,
            )
            for piece in layout.laid
        )
        rows[layout.stock, placed] += 1
    yield from (CutSheet(stock, times, placed) for (stock, placed), times in rows.items())
