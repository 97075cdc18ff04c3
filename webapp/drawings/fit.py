"""Key and slots in section at the chosen projection, in their true proportions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from domain.lengths import Length, Units, format_mm
from domain.planning.fit import FitRegime, KeyFit, key_fit, mouth
from domain.planning.plans import SectionPlan
from domain.spec.rules import Rules
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, split, upright
from webapp.drawings.hatching import WOOD, WOOD_FACING, hatch, section_hatching
from webapp.drawings.model import Drawing, Line, Point, Polygon, Role, Shape, Text, TextRole, finished

EMS = 22
"""The two pieces are this many em wide."""
SQUEEZE_LIMIT = Rules().squeeze_limit
Parts = Iterator[Shape | Text]


def draw_fit(
    plan: SectionPlan, units: Units, squeeze_limit: Length = SQUEEZE_LIMIT, section_index: int = 0
) -> Drawing:
    """The butterfly key in its two slots, with the squeeze, play or gap that this projection gives.

    ``section_index`` is the section's place in the shop's list: it chooses the key's hatching.
    """
    section, tip_diameter = plan.section, plan.cutter.tip_diameter
    fit = key_fit(section, tip_diameter, plan.projection, squeeze_limit)
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
    parts.append(Text(TextRole.WORDS, (0.0, -plan.projection - apart - 5.0 * em), says, em))
    shapes, texts = split(parts)
    name = f"Section {section.name} key in its slots"
    describes = (
        f"Not exaggerated: projection {fine_figure(plan.projection, units)},"
        f" snug at {fine_figure(plan.snug_projection, units)}; {says}. {UNIT_WORDS[units]}"
    )
    return finished(name, describes, em, shapes, texts)


def fit_words(fit: KeyFit, units: Units) -> str:
    """What the key does, in a few words with its figure."""
    amount = f"{format_mm(fit.amount, 3)} mm" if units is Units.MM else f"{fit.amount / 25.4:.4f} in"
    match fit.regime:
        case FitRegime.HELD_APART:
            return f"faces held {amount} apart"
        case FitRegime.LOOSE:
            return f"loose: the joint can open {amount}"
        case FitRegime.CLAMPED:
            return f"clamps: squeeze {amount} a flank"
        case FitRegime.OVER_TIGHT:
            return f"over-tight: squeeze {amount} a flank"


def _slot(plan: SectionPlan, side: int, apart: float) -> tuple[Point, ...]:
    """A slot's section from its mouth's left edge round to the right; ``side`` 1 above, −1 below."""
    half_tip = plan.cutter.tip_diameter / 2
    half_mouth = mouth(plan.section, plan.cutter.tip_diameter, plan.projection) / 2
    face, bottom = side * apart, side * (apart + plan.projection)
    return ((-half_mouth, face), (-half_tip, bottom), (half_tip, bottom), (half_mouth, face))


def _key(plan: SectionPlan) -> tuple[Point, ...]:
    """The butterfly: waist at the joint line, widest at half depth on both sides."""
    waist, wide, high = plan.section.waist.mm / 2, plan.section.overall_width / 2, plan.section.half_depth.mm
    return ((-wide, high), (wide, high), (waist, 0.0), (wide, -high), (-wide, -high), (-waist, 0.0))


def _piece(plan: SectionPlan, side: int, apart: float, width: float, em: float) -> Parts:
    """One piece of wood, cut off where it goes on, with the slot in it."""
    slot, face = _slot(plan, side, apart), side * apart
    back = side * (apart + plan.projection + 2.2 * em)
    wood = ((-width / 2, back), (-width / 2, face), *slot, (width / 2, face), (width / 2, back))
    yield Polygon(Role.WOOD, wood)
    yield from hatch(wood, WOOD if side > 0 else WOOD_FACING, em)
    edge = ((-width / 2, face), *slot, (width / 2, face))
    for start, end in pairwise(edge):
        yield Line(Role.OUTLINE, start, end)


def _sizes(plan: SectionPlan, units: Units, apart: float, width: float, em: float) -> Parts:
    """Tip diameter above, projection on the left, the key's half depth on the right, its waist below."""
    tip, section = plan.cutter.tip_diameter, plan.section
    top = apart + plan.projection
    y = top + 3.0 * em
    for x in (-tip / 2, tip / 2):
        yield extension((x, top), (x, y + 0.3 * em))
    yield from across(-tip / 2, tip / 2, y, fine_figure(tip, units), em)
    y = -top - 3.0 * em
    for x in (-section.waist.mm / 2, section.waist.mm / 2):
        yield extension((x, 0.0), (x, y - 0.3 * em))
    yield from across(
        -section.waist.mm / 2, section.waist.mm / 2, y, fine_figure(section.waist.mm, units), em, above=False
    )
    x = -width / 2 - 0.8 * em
    for v, reach in ((apart, -width / 2), (top, -tip / 2)):
        yield extension((reach, v), (x - 0.3 * em, v))
    yield from upright(apart, top, x, fine_figure(plan.projection, units), em, left=True)
    x = width / 2 + 0.8 * em
    for v, reach in ((0.0, width / 2), (section.half_depth.mm, section.overall_width / 2)):
        yield extension((reach, v), (x + 0.3 * em, v))
    yield from upright(0.0, section.half_depth.mm, x, fine_figure(section.half_depth.mm, units), em, left=False)
