"""The moisture that wood comes to in a project's places: the shop, where the work goes, there in the other season.

Moisture is in % of the dry wood's weight.
"""

from __future__ import annotations

from dataclasses import dataclass

from domain.spec.wood import Air, Climate
from domain.timber.moisture import equilibrium
from domain.timber.movement import within_coefficients


@dataclass(frozen=True, slots=True)
class Places:
    """Moisture in the shop, at home (where the work goes) and, where it was told, there in the other season."""

    shop: float
    home: float
    other: float | None = None

    @property
    def away(self) -> tuple[float, ...]:
        """What the work meets once it has left the shop."""
        return (self.home,) if self.other is None else (self.home, self.other)

    @property
    def all(self) -> tuple[float, ...]:
        """Every place, the shop first."""
        return (self.shop, *self.away)

    @property
    def by_coefficients(self) -> bool:
        """True where the published coefficients hold for every change from the shop on."""
        return all(within_coefficients(self.shop, moisture) for moisture in self.away)


def moisture_of(air: Air) -> float:
    """The moisture content that was told, or that wood comes to in that air, %."""
    if air.moisture is not None:
        return air.moisture
    if air.temperature is None or air.humidity is None:  # a spec never says neither
        raise ValueError(air)
    return equilibrium(air.temperature, air.humidity)


def places_of(climate: Climate) -> Places:
    """The moistures of a climate.

    >>> places_of(Climate.model_validate({"from": {"moisture": 8}, "to": {"moisture": 11}})).shop
    8.0
    """
    other = None if climate.other_to is None else moisture_of(climate.other_to)
    return Places(moisture_of(climate.from_), moisture_of(climate.to), other)
