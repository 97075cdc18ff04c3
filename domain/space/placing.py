"""Which piece of a parts list a body is: by its name and size, counted in the order in which they are put in."""

from __future__ import annotations

from collections import Counter

from domain.parts import Expansion, Member, Panel, Side, Single, Vector
from domain.space.body import Body, Channel, End, Sides, oblong

LEFT_RIGHT = (Side.LEFT, Side.RIGHT)
LOW_HIGH = (Side.BOTTOM, Side.TOP)
BACK_FRONT = (Side.BACK, Side.FRONT)
OUT_IN = (Side.OUTSIDE, Side.INSIDE)
RIGHT, UP, NEAR = Side.RIGHT.way, Side.TOP.way, Side.FRONT.way
LEFT, DOWN, AWAY = Side.LEFT.way, Side.BOTTOM.way, Side.BACK.way
STOOD = Sides(LOW_HIGH, LEFT_RIGHT, BACK_FRONT)
"""What stands and shows its face: its first end below, its first edge on the left, its first face behind."""
Ways = tuple[Vector, Vector, Vector]


class Placing:
    """Finds the pieces of one copy one after the other, in the order in which its kind asked for them."""

    def __init__(self, expansion: Expansion) -> None:
        self._expansion = expansion
        self._asked: Counter[str] = Counter()

    def single(self, name: str, length: float, width: float | None = None) -> Single:
        """The next member or panel of this name and length, mm. LookupError where the list has none."""
        parts: list[Member | Panel] = [*self._expansion.members, *self._expansion.panels]
        for part in parts:
            fits = width is None or abs(part.width - width) < 1e-6
            if part.name == name and abs(part.length - length) < 1e-6 and fits:
                return self.next_of(part.mark)
        raise LookupError(f"{self._expansion.mark} has no {name} {length:g} long")

    def next_of(self, mark: str) -> Single:
        """The next piece of a mark."""
        self._asked[mark] += 1
        return Single(mark, self._asked[mark] - 1)

    def board(
        self,
        name: str,
        size: tuple[float, float, float],
        origin: Vector,
        ways: Ways,
        sides: Sides,
        channels: tuple[Channel, ...] = (),
    ) -> Body:
        """A member with square ends: length, width and thickness in mm."""
        length, width, thickness = size
        piece = self.single(name, length, width)
        return Body(piece, origin, ways, oblong(width, thickness), (End(0.0), End(length)), sides, channels)

    def panel(self, name: str, size: tuple[float, float, float], origin: Vector, ways: Ways, sides: Sides) -> Body:
        """A panel: length, width and thickness in mm."""
        length, width, thickness = size
        piece = self.single(name, length, width)
        section = oblong(width, thickness)
        return Body(piece, origin, ways, section, (End(0.0), End(length)), sides, is_panel=True)
