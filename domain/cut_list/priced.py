"""A wood of the cut list with the form in which it is bought, and its price."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from domain.cut_list.timber import TimberLine
from domain.cut_list.wanted import Wanted
from domain.lengths import Length
from domain.ordering.items import Item


@dataclass(frozen=True, slots=True)
class Bought:
    """What a wood takes. ``own``: of stock that a project names itself, ``used`` bars or sheets in its plan."""

    wanted: Wanted
    own: bool = False
    used: int = 0


@dataclass(frozen=True, slots=True)
class PricedWood:
    """A wood with its price in minor units, exact; None where something of it has none, which ``unpriced`` names.

    ``mean_width`` is that of the boards that it might be ripped from; None where none was typed.
    """

    line: TimberLine
    bought: Bought
    price: Fraction | None
    unpriced: tuple[Item, ...] = ()
    mean_width: Length | None = None

    @property
    def boards(self) -> Fraction | None:
        """How many mm of board of the mean width it takes; None of sheets, or where no strip lies in one."""
        if self.mean_width is None or not self.line.is_solid:
            return None
        return self.line.boards(self.mean_width)
