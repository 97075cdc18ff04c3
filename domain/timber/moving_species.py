"""How much each species moves with its moisture, as published, and which of them a wood's name means.

USDA Forest Products Laboratory, Wood Handbook (FPL-GTR-190): dimensional change coefficients, table 13-5, and
shrinkage from green to ovendry, tables 4-3 and 4-4. Row by row with its source in shared/published/, in
wood-movement.csv and wood-shrinkage.csv, to which a test holds this table. Single boards vary widely about these
averages.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from functools import lru_cache

from domain.timber.names import kind_words, meant, words_of


@dataclass(frozen=True, slots=True)
class Moving:
    """A row: coefficients for a change of 1 % of moisture, across the rings (radial) and along them (tangential).

    ``radial_shrinkage`` and ``tangential_shrinkage`` are % from green to ovendry, None where the handbook's other
    table has no such row. ``saturation`` is the fibre saturation (%) that the coefficients were made with.
    """

    name: str
    radial: float
    tangential: float
    radial_shrinkage: float | None = None
    tangential_shrinkage: float | None = None
    saturation: int = 30


class Known(Enum):
    """How well a wood is known: one row, several of a kind, a whole group, or nothing is said of it."""

    ROW = auto()
    KIND = auto()
    GROUP = auto()
    NOTHING = auto()


@dataclass(frozen=True, slots=True)
class MovingWood:
    """What a wood's name can mean for its movement: rows of the table, never none."""

    name: str | None
    kinds: tuple[Moving, ...]
    known: Known

    def __hash__(self) -> int:
        """By the name: what it means is looked up from that alone."""
        return hash(self.name)

    @property
    def said(self) -> str:
        """What it was reckoned as: "Cherry, black", "ash, of 5 kinds", "hardwoods, of 61 kinds"."""
        count = len(self.kinds)
        if self.known is Known.ROW:
            return self.kinds[0].name
        if self.known is Known.KIND:
            return f"{self.name}, of {count} kinds"
        group = "any wood" if self.known is Known.NOTHING else _group_name(self.kinds)
        return f"{group}, of {count} kinds"


def _group_name(kinds: tuple[Moving, ...]) -> str:
    return "softwoods" if kinds == SOFTWOODS else "hardwoods"


@lru_cache(maxsize=1024)
def moving_wood(name: str | None) -> MovingWood:
    """What the table knows of a wood by a row's exact name, or by the name that somebody gave it.

    A name that means several rows has their range; one that the table does not have has that of its group, the
    softwoods where its name is a conifer's, else the hardwoods; no name at all, that of every row.

    >>> moving_wood("Cherry, black").said, moving_wood("ash").said, moving_wood("wenge").said
    ('Cherry, black', 'ash, of 5 kinds', 'hardwoods, of 61 kinds')
    """
    if not name or not words_of(name) - _NO_SPECIES:
        return MovingWood(None, (*HARDWOODS, *SOFTWOODS, *IMPORTED), Known.NOTHING)
    exact = _BY_NAME.get(name.casefold())
    if exact is not None:
        return MovingWood(exact.name, (exact,), Known.ROW)
    table = tuple(_BY_NAME.values())
    kinds = tuple(table[place] for place in meant(name, [kind.name for kind in table], _needed))
    if kinds:
        return MovingWood(name, kinds, Known.ROW if len(kinds) == 1 else Known.KIND)
    words = words_of(name)
    group = SOFTWOODS if words & _CONIFERS else (*HARDWOODS, *IMPORTED)
    return MovingWood(name, group, Known.GROUP)


def _needed(name: str) -> frozenset[str]:
    """Red and white oaks are oaks, and the table names them the other way round."""
    words = kind_words(name)
    return frozenset({"oak"}) if "oak" in words else words


