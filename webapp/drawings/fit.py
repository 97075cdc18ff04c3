"""Key and slots in section at the chosen projection, in their true proportions.

A squeeze or a gap is a few hundredths of a millimetre: detail A shows it enlarged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.lengths import Length, Units, format_mm
from domain.planning.fit import FitRegime, KeyFit, key_fit, mouth
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.rules import Rules
from webapp.drawings.clipping import Segment, clipped
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, split, tick, upright
from webapp.drawings.hatching import WOOD, WOOD_FACING, Hatching, hatch, section_hatching
from webapp.drawings.model import Dot, Drawing, Line, Point, Polygon, Role, Shape, Text, TextRole, finished

EMS = 22
"""The two pieces are this many em wide."""
DETAIL = 3.5
"""Half the side of the detail's square, in em."""
LEAST = 0.0005
"""Below this (mm) a squeeze or gap is nothing in the figures, and there is no detail of it."""
SQUEEZE_LIMIT = Rules().squeeze_limit
Parts = Iterator[Shape | Text]


def draw_fit(
    plan: SectionPlan, units: Units, squeeze_limit: Length = SQUEEZE_LIMIT, section_index: int = 0
) -> Drawing:
    """The butterfly key in its two slots, with the squeeze, play or gap that this projection gives.

    ``section_index`` is the section's place in the shop's list: it chooses the key's hatching.
    """
    section, tip_diameter = plan.section, plan.cutter.tip_diameter
    fit = key_fit(section, tip_diameter, plan.projection, squeeze_limit, plan.snug_projection)
    apart = fit.amount / 2 if fit.regime is FitRegime.HELD_APART else 0.0
    width = 2.2 * max(tip_diameter, section.overall_width)
    em = width / EMS
    parts: list[Shape | Text] = []
    for side in (1, -1):
        parts += _piece(plan, side, apart, width, em)
    key = _key(plan)
    parts += [Polygon(Role.KEY, key), *hatch(key, section_hatching(section_index), em, Role.KEY_HATCH)]
    parts += _sizes(plan, units, apart, width, em)
    says = fit_words(fit, units)
    low = -plan.projection - apart - 5.4 * em
    parts.append(Text(TextRole.WORDS, (0.0, low), says, em))
    lens = _lens(plan, fit, (0.0, low - (1.4 + DETAIL) * em), em)
    enlarged = ""
    if lens is not None:
        parts += _detail(plan, fit, lens, units, em, section_hatching(section_index))
        enlarged = f" Detail A: the place circled, {lens.factor} times as large."
    shapes, texts = split(parts)
    name = f"Section {section.name} key in its slots"
    describes = (
        f"Not exaggerated: projection {fine_figure(plan.projection, units)},"
        f" snug at {fine_figure(plan.snug_projection, units)}; {says}.{enlarged}"
        f" {UNIT_WORDS[units]}"
    )
    return finished(name, describes, em, shapes, texts)


def section_index(joint: JointPlan) -> int:
    """The place of a joint's section in the shop's list, which chooses its hatching; 0 without a section."""
    names = [each.section.name for each in joint.alternatives]
    return names.index(joint.plan.section.name) if joint.plan and joint.plan.section.name in names else 0


def fit_words(fit: KeyFit, units: Units) -> str:
    """What the key does, in a few words with its figure."""
    amount = _finest(fit.amount, units)
    match fit.regime:
        case FitRegime.HELD_APART:
            return f"faces held {amount} apart"
        case FitRegime.LOOSE:
            return f"loose: the joint can open {amount}"
        case FitRegime.CLAMPED:
            return f"clamps: squeeze {amount} a flank"
        case FitRegime.OVER_TIGHT:
            return f"over-tight: squeeze {amount} a flank"


def _finest(mm: float, units: Units) -> str:
    return f"{format_mm(mm, 3)} mm" if units is Units.MM else f"{mm / 25.4:.4f}″"


def _slot(plan: SectionPlan, side: int, apart: float) -> tuple[Point, ...]:
    """A slot's section from its mouth's left edge round to the right; ``side`` 1 above, −1 below."""
    half_tip = plan.cutter.tip_diameter / 2
    half_mouth = mouth(plan.section, plan.cutter.tip_diameter, plan.projection) / 2
    face, bottom = side * apart, side * (apart + plan.projection)
    return ((-half_mouth, face), (-half_tip, bottom), (half_tip, bottom), (half_mouth, face))


