"""The price of one of an item, and where it comes from: finer than money is paid."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from domain.lengths import Units
from domain.ordering.costs import UnitPrice
from webapp.wording.amounts import amount, priced_by
from webapp.wording.exact import price_text
from webapp.wording.money import format_money, minor_places

FINER = 2
"""Decimals that the price of one piece has beyond the currency's own."""


def each_text(price: UnitPrice, currency: str, unit: str, units: Units = Units.MM) -> str:
    """The price of one, without the currency; of boards that of a m³ or board foot, of strips of a m or foot.

    >>> from fractions import Fraction
    >>> each_text(UnitPrice(Fraction(1290, 100)), "EUR", "pcs")
    '0.1290'
    >>> [each_text(UnitPrice(Fraction(119, 1000)), "EUR", "cm³", units) for units in Units]
    ['1190.00 a m³', '2.81 a bd ft']
    """
    places = minor_places(currency)
    measured = priced_by(unit, units)
    if measured is not None:
        whole, count = measured
        return f"{price_text(round(price.each * count), currency)} a {whole}"
    exact = Decimal(price.each.numerator) / Decimal(price.each.denominator)
    return str(exact.scaleb(-places).quantize(Decimal(1).scaleb(-places - FINER), ROUND_HALF_EVEN))


def source_text(price: UnitPrice, currency: str, unit: str, units: Units = Units.MM) -> str:
    """Whose price it is: a supplier's pack, or the catalogue's price of one."""
    if price.pack is None:
        return "catalogue, price of one"
    size = amount(price.pack.size, unit, units)
    return f"{price.pack.supplier}, {format_money(price.pack.price, currency)} for {size}"
