"""The moisture content that wood comes to in the air around it, by temperature and relative humidity.

USDA Forest Products Laboratory, Wood Handbook (FPL-GTR-190), equation 4-5: two hydrates after Hailwood and
Horrobin (1946), its constants for degrees Celsius; table 4-2 follows from it to 0.06 %. Both, with where they were
read, in shared/published/moisture.csv and wood-movement.md. The data behind them are of practical, not scientific,
reliability (FPL-GTR-229): real species and histories differ.
"""

from __future__ import annotations

FIBRE_SATURATION = 30.0
"""Moisture content (%) above which wood no longer swells: the handbook's average."""


def equilibrium(temperature: float, humidity: float) -> float:
    """Equilibrium moisture content in % at °C and % relative humidity (0 to 100), never above fibre saturation.

    >>> round(equilibrium(20, 50), 3), round(equilibrium(20, 65), 3), equilibrium(20, 0)
    (9.271, 11.996, 0.0)
    """
    t, h = temperature, humidity / 100
    weight = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    first = 6.27 - 0.00938 * t - 0.000303 * t * t
    second = 1.91 + 0.0407 * t - 0.000293 * t * t
    dissolved = k * h
    hydrated = first * dissolved + 2 * first * second * dissolved * dissolved
    of_all = 1 + first * dissolved + first * second * dissolved * dissolved
    return min(FIBRE_SATURATION, 1800 / weight * (dissolved / (1 - dissolved) + hydrated / of_all))
