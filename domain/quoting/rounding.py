"""The one rounding rule of a quote: every amount to the whole minor unit by itself, an exact half up.

So reads Article 5 of Council Regulation (EC) No 1103/97 for sums in euro: to the nearest cent, and up where the
result lies exactly half-way. A sum is the sum of the amounts above it, so whoever adds a quote up by hand comes to
the same. Amounts are never negative.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

HUNDRED = 100


def half_up(exact: Fraction) -> int:
    """The nearest whole number, of an exact half the larger; ``exact`` is not negative.

    >>> half_up(Fraction(5, 2)), half_up(Fraction(7, 2)), half_up(Fraction(249, 100))
    (3, 4, 2)
    """
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)


def exact(number: float) -> Fraction:
    """A number as it was typed: 8.25 is 33/4, and 0.1 a tenth.

    >>> exact(0.1), exact(19)
    (Fraction(1, 10), Fraction(19, 1))
    """
    return Fraction(Decimal(repr(number)))


def percent_of(percent: Fraction, amount: int) -> int:
    """So many percent of an amount.

    >>> percent_of(exact(8.25), 1_000), percent_of(exact(19), 50)
    (83, 10)
    """
    return half_up(percent * amount / HUNDRED)
