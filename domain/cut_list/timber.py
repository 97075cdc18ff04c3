"""What the wood of a cut list measures, as a timber yard sells it: volume, area, running metres, boards.

All of the rough sizes, exact. Waste is a share of what the parts measure that is bought on top of it, each
project's own: knots, sapwood, ends and what lies between the parts (that it is a share is common practice, no
source). It goes for volumes and boards; bars and sheets are counted by a cutting plan instead.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.cut_list.listing import CutList, Group
from domain.cut_list.part import CutPart, Sort
from domain.lengths import Length
from domain.timber.measures import area, volume


@dataclass(frozen=True, slots=True)
class Measured:
    """What pieces measure as they lie on the saw's table, their wider side down, net and with waste.

    ``net`` and ``gross`` in cm³, None where a thickness is not known; ``length`` in mm end to end, ``area`` of
    faces in m², both without waste. ``gross_length`` and ``gross_area`` are with it.
    """

    net: Fraction | None
    gross: Fraction | None
    length: Fraction
    gross_length: Fraction
    area: Fraction
    gross_area: Fraction

    def as_thick_as(self, thickness: Length) -> Fraction:
        """The volume with waste, cm³, where the wood is bought as thick as that and planed down."""
        # m² × nm of thickness: 10⁴ cm² to a m², 10⁷ nm to a cm
        return self.gross_area * 10**4 * Fraction(thickness.nm, 10**7)


@dataclass(frozen=True, slots=True)
class TimberLine:
    """The wood of a group of the cut list, measured."""

    group: Group
    measured: Measured

    @property
    def material(self) -> str:
        """What it is of, as its parts say, or as they are called without a material."""
        first = self.group.parts[0]
        return first.material or first.unsaid

    @property
    def is_solid(self) -> bool:
        """True where it can be ripped from boards."""
        return self.group.sort is Sort.BAR

    def boards(self, width: Length) -> Fraction | None:
        """Running mm of board of that mean width, with waste, to rip all strips from; None where it is too narrow.

        A board gives as many strips as lie side by side in it with a kerf between them; ends are in the waste.
        """
        kerf = Length.from_mm(self.group.kerf)
        strips = (width + kerf).nm // Length.from_mm(self.group.strip_takes).nm
        return self.measured.gross_length / strips if strips else None


@dataclass(frozen=True, slots=True)
class MaterialSum:
    """All wood of one material, measured; volumes are those of lines whose thickness is known."""

    material: str
    sort: Sort
    lines: tuple[TimberLine, ...]
    measured: Measured


def timber_lines(listed: CutList, wastes: Sequence[float]) -> tuple[TimberLine, ...]:
    """Every wood of the list, in its order; ``wastes`` are the projects' shares, in their order."""
    return tuple(TimberLine(group, _of_parts(group.parts, wastes)) for group in listed.groups)


def by_material(lines: Iterable[TimberLine]) -> tuple[MaterialSum, ...]:
    """The lines by what they are of, bars and sheets apart, each in the order that they stand in."""
    found: dict[tuple[Sort, str], list[TimberLine]] = {}
    for line in lines:
        found.setdefault((line.group.sort, line.material.casefold()), []).append(line)
    return tuple(
        MaterialSum(same[0].material, sort, tuple(same), added(line.measured for line in same))
        for (sort, _), same in found.items()
    )


def added(measures: Iterable[Measured]) -> Measured:
    """All together."""
    every = tuple(measures)
    nets = [each.net for each in every if each.net is not None]
    grosses = [each.gross for each in every if each.gross is not None]
    return Measured(
        sum(nets, Fraction(0)) if nets else None,
        sum(grosses, Fraction(0)) if grosses else None,
        sum((each.length for each in every), Fraction(0)),
        sum((each.gross_length for each in every), Fraction(0)),
        sum((each.area for each in every), Fraction(0)),
        sum((each.gross_area for each in every), Fraction(0)),
    )


def _of_parts(parts: Iterable[CutPart], wastes: Sequence[float]) -> Measured:
    return added(_of_part(part, 1 + Fraction(str(wastes[part.source]))) for part in parts)


def _of_part(part: CutPart, whole: Fraction) -> Measured:
    length, width = _exact(part.rough.length), _exact(part.rough.width)
    thick = None if part.rough.thickness is None else _exact(part.rough.thickness)
    if part.sort is Sort.BAR and thick is not None:
        thick, width = sorted((thick, width))
    net = None if thick is None else part.quantity * volume(length, width, thick)
    run = part.quantity * Fraction(length.nm, 10**6)
    face = part.quantity * area(length, width)
    return Measured(net, None if net is None else net * whole, run, run * whole, face, face * whole)


def _exact(mm: float) -> Length:
    """To a micrometre, as every document says it."""
    return Length.from_mm(round(mm, 3))
