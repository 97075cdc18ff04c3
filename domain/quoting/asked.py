"""What the customer is shown: lines that add up to the price, and nothing of cost or margin.

In detail every item and every sort of work stands at its share of the price, the margin spread over them in
proportion to their cost: each share is exact, and rounded so that all add up (largest remainder).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from domain.ordering.costs import apportion
from domain.quoting.materials import Material
from domain.quoting.reckoning import Own, Reckoning, Work
from domain.quoting.rounding import HUNDRED
from domain.spec.quote import Depth


@dataclass(frozen=True, slots=True)
class AskedLine:
    """A line of the customer's paper. ``of`` is what it is for; None where it is the whole of the work."""

    of: Material | Work | Own | None
    amount: int


def asked_lines(reckoning: Reckoning) -> tuple[AskedLine, ...]:
    """The lines before discount and tax, at the depth that the terms say. There must be a total."""
    assert reckoning.cost is not None
    assert reckoning.margin is not None
    own = tuple(AskedLine(each, each.amount) for each in reckoning.own)
    price = reckoning.cost + reckoning.margin
    if reckoning.terms.depth is Depth.SUMMED:
        return (AskedLine(None, price), *own)
    lines: tuple[Material | Work, ...] = (*reckoning.materials, *reckoning.work)
    factor = 1 + (reckoning.terms.margin or Fraction(0)) / HUNDRED
    shares = apportion(price, [(line.cost or 0) * factor for line in lines])
    shown = (AskedLine(line, share) for line, share in zip(lines, shares, strict=True))
    return (*(line for line in shown if line.amount), *own)
