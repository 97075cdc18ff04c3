"""How much of an item: pieces and grams as they are counted, boards in m³ or board feet, strips in metres or feet.

In metric units the figure is exact, to the cm³ and the mm that are counted; board feet and feet are rounded to
hundredths.
"""

from __future__ import annotations

import re
from fractions import Fraction

from domain.lengths import Units
from domain.problems import Refused
from domain.timber.measures import BOARD_FOOT, CUBIC_METRE, FOOT
from webapp.wording.exact import parse_count, parse_number
from webapp.wording.problems import InputProblem

# of what is counted: the unit that it is shown in, how much of it that is, and the decimals it is shown with
_SHOWN = {
    ("cm³", Units.MM): ("m³", Fraction(CUBIC_METRE), 6),
    ("cm³", Units.INCH): ("bd ft", BOARD_FOOT, 2),
    ("mm", Units.MM): ("m", Fraction(1000), 3),
    ("mm", Units.INCH): ("ft", FOOT, 2),
}
_READ = {
    "cm³": {
        **dict.fromkeys(("m³", "m3", "cbm"), Fraction(CUBIC_METRE)),
        **dict.fromkeys(("bd ft", "bdft", "bf", "board feet", "board foot"), BOARD_FOOT),
        **dict.fromkeys(("l", "dm³", "dm3"), Fraction(1000)),
        **dict.fromkeys(("cm³", "cm3"), Fraction(1)),
    },
    "mm": {"m": Fraction(1000), "ft": FOOT, "'": FOOT, "′": FOOT, "mm": Fraction(1)},
}
_MEASURE = re.compile(r"(?P<number>[+−-]?[\d.,\s]*\d)\s*(?P<unit>[^\d\s].*)")


def amount(count: int, unit: str, units: Units = Units.MM) -> str:
    """A quantity with its unit, kept on one line; ``unit`` is what ``count`` counts.

    >>> amount(12, "pcs").split(), amount(125_000, "cm³").split(), amount(2310, "mm").split()
    (['12', 'pcs'], ['0.125', 'm³'], ['2.31', 'm'])
    >>> amount(125_000, "cm³", Units.INCH).split(), amount(3048, "mm", Units.INCH).split()
    (['52.97', 'bd', 'ft'], ['10', 'ft'])
    """
    return f"{bare_amount(count, unit, units)}\xa0{shown_in(unit, units)}".replace(" ", "\xa0")


def bare_amount(count: int, unit: str, units: Units = Units.MM) -> str:
    """The figure of ``amount``, where its unit is said elsewhere.

    >>> bare_amount(-27, "cm³"), bare_amount(3, "pcs")
    ('-0.000027', '3')
    """
    if (unit, units) not in _SHOWN:
        return str(count)
    _, each, places = _SHOWN[unit, units]
    return plain(count / each, places)


def counted(count: Fraction | int, unit: str, units: Units = Units.MM) -> tuple[float, str]:
    """The same for a table: the figure as a number, to as many decimals, and the unit that it is of.

    >>> counted(12, "pcs"), counted(125_000, "cm³"), counted(125_000, "cm³", Units.INCH)
    ((12, 'pcs'), (0.125, 'm³'), (52.97, 'bd ft'))
    """
    if (unit, units) not in _SHOWN:
        whole = Fraction(count).denominator == 1
        return (int(count) if whole else round(float(count), 1)), unit
    shown, each, places = _SHOWN[unit, units]
    return float(round(Fraction(count) / each, places)), shown


def priced_by(unit: str, units: Units) -> tuple[str, Fraction] | None:
    """Of what is measured: the unit that its price is told for, and how much of it that is; else None.

    >>> priced_by("mm", Units.MM), priced_by("pcs", Units.MM)
    (('m', Fraction(1000, 1)), None)
    """
    if (unit, units) not in _SHOWN:
        return None
    shown, each, _ = _SHOWN[unit, units]
    return shown, Fraction(each)


def plain(number: Fraction, places: int) -> str:
    """A number with at most so many decimals, and no zeros at its end.

    >>> plain(Fraction(1, 8), 2), plain(Fraction(10), 3)
    ('0.12', '10')
    """
    text = f"{round(number * 10**places) / 10**places:.{places}f}" if places else str(round(number))
    return text.rstrip("0").rstrip(".") if "." in text else text


def shown_in(unit: str, units: Units) -> str:
    """The unit that a quantity of ``unit`` is shown in."""
    return _SHOWN[unit, units][0] if (unit, units) in _SHOWN else unit


def parse_amount(text: str, unit: str, *, signed: bool = False) -> int:
    """So many of ``unit``, or a volume or a length to the nearest whole of it. Raises Refused.

    >>> parse_amount("0,125 m³", "cm³"), parse_amount("53 bf", "cm³"), parse_amount("2.5 m", "mm")
    (125000, 125066, 2500)
    >>> parse_amount("1200", "cm³"), parse_amount("12 pcs", "pcs")
    (1200, 12)
    """
    measure = _MEASURE.fullmatch(text.strip())
    each = _READ.get(unit, {}).get(" ".join(measure["unit"].split()).lower()) if measure else None
    if measure is None or each is None:
        return parse_count(text, signed=signed)
    number = Fraction(parse_number(re.sub(r"\s", "", measure["number"]).replace("−", "-").removeprefix("+")))
    if number < 0 and not signed:
        raise Refused(InputProblem.NOT_WHOLE, example_text="12")
    return round(number * each)
