"""What is published of a species, found by the name that somebody gave the wood: how stiff it is, how heavy.

Modulus of elasticity in bending and specific gravity at 12 % moisture, averages of clear wood: USDA Forest
Products Laboratory, Wood Handbook, tables 5-3a and 5-5b; plywood: Architectural Woodwork Standards (2009), p. 279;
strandboard: Wood Handbook, table 12-3. Row by row with its source in shared/published/wood-stiffness.csv, to which
a test holds this table. Single boards vary widely about these averages.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from domain.timber.names import meant, words_of
from domain.timber.stuff import Stuff, stuff_of

MOISTURE = 0.12
"""The moisture content, as a share of dry wood, at which the table's values were found."""
WATER = 1000.0
"""Density of water, kg/m³."""


@dataclass(frozen=True, slots=True)
class Species:
    """A row of the table: modulus of elasticity in MPa, specific gravity (dry mass by volume at 12 %) or None."""

    name: str
    stiffness: int
    gravity: float | None

    @property
    def density(self) -> float | None:
        """Kilograms per cubic metre as it lies in the shop: specific gravity × 1000 × 1.12."""
        return None if self.gravity is None else self.gravity * WATER * (1 + MOISTURE)


@dataclass(frozen=True, slots=True)
class Wood:
    """What a name can mean: one species, or several that share it. Never empty."""

    kinds: tuple[Species, ...]

    @property
    def least_stiff(self) -> Species:
        """The one that bends most."""
        return min(self.kinds, key=lambda kind: kind.stiffness)

    @property
    def heaviest(self) -> Species | None:
        """The heaviest one whose density is known; None where no one's is."""
        known = [kind for kind in self.kinds if kind.density is not None]
        return max(known, key=lambda kind: kind.density or 0.0, default=None)

    def said(self, kind: Species) -> str:
        """Which row a figure was reckoned with: "Ash, Oregon, of 4 kinds" where the name leaves it open."""
        return kind.name if len(self.kinds) == 1 else f"{kind.name}, of {len(self.kinds)} kinds"


@lru_cache(maxsize=1024)
def wood_of(material: str | None) -> Wood | None:
    """What the table knows of a wood by the name it was given; None where that names none of its species.

    The kind is enough ("ash", "birch plywood"), and words more narrow it: "white ash", "Ash, white".

    >>> wood_of("black cherry").least_stiff.stiffness, len(wood_of("ash").kinds), wood_of("wenge")
    (10300, 4, None)
    """
    words = words_of(material or "")
    stuff = stuff_of(material)
    if stuff is Stuff.PLYWOOD:
        hardwood = "hardwood" in words
        return Wood(tuple(kind for kind in PLYWOOD if not hardwood or "hardwood" in words_of(kind.name)))
    if stuff is Stuff.BOARD:
        return Wood((STRANDBOARD,)) if words & {"osb", "strandboard", "strand"} else None
    kinds = tuple(SOLID[place] for place in meant(material or "", [kind.name for kind in SOLID]))
    return Wood(kinds) if kinds else None


def wood_as_said(species: str | None, material: str | None) -> Wood | None:
    """What the table knows of a member's wood: by the ``species`` that was told, else by its material's name.

    A sheet is what its own name says. A species that this table does not have leaves it to the material.

    >>> wood_as_said("Ash, white", "ash").said(SOLID[6]), len(wood_as_said(None, "ash").kinds)
    ('Ash, white', 4)
    >>> wood_as_said("Ash, white", "birch plywood") == wood_of("birch plywood")
    True
    """
    told = None if species is None or stuff_of(material).is_sheet else wood_of(species)
    return told or wood_of(material)


def mass(material: str | None, length: float, width: float, thickness: float) -> float | None:
    """What a piece of these sizes (mm) weighs in kg at 12 % moisture, as the heaviest that its name can mean.

    None where the wood's density is not known.
    """
    wood = wood_of(material)
    kind = None if wood is None else wood.heaviest
    return None if kind is None or kind.density is None else kind.density * length * width * thickness / 1e9


