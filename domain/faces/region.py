"""The wood that a mating face offers, as a region of (x, v) bounded by straight lines.

Every section of stock in this trade is a rectangle with a shaped front (a ceiling), and notches and
grooves (rectangular voids). So the region is kept as just that, and the questions asked of it have
closed answers: no general polygon arithmetic, no grid. The tests compare with ``shapely``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from domain.intervals import TOUCH, Interval, Intervals, gaps

Profile = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Void:
    """A rectangle without wood: a rabbet, a groove, a saw line. Millimetres.

    ``panel`` names what is let into it where that carries no key's load: a slot may cross it then, if the shop
    allows it.
    """

    x0: float
    x1: float
    v0: float
    v1: float
    panel: str | None = None


@dataclass(frozen=True, slots=True)
class Region:
    """Wood in 0 ≤ x ≤ width, floor(x) ≤ v ≤ ceiling(x), less the voids. Millimetres.

    ``floor`` and ``ceiling`` are polylines rising in x from 0 to ``width`` (a step repeats its x);
    None stands for v = 0 and v = run. Both are kept so that the region can be turned around and
    entered from the other side.
    """

    width: float
    run: float
    ceiling: Profile | None = None
    floor: Profile | None = None
    voids: tuple[Void, ...] = ()

    def from_other_end(self) -> Region:
        """The same wood with v counted from the opposite edge."""

        def flip(profile: Profile | None) -> Profile | None:
            return None if profile is None else tuple((x, self.run - v) for x, v in profile)

        voids = tuple(replace(void, v0=self.run - void.v1, v1=self.run - void.v0) for void in self.voids)
        return Region(self.width, self.run, flip(self.floor), flip(self.ceiling), voids)

    @property
    def crossable(self) -> tuple[Void, ...]:
        """The grooves and rabbets that a slot may cross."""
        return tuple(void for void in self.voids if void.panel is not None)

    def crossed(self) -> Region:
        """The wood as it counts for a slot that crosses: on both sides of what it crosses, and beside nothing."""
        return replace(self, voids=tuple(void for void in self.voids if void.panel is None))

    def clear_gaps(self, top: float) -> Intervals:
        """The x where the whole strip 0 ≤ v ≤ ``top`` is wood. Empty where top exceeds the run."""
        if top > self.run + TOUCH:
            return ()
        blocked: list[Interval] = []
        if self.ceiling is not None:
            blocked += _beyond(self.ceiling, top)
        if self.floor is not None:
            blocked += _beyond(tuple((x, -v) for x, v in self.floor), 0.0)
        blocked += [(void.x0, void.x1) for void in self.voids if void.v0 < top - TOUCH and void.v1 > TOUCH]
        return gaps(0.0, self.width, blocked)

    def clear_run(self, x0: float, x1: float) -> float:
        """How far up from v = 0 the strip x0 ≤ x ≤ x1 is wood; 0 where it does not begin at the edge."""
        if x0 < -TOUCH or x1 > self.width + TOUCH:
            return 0.0
        if self.floor is not None and _lowest(tuple((x, -v) for x, v in self.floor), x0, x1) < -TOUCH:
            return 0.0
        tops = [self.run if self.ceiling is None else _lowest(self.ceiling, x0, x1)]
        for void in self.voids:
            if void.x0 < x1 - TOUCH and void.x1 > x0 + TOUCH and void.v1 > TOUCH:
                tops.append(void.v0)
        return max(0.0, min(tops))

    def area(self) -> float:
        """Area of wood in mm², voids counted once (they must not overlap each other)."""
        top = self.width * self.run if self.ceiling is None else _under(self.ceiling)
        bottom = 0.0 if self.floor is None else _under(self.floor)
        return top - bottom - sum(self._void_area(void) for void in self.voids)

    def _void_area(self, void: Void) -> float:
        """The void's area inside the outline: a rabbet may reach above a moulded front's edge."""
        marks = sorted({void.x0, void.x1, *(x for x, _ in self.ceiling or ()), *(x for x, _ in self.floor or ())})
        total = 0.0
        for x0, x1 in pairwise(x for x in marks if void.x0 <= x <= void.x1):
            for a, b in _halved(self, void, x0, x1):
                low = max(void.v0, _at(self.floor, (a + b) / 2, 0.0))
                high = min(void.v1, _at(self.ceiling, (a + b) / 2, self.run))
                total += (b - a) * max(0.0, high - low)
        return total


def _halved(region: Region, void: Void, x0: float, x1: float) -> Intervals:
    """Split x0..x1 where a sloping edge crosses the void's own, so that the midpoint rule is exact."""
    cuts = {x0, x1}
    for profile in (region.ceiling, region.floor):
        for level in (void.v0, void.v1):
            v0, v1 = (_at(profile, x, level) for x in (x0 + TOUCH, x1 - TOUCH))
            if (v0 - level) * (v1 - level) < 0:
                cuts.add(x0 + (level - v0) / (v1 - v0) * (x1 - x0))
    return tuple(pairwise(sorted(cuts)))


def _at(profile: Profile | None, x: float, flat: float) -> float:
    if profile is None:
        return flat
    for (x0, v0), (x1, v1) in pairwise(profile):
        if x0 <= x <= x1 and x1 > x0:
            return v0 + (v1 - v0) * (x - x0) / (x1 - x0)
    return profile[-1][1]


def _beyond(profile: Profile, top: float) -> list[Interval]:
    """The x where the profile lies below ``top``: there a strip as high as ``top`` is not all wood."""
    blocked = []
    for (x0, v0), (x1, v1) in pairwise(profile):
        if v0 >= top - TOUCH and v1 >= top - TOUCH:
            continue
        if (v0 < top and v1 < top) or x1 == x0:
            blocked.append((x0, x1))
            continue
        cross = x0 + (top - v0) / (v1 - v0) * (x1 - x0)
        blocked.append((x0, cross) if v0 < top else (cross, x1))
    return blocked


def _lowest(profile: Profile, x0: float, x1: float) -> float:
    """The profile's least value over the open strip x0 < x < x1."""
    values = [v for x, v in profile if x0 + TOUCH < x < x1 - TOUCH]
    for (a, v_a), (b, v_b) in pairwise(profile):
        if b <= a:
            continue
        for x in (x0, x1):
            inside = a <= x <= b and not (x == x0 and abs(x - b) < TOUCH) and not (x == x1 and abs(x - a) < TOUCH)
            if inside:
                values.append(v_a + (v_b - v_a) * (x - a) / (b - a))
    return min(values)


def _under(profile: Profile) -> float:
    return sum((x1 - x0) * (v0 + v1) / 2 for (x0, v0), (x1, v1) in pairwise(profile))
