"""How much a board moves across the grain when its moisture changes.

USDA Forest Products Laboratory, Wood Handbook (FPL-GTR-190), chapter 13. Where the moisture stays within 6 to
14 %, equation 13-2: ΔD = D·C·ΔM. Beyond, equation 13-3: ΔD = D·ΔM / (100·F/S − F + M), with S the shrinkage from
green to ovendry (%), M the moisture that D was measured at and F the fibre saturation, 30 %. Both are one curve
where M is 10 %, for C = (S/F) / (1 − S·(F − 10)/F), S there as a share; elsewhere they part by C·(M − 10), at most
2 %. Two cedars have coefficients made with a fibre saturation of 22 %, and their S is read with the same; green
ash, sweet birch and cedar elm carry their group's coefficient, and part from it by up to 13 %.
Sizes and changes in one unit, moisture in %. Along the grain wood hardly moves; that is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from domain.timber.moving_species import Moving, MovingWood

DRIEST, WETTEST = 6.0, 14.0
"""The moisture contents (%) between which the coefficients hold."""


class Across(StrEnum):
    """Which way a size lies in the tree: along the growth rings, or across them."""

    TANGENTIAL = "tangential"
    RADIAL = "radial"

    @property
    def other(self) -> Across:
        """The other one: that of the thickness where this is the width's."""
        return Across.RADIAL if self is Across.TANGENTIAL else Across.TANGENTIAL


@dataclass(frozen=True, slots=True)
class Change:
    """By how much a size changes: ``most`` as the kind that moves most, ``least`` as the one that moves least.

    One sign; equal where one kind is meant.
    """

    most: float
    least: float


def within_coefficients(start: float, end: float) -> bool:
    """True where the coefficients hold for a change between these moisture contents."""
    return min(start, end) >= DRIEST and max(start, end) <= WETTEST


def share_of_kind(kind: Moving, across: Across, start: float, end: float) -> float:
    """By what share of itself a size changes that was measured at ``start`` %; below nothing where it shrinks.

    >>> fir = Moving("Fir, white", 0.00112, 0.00245, 3.3, 7.0)
    >>> round(232 * share_of_kind(fir, Across.TANGENTIAL, 8, 11), 3)
    1.705
    """
    coefficient = kind.tangential if across is Across.TANGENTIAL else kind.radial
    if within_coefficients(start, end):
        return coefficient * (end - start)
    saturation = float(kind.saturation)
    first, last = min(start, saturation), min(end, saturation)
    return (last - first) / (100 * saturation / total_shrinkage(kind, across) - saturation + first)


def total_shrinkage(kind: Moving, across: Across) -> float:
    """Shrinkage from green to ovendry, %; where none is published, what the coefficient was made from.

    C = (S/F) / (1 − S·(F − 10)/F) solved for S, a share.
    """
    published = kind.tangential_shrinkage if across is Across.TANGENTIAL else kind.radial_shrinkage
    if published is not None:
        return published
    coefficient = kind.tangential if across is Across.TANGENTIAL else kind.radial
    return 100 * kind.saturation * coefficient / (1 + coefficient * (kind.saturation - 10))


def change(wood: MovingWood, across: Across, size: float, start: float, end: float) -> Change:
    """How a size measured at ``start`` % changes on the way to ``end`` %, as every kind that is meant."""
    least, most = _shares(wood, across, start, end)
    return Change(most=size * most, least=size * least)


@lru_cache(maxsize=256)
def _shares(wood: MovingWood, across: Across, start: float, end: float) -> tuple[float, float]:
    """The least share and the most, by magnitude: the same for every part of a wood."""
    found = sorted((share_of_kind(kind, across, start, end) for kind in wood.kinds), key=abs)
    return found[0], found[-1]
