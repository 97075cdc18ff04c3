"""Temperatures as they are typed and shown: °C, and °F where lengths are in inches."""

from __future__ import annotations

from decimal import Decimal

from domain.lengths import Units
from domain.problems import Refused
from webapp.wording.exact import parse_number
from webapp.wording.problems import InputProblem

LEAST, MOST = Decimal("-1.2"), Decimal("54.5")
"""°C that the handbook's table of moisture goes over: 29.84 to 130.1 °F."""


def unit_of(units: Units) -> str:
    """What a plain number means.

    >>> [unit_of(units) for units in Units]
    ['°C', '°F']
    """
    return "°C" if units is Units.MM else "°F"


def temperature_text(celsius: float, units: Units) -> str:
    """A temperature as a plain number of the reader's scale, so fine that it is read back as what it was.

    >>> temperature_text(20, Units.MM), temperature_text(20, Units.INCH)
    ('20', '68')
    """
    exact = Decimal(str(celsius))
    shown = exact if units is Units.MM else exact * 9 / 5 + 32
    return f"{round(shown, 4).normalize():f}"


def parse_temperature(text: str, units: Units) -> float:
    """°C, to a millionth, of "68", "68 °F" or "20 C"; a plain number is of the reader's scale. Raises Refused.

    >>> parse_temperature("68", Units.INCH), parse_temperature("20 °C", Units.INCH)
    (20.0, 20.0)
    >>> parse_temperature("59 F", Units.MM)
    15.0
    """
    plain = text.strip().upper().replace(" ", "")
    scale = plain[-1:] if plain[-1:] in {"C", "F"} else unit_of(units)[-1]
    number = parse_number(plain.removesuffix("C").removesuffix("F").removesuffix("°"))
    celsius = number if scale == "C" else (number - 32) * 5 / 9
    if not LEAST <= celsius <= MOST:
        raise Refused(InputProblem.NO_SUCH_TEMPERATURE)
    return float(round(celsius, 6))