def _key(plan: SectionPlan) -> tuple[Point, ...]:
    """The butterfly: waist at the joint line, widest at half depth on both sides."""
    waist, wide, high = plan.waist / 2, plan.overall_width / 2, plan.section.half_depth.mm
    return ((-wide, high), (wide, high), (waist, 0.0), (wide, -high), (-wide, -high), (-waist, 0.0))


def _piece(plan: SectionPlan, side: int, apart: float, width: float, em: float) -> Parts:
    """One piece of wood, cut off where it goes on, with the slot in it."""
    wood = _wood(plan, side, apart, width, em)
    yield Polygon(Role.WOOD, wood)
    yield from hatch(wood, WOOD if side > 0 else WOOD_FACING, em)
    for start, end in pairwise(wood[1:-1]):
        yield Line(Role.OUTLINE, start, end)


def _wood(plan: SectionPlan, side: int, apart: float, width: float, em: float) -> tuple[Point, ...]:
    """A piece's outline: all but the first corner and the last lie on its face."""
    face, back = side * apart, side * (apart + plan.projection + 2.2 * em)
    return (
        (-width / 2, back),
        (-width / 2, face),
        *_slot(plan, side, apart),
        (width / 2, face),
        (width / 2, back),
    )


def _sizes(plan: SectionPlan, units: Units, apart: float, width: float, em: float) -> Parts:
    """Tip diameter above, projection on the left, the key's half depth on the right, its waist below."""
    tip, section = plan.cutter.tip_diameter, plan.section
    top = apart + plan.projection
    y = top + 3.0 * em
    for x in (-tip / 2, tip / 2):
        yield extension((x, top), (x, y + 0.3 * em))
    yield from across(-tip / 2, tip / 2, y, fine_figure(tip, units), em)
    y = -top - 3.0 * em
    for x in (-plan.waist / 2, plan.waist / 2):
        yield extension((x, 0.0), (x, y - 0.3 * em))
    yield from across(-plan.waist / 2, plan.waist / 2, y, fine_figure(plan.waist, units), em, above=False)
    x = -width / 2 - 0.8 * em
    for v, reach in ((apart, -width / 2), (top, -tip / 2)):
        yield extension((reach, v), (x - 0.3 * em, v))
    yield from upright(apart, top, x, fine_figure(plan.projection, units), em, left=True)
    x = width / 2 + 0.8 * em
    for v, reach in ((0.0, width / 2), (section.half_depth.mm, plan.overall_width / 2)):
        yield extension((reach, v), (x + 0.3 * em, v))
    yield from upright(0.0, section.half_depth.mm, x, fine_figure(section.half_depth.mm, units), em, left=False)


def _lens(plan: SectionPlan, fit: KeyFit, centre: Point, em: float) -> Lens | None:
    """The lens on the middle of the key's right flank, or where faces are held apart on the slot's mouth.

    None where there is nothing to enlarge, or no need.
    """
    amount = _at_flank(plan, fit)
    factor = factor_for(amount, em) if amount >= LEAST else None
    if factor is None:
        return None
    section, half_depth = plan.section, plan.section.half_depth.mm
    if fit.regime is FitRegime.HELD_APART:
        focus = (mouth(section, plan.cutter.tip_diameter, plan.projection) / 2, 0.0)
    else:
        between = amount / 2 if fit.regime is FitRegime.LOOSE else -amount / 2
        focus = ((plan.waist / 2 + plan.overall_width / 2) / 2 + between, half_depth / 2)
    return Lens(factor, focus, centre, DETAIL * em)


def _at_flank(plan: SectionPlan, fit: KeyFit) -> float:
    """What is enlarged: the squeeze, the gap between faces, or the room between key and slot at a flank."""
    return fit.amount / 2 * plan.section.slope if fit.regime is FitRegime.LOOSE else fit.amount


