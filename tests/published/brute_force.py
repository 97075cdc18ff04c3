"""A planner that thinks of nothing: every stack, every choice of centres on a 0.25 mm grid.

One mating face with all its sections, by the trade's rules alone. It asks the planner under test for
nothing; the tests compare the two, and the benchmark measures how much the exact planner saves.
Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, pairwise
from math import cos, hypot, radians, sin, tan

from domain.faces.face import Behind, MatingFace
from domain.faces.region import Region
from domain.parts import Joint
from domain.spec.catalogue import KeyEnd, Section
from domain.spec.choices import Entry
from domain.spec.rules import Rules

GRID = 0.25
REACH_SLACK = 2.0


Grid = tuple[float, ...]
Tried = tuple[tuple[float, ...], tuple[float, ...], Grid]
"""Keys from the one end and from the other (none from a single edge), and the grid points that they leave."""


@dataclass(frozen=True, slots=True)
class BruteLayout:
    """Grid centres along the joint line and their reach."""

    centres: tuple[float, ...]
    reach: float


@dataclass(frozen=True, slots=True)
class BrutePlan:
    """The figures of merit of one section in a joint; ``far`` are the keys from the other end of the run."""

    section: str
    free: bool
    entry: Entry
    keys: tuple[float, ...]
    far: tuple[float, ...]
    centres: tuple[float, ...]
    reach: float
    hold: float

    @property
    def total(self) -> float:
        """Length of the keys in one row."""
        return sum(self.keys) + sum(self.far)

    @property
    def count(self) -> int:
        """Rows of keys along the joint line."""
        return len(self.centres)


def plan_by_brute_force(joint: Joint, sections: Sequence[Section], rules: Rules) -> dict[str, BrutePlan | None]:
    """Every section's plan by its name, None where it does not fit.

    Pinned counts, plugs and recesses are not known here.
    """
    return {section.name: _section(joint, section, rules) for section in sections}


def chosen(
    joint: Joint, sections: Sequence[Section], plans: dict[str, BrutePlan | None], target: float
) -> BrutePlan | None:
    """Section by section: who has enough rows, who is recommended, who reaches the hold, who is wider."""
    side = min(joint.face.region.width, joint.face.region.run)
    rows = 1 if joint.kind.on_edge else 2
    left = [(section, plan) for section in sections if (plan := plans[section.name]) is not None]
    left = [one for one in left if one[1].count >= rows] or left
    recommended = [one for one in left if one[0].stock_from.mm <= side <= one[0].stock_to.mm]
    reaching = [one for one in recommended if one[1].hold >= target - 1e-9]
    if recommended and not reaching:
        most = max(plan.hold for _, plan in recommended)
        reaching = [one for one in recommended if one[1].hold >= most - 1e-9]
    return max(reaching or left, key=lambda one: one[0].overall_width, default=(None, None))[1]


def _section(joint: Joint, section: Section, rules: Rules) -> BrutePlan | None:
    """What every entry comes to, and of these the one that holds most; of equal ones a single edge."""
    found = [plan for entry in joint.entries if (plan := _entry(joint, section, rules, entry)) is not None]
    most = max((plan.hold for plan in found), default=0)
    best = [plan for plan in found if plan.hold >= most - 1e-9]
    return next((plan for plan in best if plan.entry is not Entry.BOTH), best[0] if best else None)


def _entry(joint: Joint, section: Section, rules: Rules, entry: Entry) -> BrutePlan | None:
    """The close-fit cutter, unless the free-fit one brings the hold to the target, or a tenth more of it."""
    close = Trial(joint, section, rules, entry, section.tip_diameter.mm, free=False).plan()
    if section.free_tip_diameter is None or (close is not None and close.hold >= rules.hold_target):
        return close
    tip = section.free_tip_diameter.mm
    free = Trial(joint, section, rules, entry, tip, free=True).plan()
    if close is None or free is None:
        return close or free
    return (
        free if free.hold > close.hold and free.hold >= min(rules.hold_target, close.hold + 0.1) - 1e-9 else close
    )


class Trial:
    """One section with one cutter from one entry."""

    def __init__(
        self, joint: Joint, section: Section, rules: Rules, entry: Entry, tip: float, *, free: bool
    ) -> None:
        self.joint, self.section, self.rules, self.entry = joint, section, rules, entry
        self.tip, self.free = tip, free
        self.face: MatingFace = joint.face
        slope = tan(radians(section.flank))
        self.projection = (tip - section.waist.mm) / (2 * slope) + rules.preload.mm
        self.mouth = tip - 2 * self.projection * slope
        self.past_end = self._past_square_end(slope) if section.end is KeyEnd.SQUARE else 0.0
        self.sine, self.cosine = sin(radians(self.face.angle)), cos(radians(self.face.angle))
        self.breadth = self.face.region.width / self.sine
        entries = self.face.ends if entry is Entry.BOTH else (entry,)
        self.regions = [self.face.region_from(one) for one in entries]
        self.deepest = min(self.face.region.run - rules.skin.mm, rules.stroke.mm)

    def _past_square_end(self, slope: float) -> float:
        """How far a square end stays from the slot's top, felt for: back, until no corner sticks out anywhere.

        Corners are looked at on 40 levels of the key; the steps are halved 60 times.
        """
        levels = [self.section.half_depth.mm * step / 40 for step in range(41)]
        corners = [(self.mouth / 2 + w * slope, self.section.waist.mm / 2 + w * slope) for w in levels]
        inside, outside = 0.0, self.tip / 2
        for _ in range(60):
            middle = (inside + outside) / 2
            if all(half_key <= 0 or hypot(half_key, middle) <= radius for radius, half_key in corners):
                inside = middle
            else:
                outside = middle
        return self.tip / 2 - inside

    def plan(self) -> BrutePlan | None:
        """The best stack and centres, or None."""
        if not self.fits_behind():
            return None
        fillings = []
        tried = self._tried_at_both_ends() if self.entry is Entry.BOTH else self._tried()
        most = max((self._most(grid) for _, _, grid in tried), default=0)
        if most == 0:
            return None
        least_count = min(1 if self.joint.kind.on_edge else 2, most)
        known: dict[Grid, BruteLayout | None] = {}
        for keys, far, grid in tried:
            if grid not in known:
                known[grid] = self._fewest(grid, least_count, most)
            layout = known[grid]
            if layout is None:
                continue
            if layout.reach <= self.section.reach_limit.mm:
                return self._filled(keys, far, layout)
            fillings.append((keys, far, layout))
        least = min(layout.reach for _, _, layout in fillings)
        best = next(one for one in fillings if one[2].reach <= least + REACH_SLACK)
        return self._filled(*best)

    def _tried(self) -> list[Tried]:
        past_keys = self.past_end + self.rules.least_recess.mm
        return [(keys, (), tuple(self._grid(sum(keys) + past_keys))) for keys in self.stacks()]

    def _tried_at_both_ends(self) -> list[Tried]:
        """Every stack at the one end with every stack at the other, the wall between their slots."""
        near, far = (trial._tried() for trial in self.by_end())
        room = self.face.region.run - self.rules.wall.mm - 2 * (self.past_end + self.rules.least_recess.mm)
        points = {grid: frozenset(grid) for _, _, grid in far}
        shared: dict[tuple[Grid, Grid], Grid] = {}
        found = []
        for here, _, grid in near:
            for there, _, other in far:
                if sum(here) + sum(there) > room + 1e-9:
                    continue
                if (grid, other) not in shared:
                    shared[grid, other] = tuple(point for point in grid if point in points[other])
                found.append((here, there, shared[grid, other]))
        # of equal ones those with one depth
        return sorted(found, key=lambda one: (-round(sum(one[0]) + sum(one[1]), 6), one[0] != one[1]))

    def by_end(self) -> list[Trial]:
        """The same from each edge that keys enter by, as if from there alone."""
        entries = self.face.ends if self.entry is Entry.BOTH else (self.entry,)
        return [Trial(self.joint, self.section, self.rules, one, self.tip, free=self.free) for one in entries]

    def fits_behind(self) -> bool:
        """True where the projection leaves wall, skin or web in the other member."""
        kept = {
            Behind.EDGE: (self._wall, 1),
            Behind.SHOW_FACE: (self.rules.skin.mm, 1),
            Behind.OPPOSITE_SLOT: (self.rules.web.mm, 2),
        }
        for backing in self.face.backings:
            left, sharers = kept[backing.beyond]
            if self.projection > (backing.wood - left) / sharers + 1e-9:
                return False
        return True

    def stacks(self) -> list[tuple[float, ...]]:
        """Every stack that can be driven, longest first, fewest pieces, longest piece first."""
        limit = self.deepest - self.rules.least_recess.mm - self.past_end
        limit = min(limit, self.rules.stroke.mm)
        if not self.free:
            limit = min(limit, self.section.drive_limit.mm)
        lengths = sorted((length.mm for length in self.section.lengths), reverse=True)
        found: dict[float, tuple[float, ...]] = {}
        for pieces in range(1, int(limit / lengths[-1] + 1e-9) + 1):
            for keys in combinations_with_replacement(lengths, pieces):
                total = round(sum(keys), 6)
                if total <= limit + 1e-9:
                    found.setdefault(total, keys)
        return [found[total] for total in sorted(found, reverse=True)]

    def _grid(self, depth: float) -> list[float]:
        """The grid points whose slot of this depth keeps its wood."""
        top = depth + self.rules.skin.mm
        points = (step * GRID for step in range(int(self.breadth / GRID) + 1))
        return [
            u
            for u in points
            if self._clears_the_end(u) and all(_is_wood(region, *self._beside(u), top) for region in self.regions)
        ]

    def _beside(self, centre: float) -> tuple[float, float]:
        """What the slot and its walls cover of x: mouth at the face, tip leaning by the projection."""
        at_mouth = [(centre + side * self.mouth / 2) * self.sine for side in (-1, 1)]
        lean = self.projection * self.cosine
        at_tip = [(centre + side * self.tip / 2) * self.sine - lean for side in (-1, 1)]
        corners = at_mouth + at_tip
        return min(corners) - self._wall, max(corners) + self._wall

    @property
    def _wall(self) -> float:
        """The wall in solid wood, or in sheets; short grain is asked for apart."""
        sheet = self.rules.sheet_wall.mm if self.face.stuff.is_sheet else 0.0
        return float(max(self.rules.wall.mm, sheet))

    def _clears_the_end(self, centre: float) -> bool:
        """True where the slot leaves its short grain before the second member's end."""
        if self.face.end_off is None or self.face.stuff.is_sheet:
            return True
        wood = self._beside(centre)[0] + self._wall + self.face.end_off
        return wood >= self.rules.short_grain_wall.mm - 1e-6

    def _most(self, grid: Sequence[float]) -> int:
        count, last = 0, float("-inf")
        for point in grid:
            if point - last >= self.pitch - 1e-9:
                count, last = count + 1, point
        return count

    @property
    def pitch(self) -> float:
        """Least distance between neighbouring centres."""
        return self.tip + self.rules.web.mm

    def _fewest(self, grid: Sequence[float], least: int, most: int) -> BruteLayout | None:
        """The fewest keys within the reach limit, or else the least reach."""
        best: BruteLayout | None = None
        for count in range(least, min(most, self._most(grid)) + 1):
            layout = min(self._layouts(grid, count), key=lambda one: one.reach, default=None)
            if layout is None:
                continue
            if layout.reach <= self.section.reach_limit.mm:
                return layout
            if best is None or layout.reach < best.reach - 1e-6:
                best = layout
        return best

    def _layouts(self, grid: Sequence[float], count: int) -> Iterator[BruteLayout]:
        for centres in self._choices(grid, count, ()):
            spans = [(after - before) / 2 for before, after in pairwise(centres)]
            yield BruteLayout(centres, max(centres[0], self.breadth - centres[-1], *spans, 0.0))

    def _choices(
        self, grid: Sequence[float], count: int, before: tuple[float, ...]
    ) -> Iterator[tuple[float, ...]]:
        if len(before) == count:
            yield before
            return
        for point in grid:
            if not before or point - before[-1] >= self.pitch - 1e-9:
                yield from self._choices(grid, count, (*before, point))

    def _filled(self, keys: tuple[float, ...], far: tuple[float, ...], layout: BruteLayout) -> BrutePlan:
        hold = (sum(keys) + sum(far)) / self.face.region.run
        name = self.section.name
        return BrutePlan(name, self.free, self.entry, keys, far, layout.centres, layout.reach, hold)

    def all_wood(self, centres: Sequence[float], depth: float) -> bool:
        """True where slots this deep at these centres keep wall and skin."""
        top = depth + self.rules.skin.mm
        return all(_is_wood(region, *self._beside(u), top) for u in centres for region in self.regions)


def _is_wood(region: Region, x0: float, x1: float, top: float) -> bool:
    """True where the whole rectangle x0..x1, 0..top is wood, asked of the outline's own points, nothing else."""
    # depths are rounded to the nanometre
    slack = 1e-6
    if x0 < -slack or x1 > region.width + slack or top > region.run + slack:
        return False
    for void in region.voids:
        beside = void.x1 <= x0 + slack or void.x0 >= x1 - slack
        beyond = void.v0 >= top - slack or void.v1 <= slack
        if not (beside or beyond):
            return False
    heights = [] if region.ceiling is None else _heights(region.ceiling, x0, x1)
    depths = [] if region.floor is None else _heights(region.floor, x0, x1)
    return all(height >= top - slack for height in heights) and all(depth <= slack for depth in depths)


def _heights(profile: Sequence[tuple[float, float]], x0: float, x1: float) -> list[float]:
    """Where a profile stands at both ends of every piece of it that lies over x0..x1."""
    found = []
    for (a, at_a), (b, at_b) in pairwise(profile):
        left, right = max(a, x0), min(b, x1)
        if right - left > 1e-7:
            found += [at_a + (at_b - at_a) * (x - a) / (b - a) for x in (left, right)]
    return found
