"""The price of one of an item, and where it comes from: finer than money is paid."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from domain.ordering.costs import UnitPrice
from webapp.wording.amounts import PRICED_BY, amount
from webapp.wording.exact import price_text
from webapp.wording.money import format_money, minor_places

FINER = 2
"""Decimals that the price of one piece has beyond the currency's own."""


def each_text(price: UnitPrice, currency: str, unit: str) -> str:
    """The price of one, without the currency; of boards that of a m³, of strips that of a m.

    >>> from fractions import Fraction
    >>> each_text(UnitPrice(Fraction(1290, 100)), "EUR", "pcs")
    '0.1290'
    >>> each_text(UnitPrice(Fraction(119, 1000)), "EUR", "cm³")
    '1190.00 a m³'
    """
    places = minor_places(currency)
    if unit in PRICED_BY:
        whole, count = PRICED_BY[unit]
        return f"{price_text(round(price.each * count), currency)} a {whole}"
    exact = Decimal(price.each.numerator) / Decimal(price.each.denominator)
    return str(exact.scaleb(-places).quantize(Decimal(1).scaleb(-places - FINER), ROUND_HALF_EVEN))


def source_text(price: UnitPrice, currency: str, unit: str) -> str:
    """Whose price it is: a supplier's pack, or the catalogue's price of one."""
    if price.pack is None:
        return "catalogue, price of one"
    return f"{price.pack.supplier}, {format_money(price.pack.price, currency)} for {amount(price.pack.size, unit)}"
