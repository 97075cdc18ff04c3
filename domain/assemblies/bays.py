"""The bays that partitions part a carcass's inside into, and the shelves in them: which, where, how deep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem
from domain.spec.assemblies import Carcass, Partition, Shelf


@dataclass(frozen=True, slots=True)
class Board:
    """A shelf's board in one bay, mm: between which uprights, its lower face, how far behind the front edges.

    ``bay`` counts from 0 at the left.
    """

    bay: int
    left: float
    right: float
    low: float
    setback: float

    @property
    def length(self) -> float:
        """From upright to upright."""
        return round(self.right - self.left, 6)


def boards_of(spec: Carcass) -> tuple[Board, ...]:
    """Every shelf's boards, in the order of the shelves; one that names no bay lies in all of them."""
    thick = spec.thickness.mm
    uprights = [0.0, *(partition.at.mm for partition in spec.partitions), spec.width.mm - thick]
    bays = [(left + thick, right) for left, right in pairwise(uprights)]
    return tuple(
        Board(bay, left, right, shelf.at.mm, shelf.setback.mm)
        for shelf in spec.shelves
        for bay, (left, right) in enumerate(bays)
        if shelf.bay in {None, bay + 1}
    )


def meets_another(board: Board, bay: int, boards: Sequence[Board], thick: float) -> bool:
    """True where a board of that bay ends, at the other face of the partition, on any of the same wood."""
    return any(other.bay == bay and abs(other.low - board.low) < thick - 1e-9 for other in boards)


def check_shelves(spec: Carcass, floor: float, ceiling: float) -> Iterator[Problem]:
    """Shelves in bays that there are, between floor and ceiling (mm); of each bay in order and clear."""
    thick, count = spec.thickness.mm, len(spec.partitions) + 1
    highest: dict[int, float] = {}
    for index, shelf in enumerate(spec.shelves):
        path, low = place_of(index, shelf), shelf.at.mm
        if shelf.bay is not None and shelf.bay > count:
            yield Problem.of(("shelves", index, "bay"), shelf.bay, ProblemCode.NO_SUCH_BAY, bays_n=count)
            continue
        if not floor < low < ceiling - thick:
            most = round(ceiling - thick, 3)
            yield Problem.of(path, low, ProblemCode.NOT_INSIDE, low_bare=floor, high=most)
        bays = range(count) if shelf.bay is None else (shelf.bay - 1,)
        below = max((highest[bay] for bay in bays if bay in highest), default=None)
        if below is not None and low <= below + thick:
            yield Problem.of(path, low, ProblemCode.NOT_CLEAR, least=below + thick)
        highest |= dict.fromkeys(bays, low)


def place_of(index: int, stands: Shelf | Partition) -> Path:
    """Where a shelf's or partition's place stands in the file: itself where no more is said of it."""
    found: Path = ("shelves" if isinstance(stands, Shelf) else "partitions", index)
    return found if stands.is_one_length else (*found, "at")