def _detail(plan: SectionPlan, fit: KeyFit, lens: Lens, units: Units, em: float, hatching: Hatching) -> Parts:
    """Detail A in its square, with its figure under it, and the circle round the place that it shows."""
    amount, held_apart = _at_flank(plan, fit), fit.regime is FitRegime.HELD_APART
    apart = fit.amount / 2 if held_apart else 0.0
    yield Polygon(Role.THIN, lens.frame)
    for side in (1, -1):
        wood = _wood(plan, side, apart, 2.2 * max(plan.cutter.tip_diameter, plan.section.overall_width), em)
        shown = lens.area(wood)
        if shown:
            yield Polygon(Role.WOOD, shown)
            yield from hatch(shown, WOOD if side > 0 else WOOD_FACING, em)
        for edge in pairwise(wood[1:-1]):
            if line := lens.line(edge):
                yield Line(Role.OUTLINE, *line)
    key = lens.area(_key(plan))
    if key:
        yield Polygon(Role.KEY, key)
        yield from hatch(key, hatching, em, Role.KEY_HATCH)
    (x, y), drawn = lens.centre, lens.factor * amount / 2
    if held_apart:
        x += DETAIL / 2 * em
        yield Line(Role.DIMENSION, (x, y - drawn - 0.6 * em), (x, y + drawn + 0.6 * em))
        yield from (tick((x, y - drawn), em), tick((x, y + drawn), em))
    else:
        yield Line(Role.DIMENSION, (x - drawn - 0.6 * em, y), (x + drawn + 0.6 * em, y))
        yield from (tick((x - drawn, y), em), tick((x + drawn, y), em))
    what = "squeeze" if fit.regime in {FitRegime.CLAMPED, FitRegime.OVER_TIGHT} else "gap"
    words = f"A × {lens.factor}: {what} {_finest(amount, units)}"
    yield Text(TextRole.WORDS, (lens.centre[0], lens.centre[1] - (DETAIL + 1.0) * em), words, em)
    yield Dot(Role.THIN, lens.focus, max(lens.seen, 0.5 * em))
    beside = (lens.focus[0] + max(lens.seen, 0.5 * em) + 0.7 * em, lens.focus[1] + 0.7 * em)
    yield Text(TextRole.WORDS, beside, "A", em)


FACTORS = (2, 5, 10, 20, 50, 100, 200, 500, 1000)


def factor_for(amount: float, wanted: float) -> int | None:
    """The round factor that draws ``amount`` nearest to ``wanted``; None where it is as large without.

    >>> factor_for(0.05, 1.1), factor_for(3.0, 1.1)
    (20, None)
    """
    if amount * FACTORS[0] ** 0.5 > wanted:
        return None
    return min(FACTORS, key=lambda factor: max(factor * amount / wanted, wanted / (factor * amount)))


@dataclass(frozen=True, slots=True)
class Lens:
    """What lies round ``focus``, ``factor`` times as large, in a square of half side ``half`` round ``centre``."""

    factor: int
    focus: Point
    centre: Point
    half: float

    @property
    def seen(self) -> float:
        """Half the side of what it shows, as large as that is."""
        return self.half / self.factor

    @property
    def frame(self) -> tuple[Point, ...]:
        """The square's corners."""
        return _square(self.centre, self.half)

    def at(self, point: Point) -> Point:
        """Where a point is drawn."""
        return (
            self.centre[0] + self.factor * (point[0] - self.focus[0]),
            self.centre[1] + self.factor * (point[1] - self.focus[1]),
        )

    def line(self, line: Segment) -> Segment | None:
        """What shows of a line, as it is drawn."""
        shown = clipped(line, _square(self.focus, self.seen))
        return None if shown is None else (self.at(shown[0]), self.at(shown[1]))

    def area(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """What shows of a polygon, as it is drawn: in one piece, or nothing."""
        shown = tuple(self.at(point) for point in points)
        for axis in (0, 1):
            for way in (1, -1):
                shown = _cut(shown, axis, way, way * self.centre[axis] + self.half)
        return shown


def _square(centre: Point, half: float) -> tuple[Point, ...]:
    (x, y) = centre
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _cut(points: tuple[Point, ...], axis: int, way: int, most: float) -> tuple[Point, ...]:
    """The polygon where ``way`` times the coordinate is ``most`` or less."""
    kept: list[Point] = []
    for before, after in zip(points[-1:] + points[:-1], points, strict=True):
        over = [way * point[axis] - most for point in (before, after)]
        if over[0] * over[1] < 0:
            share = over[0] / (over[0] - over[1])
            kept.append((before[0] + share * (after[0] - before[0]), before[1] + share * (after[1] - before[1])))
        if over[1] <= 0:
            kept.append(after)
    return tuple(kept)