SOLID = (
    Species("Alder, red", 9500, 0.41),
    Species("Honeylocust", 11200, None),
    Species("Locust, black", 14100, 0.69),
    Species("Ash, black", 11000, 0.49),
    Species("Ash, green", 11400, 0.56),
    Species("Ash, Oregon", 9400, 0.55),
    Species("Ash, white", 12000, 0.6),
    Species("Aspen, quaking", 8100, 0.38),
    Species("Basswood, American", 10100, 0.37),
    Species("Beech, American", 11900, 0.64),
    Species("Birch, paper", 11000, 0.55),
    Species("Birch, sweet", 15000, 0.65),
    Species("Birch, yellow", 13900, 0.62),
    Species("Butternut", 8100, 0.38),
    Species("Cherry, black", 10300, 0.5),
    Species("Chestnut, American", 8500, 0.43),
    Species("Cottonwood, black", 8800, 0.35),
    Species("Cottonwood, eastern", 9400, 0.4),
    Species("Elm, American", 9200, 0.5),
    Species("Elm, rock", 10600, 0.63),
    Species("Elm, slippery", 10300, 0.53),
    Species("Hackberry", 8200, 0.53),
    Species("Hickory, pecan", 11900, 0.66),
    Species("Magnolia, cucumbertree", 12500, 0.48),
    Species("Magnolia, southern", 9700, 0.5),
    Species("Maple, bigleaf", 10000, 0.48),
    Species("Maple, black", 11200, 0.57),
    Species("Maple, red", 11300, 0.54),
    Species("Maple, silver", 7900, 0.47),
    Species("Maple, sugar", 12600, 0.63),
    Species("Oak, black", 11300, 0.61),
    Species("Oak, laurel", 11700, 0.63),
    Species("Oak, northern red", 12500, 0.63),
    Species("Oak, southern red", 10300, 0.59),
    Species("Oak, water", 13900, 0.63),
    Species("Oak, willow", 13100, 0.69),
    Species("Oak, bur", 7100, 0.64),
    Species("Oak, chestnut", 11000, 0.66),
    Species("White oak, live", 13700, 0.88),
    Species("White oak, overcup", 9800, 0.63),
    Species("Oak, white", 12300, 0.68),
    Species("Sassafras", 7700, 0.46),
    Species("Sweetgum", 11300, 0.52),
    Species("Sycamore, American", 9800, 0.49),
    Species("Tupelo, black", 8300, 0.5),
    Species("Tupelo, water", 8700, 0.5),
    Species("Walnut, black", 11600, 0.55),
    Species("Yellow-poplar", 10900, 0.42),
    Species("Hickory, mockernut", 15300, 0.72),
    Species("Hickory, pignut", 15600, 0.75),
    Species("Hickory, shagbark", 14900, 0.72),
    Species("Hickory, shellbark", 13000, 0.69),
    Species("Baldcypress", 9900, 0.46),
    Species("Cedar, yellow (Alaska)", 9800, 0.44),
    Species("Cedar, Atlantic white", 6400, 0.32),
    Species("Cedar, eastern red", 6100, 0.47),
    Species("Cedar, incense", 7200, 0.37),
    Species("Cedar, northern white", 5500, 0.31),
    Species("Cedar, Port-Orford", 11700, 0.43),
    Species("Cedar, western red", 7700, 0.32),
    Species("Douglas-fir, coast type", 13400, 0.48),
    Species("Douglas-fir, interior north", 12300, 0.48),
    Species("Douglas-fir, interior west", 12600, 0.5),
    Species("Fir, balsam", 10000, 0.35),
    Species("Fir, noble", 11900, 0.39),
    Species("Fir, white", 10300, 0.39),
    Species("Hemlock, eastern", 8300, 0.4),
    Species("Hemlock, western", 11300, 0.45),
    Species("Larch, western", 12900, 0.52),
    Species("Pine, eastern white", 8500, 0.35),
    Species("Pine, loblolly", 12300, 0.51),
    Species("Pine, longleaf", 13700, 0.59),
    Species("Pine, ponderosa", 8900, 0.4),
    Species("Pine, red", 11200, 0.46),
    Species("Pine, shortleaf", 12100, 0.51),
    Species("Pine, sugar", 8200, 0.36),
    Species("Pine, western white", 10100, 0.35),
    Species("Redwood, old-growth", 9200, 0.4),
    Species("Redwood, second-growth", 7600, 0.35),
    Species("Spruce, Engelmann", 8900, 0.35),
    Species("Spruce, Sitka", 10800, 0.4),
    Species("Red oak, commercial", 12500, 0.63),
    Species("Red oak: water, laurel, willow", 12900, 0.65),
    Species("White oak, commercial", 12300, 0.68),
    Species("Hickory, true", 14700, 0.72),
    Species("Mahogany (Swietenia)", 10300, None),
    Species("Khaya (African mahogany)", 9700, None),
    Species("Spanish-cedar", 9900, None),
    Species("Teak", 10700, None),
)
PLYWOOD = (
    Species("Plywood, veneer core, Douglas-fir", 6550, None),
    Species("Plywood, veneer core, Douglas-fir, hardwood veneer two sides", 12410, None),
)
"""Along the grain of the faces."""
STRANDBOARD = Species("Oriented strandboard, parallel", 5300, None)
"""Along its strands."""