_NO_SPECIES = frozenset({"wood", "timber", "solid"})
_CONIFERS = words_of(
    "softwood softwoods conifer deal pine spruce fir larch cedar cypress juniper yew hemlock redwood whitewood"
    " sequoia kauri araucaria thuja"
)
"""Words that say that a wood is a conifer's: common practice (no source)."""

HARDWOODS = (
    Moving("Alder, red", 0.00151, 0.00256, 4.4, 7.3),
    Moving("Honeylocust", 0.00144, 0.00230),
    Moving("Apple", 0.00205, 0.00376),
    Moving("Locust, black", 0.00158, 0.00252),
    Moving("Ash, black", 0.00172, 0.00274, 5.0, 7.8),
    Moving("Madrone, Pacific", 0.00194, 0.00451),
    Moving("Ash, Oregon", 0.00141, 0.00285, 4.1, 8.1),
    Moving("Magnolia, cucumbertree", 0.00180, 0.00312),
    Moving("Ash, pumpkin", 0.00126, 0.00219, 3.7, 6.3),
    Moving("Magnolia, southern", 0.00187, 0.00230),
    Moving("Ash, white", 0.00169, 0.00274, 4.9, 7.8),
    Moving("Magnolia, sweetbay", 0.00162, 0.00293),
    Moving("Ash, green", 0.00169, 0.00274, 4.6, 7.1),
    Moving("Maple, bigleaf", 0.00126, 0.00248),
    Moving("Aspen, quaking", 0.00119, 0.00234, 3.5, 6.7),
    Moving("Maple, red", 0.00137, 0.00289),
    Moving("Basswood, American", 0.00230, 0.00330, 6.6, 9.3),
    Moving("Maple, silver", 0.00102, 0.00252),
    Moving("Beech, American", 0.00190, 0.00431, 5.5, 11.9),
    Moving("Maple, black", 0.00165, 0.00353),
    Moving("Birch, paper", 0.00219, 0.00304, 6.3, 8.6),
    Moving("Maple, sugar", 0.00165, 0.00353),
    Moving("Birch, river", 0.00162, 0.00327, 4.7, 9.2),
    Moving("Oak, black", 0.00123, 0.00230),
    Moving("Birch, yellow", 0.00256, 0.00338, 7.3, 9.5),
    Moving("Red oak, commercial", 0.00158, 0.00369),
    Moving("Birch, sweet", 0.00256, 0.00338, 6.5, 9.0),
    Moving("Red oak, California", 0.00123, 0.00230),
    Moving("Buckeye, yellow", 0.00123, 0.00285, 3.6, 8.1),
    Moving("Red oak: water, laurel, willow", 0.00151, 0.00350),
    Moving("Butternut", 0.00116, 0.00223, 3.4, 6.4),
    Moving("White oak, commercial", 0.00180, 0.00365),
    Moving("Catalpa, northern", 0.00085, 0.00169),
    Moving("White oak, live", 0.00230, 0.00338, 6.6, 9.5),
    Moving("Cherry, black", 0.00126, 0.00248, 3.7, 7.1),
    Moving("White oak, Oregon white", 0.00144, 0.00327),
    Moving("Chestnut, American", 0.00116, 0.00234, 3.4, 6.7),
    Moving("White oak, overcup", 0.00183, 0.00462, 5.3, 12.7),
    Moving("Cottonwood, black", 0.00123, 0.00304, 3.6, 8.6),
    Moving("Persimmon, common", 0.00278, 0.00403, 7.9, 11.2),
    Moving("Cottonwood, eastern", 0.00133, 0.00327, 3.9, 9.2),
    Moving("Sassafras", 0.00137, 0.00216, 4.0, 6.2),
    Moving("Elm, American", 0.00144, 0.00338, 4.2, 9.5),
    Moving("Sweetgum", 0.00183, 0.00365, 5.3, 10.2),
    Moving("Elm, rock", 0.00165, 0.00285, 4.8, 8.1),
    Moving("Sycamore, American", 0.00172, 0.00296, 5.0, 8.4),
    Moving("Elm, slippery", 0.00169, 0.00315, 4.9, 8.9),
    Moving("Tanoak", 0.00169, 0.00423, 4.9, 11.7),
    Moving("Elm, winged", 0.00183, 0.00419, 5.3, 11.6),
    Moving("Tupelo, black", 0.00176, 0.00308, 5.1, 8.7),
    Moving("Elm, cedar", 0.00183, 0.00419, 4.7, 10.2),
    Moving("Tupelo, water", 0.00144, 0.00267, 4.2, 7.6),
    Moving("Hackberry", 0.00165, 0.00315, 4.8, 8.9),
    Moving("Walnut, black", 0.00190, 0.00274, 5.5, 7.8),
    Moving("Hickory, pecan", 0.00169, 0.00315, 4.9, 8.9),
    Moving("Yellow-poplar", 0.00158, 0.00289, 4.6, 8.2),
    Moving("Hickory, true", 0.00259, 0.00411),
)
SOFTWOODS = (
    Moving("Baldcypress", 0.00130, 0.00216),
    Moving("Cedar, yellow (Alaska)", 0.00095, 0.00208, 2.8, 6.0),
    Moving("Cedar, Atlantic white", 0.00099, 0.00187, 2.9, 5.4),
    Moving("Cedar, eastern red", 0.00106, 0.00162, 3.1, 4.7),
    Moving("Cedar, incense", 0.00112, 0.00180, 3.3, 5.2),
    Moving("Cedar, northern white", 0.00101, 0.00229, 2.2, 4.9, saturation=22),
    Moving("Cedar, Port-Orford", 0.00158, 0.00241, 4.6, 6.9),
    Moving("Cedar, western red", 0.00111, 0.00234, 2.4, 5.0, saturation=22),
    Moving("Douglas-fir, coast type", 0.00165, 0.00267, 4.8, 7.6),
    Moving("Douglas-fir, interior north", 0.00130, 0.00241, 3.8, 6.9),
    Moving("Douglas-fir, interior west", 0.00165, 0.00263, 4.8, 7.5),
    Moving("Fir, balsam", 0.00099, 0.00241, 2.9, 6.9),
    Moving("Fir, noble", 0.00148, 0.00293, 4.3, 8.3),
    Moving("Fir, white", 0.00112, 0.00245, 3.3, 7.0),
    Moving("Hemlock, eastern", 0.00102, 0.00237),
    Moving("Hemlock, western", 0.00144, 0.00274),
    Moving("Larch, western", 0.00155, 0.00323),
    Moving("Pine, eastern white", 0.00071, 0.00212),
    Moving("Pine, loblolly", 0.00165, 0.00259),
    Moving("Pine, longleaf", 0.00176, 0.00263),
    Moving("Pine, ponderosa", 0.00133, 0.00216),
    Moving("Pine, red", 0.00130, 0.00252),
    Moving("Pine, shortleaf", 0.00158, 0.00271),
    Moving("Pine, sugar", 0.00099, 0.00194),
    Moving("Pine, western white", 0.00141, 0.00259),
    Moving("Redwood, old-growth", 0.00120, 0.00205),
    Moving("Redwood, second-growth", 0.00101, 0.00229),
    Moving("Spruce, Engelmann", 0.00130, 0.00248),
    Moving("Spruce, Sitka", 0.00148, 0.00263),
)
IMPORTED = (
    Moving("Mahogany (Swietenia)", 0.00172, 0.00238),
    Moving("Khaya (African mahogany)", 0.00141, 0.00201),
    Moving("Spanish-cedar", 0.00141, 0.00219),
    Moving("Teak", 0.00101, 0.00186),
)
SPECIES = tuple(kind.name for kind in (*HARDWOODS, *SOFTWOODS, *IMPORTED))
"""Every name of the table, in its order."""
_BY_NAME = {kind.name.casefold(): kind for kind in (*HARDWOODS, *SOFTWOODS, *IMPORTED)}
