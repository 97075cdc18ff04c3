"""How far a shelf sags under its load, and how long it may be: a beam that lies on its two ends.

USDA Forest Products Laboratory, Wood Handbook, equation 9-2 with table 9-1, evenly loaded, simply supported: the
sag in the middle is 5·w·L⁴ / (384·E·I), I = b·h³/12. Its second term, for shear, is left out: the published moduli
come from beams of span to depth 14 and contain it. Keys hold a shelf's ends a little; that is not counted.
Newtons, millimetres, megapascals.
"""

from __future__ import annotations

from dataclasses import dataclass

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s²."""
EVEN = 5 / 384
"""The factor of table 9-1 for an even load on two simple supports, in the middle."""


def weight_of(kilograms_per_metre: float) -> float:
    """What a mass along a shelf (kg/m) weighs, N/mm."""
    return kilograms_per_metre * GRAVITY / 1000


@dataclass(frozen=True, slots=True)
class Beam:
    """A board that lies flat on its ends: breadth and thickness in mm, modulus of elasticity in MPa."""

    breadth: float
    thickness: float
    stiffness: float

    @property
    def rigidity(self) -> float:
        """E·I, N·mm²."""
        return self.stiffness * self.breadth * self.thickness**3 / 12

    def sag(self, weight: float, span: float) -> float:
        """The sag in the middle of ``span`` (mm) under an even weight (N/mm), mm.

        >>> round(Beam(50, 200, 11_000).sag(2.5, 4_000), 2)
        22.73
        """
        return EVEN * weight * span**4 / self.rigidity

    def longest(self, weight: float, share: float, creep: float = 1.0) -> float:
        """The longest span (mm) whose sag, ``creep`` times over, is no more than the span by ``share``."""
        return float((self.rigidity / (EVEN * weight * creep * share)) ** (1 / 3))
