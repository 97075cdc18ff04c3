"""A carcass's sizes, and whether they go together: an inside is left, and what stands in it stands clear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.assemblies.bays import check_shelves, place_of
from domain.assemblies.parts_list import over, under
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.assemblies import Carcass, CarcassCorner, Fit, Partition, Shelf


@dataclass(frozen=True, slots=True)
class Sizes:
    """A carcass's sizes in mm, heights from the floor."""

    width: float
    height: float
    depth: float
    thickness: float
    plinth: float
    toe: float
    """How far the plinth stands back from the front edges."""
    behind: float
    """How far shelves and partitions stay in front of the back edges."""
    back: Fit | None
    """How the back stands in the panels: in a groove it goes in with them, in a rabbet it goes in last."""

    @property
    def floor(self) -> float:
        """Upper face of the bottom."""
        return self.plinth + self.thickness

    @property
    def ceiling(self) -> float:
        """Under face of the top."""
        return self.height - self.thickness

    @property
    def inner_depth(self) -> float:
        """Depth of shelves and partitions."""
        return self.depth - self.behind


def sizes_of(spec: Carcass) -> Sizes:
    """The sizes in mm."""
    behind = (spec.back.inset + spec.back.thickness).mm if spec.back else 0.0
    plinth, toe = (spec.plinth.height.mm, spec.plinth.setback.mm) if spec.plinth else (0.0, 0.0)
    back = spec.back.fit if spec.back else None
    return Sizes(spec.width.mm, spec.height.mm, spec.depth.mm, spec.thickness.mm, plinth, toe, behind, back)


def check(spec: Carcass) -> Iterator[Problem]:
    """Panels that leave an inside, shelves and partitions that stand clear of each other."""
    sizes = sizes_of(spec)
    yield from over(2 * sizes.thickness, ("width",), sizes.width, "two sides")
    if spec.plinth:
        yield from _check_plinth(spec, sizes)
    yield from over(sizes.floor + sizes.thickness, ("height",), sizes.height, "plinth, bottom and top")
    if spec.back is not None:
        yield from under(sizes.thickness, ("back", "depth"), spec.back.depth.mm, "the panel's thickness")
        yield from under(sizes.depth, ("back", "inset"), sizes.behind, "the depth, with the back's thickness")
    yield from check_shelves(spec, sizes.floor, sizes.ceiling)
    yield from _check_setbacks(spec, sizes)
    yield from _check_partitions(spec.partitions, sizes.width - sizes.thickness, sizes.thickness)


def _check_plinth(spec: Carcass, sizes: Sizes) -> Iterator[Problem]:
    """A plinth with room in the depth: a board, or a frame's front and back."""
    if spec.corner is not CarcassCorner.MITRE:
        most = sizes.depth - sizes.thickness
        yield from under(most, ("plinth", "setback"), sizes.toe, "the depth less the plinth's thickness")
        return
    both = 2 * sizes.thickness
    yield from over(both, ("depth",), sizes.depth, "the plinth's front and back")
    if sizes.depth > both:
        what = "the depth less the plinth's front and back"
        yield from under(sizes.depth - both, ("plinth", "setback"), sizes.toe, what)


def _check_setbacks(spec: Carcass, sizes: Sizes) -> Iterator[Problem]:
    """What is set back leaves wood, has a way in from behind, and covers the edge of nothing beside it."""
    found = [
        *((("shelves", index), each.setback.mm, "the shelves' depth") for index, each in enumerate(spec.shelves)),
        *(
            (("partitions", index), each.setback.mm, "the partitions' depth")
            for index, each in enumerate(spec.partitions)
        ),
    ]
    for where, setback, what in found:
        path = (*where, "setback")
        if setback and sizes.back is Fit.GROOVE:
            yield Problem.of(path, setback, ProblemCode.SETBACK_BEFORE_BACK)
        else:
            yield from under(sizes.inner_depth, path, setback, what)
    for index, shelf in enumerate(spec.shelves):
        # an end that stands out past the partition would lie on nothing there
        beside = [
            each.setback.mm for bay in _bays(spec, shelf) for each in spec.partitions[max(0, bay - 1) : bay + 1]
        ]
        least = max(beside, default=0.0)
        if shelf.setback.mm < least:
            at = ("shelves", index, "setback")
            yield Problem.of(at, shelf.setback.mm, ProblemCode.BEFORE_PARTITION, least=least)


def _bays(spec: Carcass, shelf: Shelf) -> range:
    """The bays that a shelf lies in, counted from 0 at the left."""
    return range(len(spec.partitions) + 1) if shelf.bay is None else range(shelf.bay - 1, shelf.bay)


def _check_partitions(partitions: Sequence[Partition], right: float, thick: float) -> Iterator[Problem]:
    lefts = [partition.at.mm for partition in partitions]
    for index, left in enumerate(lefts):
        path = place_of(index, partitions[index])
        if not thick < left < right - thick:
            yield Problem.of(path, left, ProblemCode.NOT_INSIDE, low_bare=thick, high=round(right - thick, 3))
        if index and left <= lefts[index - 1] + thick:
            yield Problem.of(path, left, ProblemCode.NOT_CLEAR, least=lefts[index - 1] + thick)
