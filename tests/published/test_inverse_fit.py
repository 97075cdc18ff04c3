"""Trials worked backwards, against the fit worked forwards and against solids.

Forwards: the closed forms of ``domain.planning.fit``. Solids: key and both slotted pieces are cut with
``manifold3d`` (a general-purpose library, Apache-2.0), which knows neither p₀ nor any formula of the fit; the
joint is closed and pulled until something touches, and the gap is measured there.
"""

from __future__ import annotations

import random
from math import radians, tan
from typing import Any

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from domain.lengths import Length
from domain.planning.fit import HAIR, FitRegime, key_fit, snug_projection
from domain.spec.catalogue import CutterKind, Section
from domain.trials.fit import implied, solve, solve_today
from domain.trials.trial import Trial, check_trial
from tests.published.solids import Bit, Corner, overlap, prism, slot

EXACT = 1e-6
LIMIT = Length.from_mm(0.25)


def key_of(waist: float, half_depth: float, flank: float, tip: float) -> Section:
    return Section.model_validate(
        {
            "name": "K",
            "waist": round(waist, 6),
            "half_depth": round(half_depth, 6),
            "flank": flank,
            "tip_diameter": round(tip, 6),
            "lengths": [20],
            "drive_limit": 60,
            "stock_from": 10,
            "stock_to": 60,
        }
    )


def piece(section: Section, projection: float, outcome: str, gap: float | None = None) -> Trial:
    found: dict[str, Any] = {
        "section": section.name,
        "tip_diameter": section.tip_diameter,
        "species": "oak",
        "thickness": 20,
        "projection": Length.from_mm(projection),
        "depth": 16.5,
        "fence_reading": 12,
        "outcome": outcome,
        "gap": None if gap is None else Length.from_mm(gap),
    }
    trial = Trial.model_validate(found)
    assert not tuple(check_trial(trial))
    return trial


SECTIONS = st.builds(
    lambda waist, half_depth, flank, room: key_of(
        waist, half_depth, flank, waist + 2 * (half_depth + room) * tan(radians(flank))
    ),
    waist=st.floats(3, 20),
    half_depth=st.floats(2, 10),
    flank=st.floats(5, 20),
    room=st.floats(0.001, 1),
)


@settings(max_examples=600, deadline=None)
@given(section=SECTIONS, share=st.floats(0.3, 1.2))
def test_the_inverse_undoes_the_forward_geometry(section: Section, share: float) -> None:
    """Whatever the key is, the trial that the forward forms foretell gives its sizes back."""
    tip, half_depth = section.tip_diameter.mm, section.half_depth.mm
    snug = snug_projection(section, tip)
    projection = round(snug * share, 6)
    fit = key_fit(section, tip, projection, LIMIT)
    if fit.regime is FitRegime.HELD_APART:
        assume(1e-5 < fit.amount < 5)
        solved = solve(piece(section, projection, "held_apart", fit.amount), section)
        assert solved.half_depth.value == pytest.approx(half_depth, abs=EXACT)
        assert solved.snug.low <= snug + EXACT
    elif fit.regime is FitRegime.LOOSE:
        assume(1e-5 < fit.amount < 5)
        solved = solve(piece(section, projection, "loose", fit.amount), section)
        assert solved.snug.value == pytest.approx(snug, abs=EXACT)
        assert solved.half_depth.high >= half_depth - EXACT
        found = implied(section, CutterKind.CLOSE, solved.snug.low)
        assert found.waist == pytest.approx(section.waist.mm, abs=EXACT)
        assert found.tip == pytest.approx(tip, abs=EXACT)
    else:
        # no verdict turns on a hair: a cutter that is set so little short of snug closes the joint
        hair = HAIR.mm + EXACT
        for outcome in ("tight", "burst"):
            solved = solve(piece(section, projection, outcome), section)
            assert solved.snug.low <= snug <= solved.snug.high + hair
            assert solved.half_depth.high >= half_depth - hair


@settings(max_examples=200, deadline=None)
@given(section=SECTIONS, ground=st.floats(0, 0.4), opening=st.floats(0.05, 0.9))
def test_a_trial_before_grinding_tells_the_snug_projection_after_it(
    section: Section, ground: float, opening: float
) -> None:
    """One key, two tips: what the first cutter's trial says is what the forward form says of the second."""
    then = key_of(section.waist.mm, section.half_depth.mm, section.flank, section.tip_diameter.mm + ground)
    snug_then = snug_projection(then, then.tip_diameter.mm)
    projection = round(snug_then - opening / 2, 6)
    gap = 2 * (snug_then - projection)
    solved = solve_today(piece(then, projection, "loose", gap), section)
    assert solved.snug.value == pytest.approx(snug_projection(section, section.tip_diameter.mm), abs=EXACT)


# by hand, for the demo shop's 14: 2·tan 12° = 0.4251131, waist 11.45, half depth 6, tip 14.06, so
# p₀ = 2.61 / 0.4251131 = 6.1395428
@pytest.mark.parametrize(
    ("projection", "gap", "outcome", "snug", "half_depth"),
    [
        (5.75, 0.5, "held_apart", None, 6.0),  # 2·(6 − 5.75)
        (6.1, 0.0790856, "loose", 6.1395428, None),  # 2·(6.1395428 − 6.1)
    ],
)
def test_the_demo_shops_fourteen_by_hand(
    projection: float, gap: float, outcome: str, snug: float | None, half_depth: float | None
) -> None:
    section = key_of(11.45, 6, 12, 14.06)
    solved = solve(piece(section, projection, outcome, gap), section)
    if snug is not None:
        assert solved.snug.value == pytest.approx(snug, abs=EXACT)
    if half_depth is not None:
        assert solved.half_depth.value == pytest.approx(half_depth, abs=EXACT)


class SolidJoint:
    """Both pieces with their slots, and the key where it lies; ``gap`` mm between the faces."""

    centre = 30.0
    square = Corner(90.0)

    def __init__(self, section: Section, projection: float) -> None:
        bit = Bit(section.tip_diameter.mm, section.flank, projection)
        # (s, x, v): one piece at s > 0, the other at s < 0
        block = Manifold.cube((40, 60, 30)) - slot(bit, self.square, self.centre, 25.0)
        self._near, self._far = block, block.mirror((1, 0, 0))
        self._key = self._solid_key(section)

    def _solid_key(self, section: Section) -> Manifold:
        waist, half = section.waist.mm / 2, section.half_depth.mm
        wide = waist + half * tan(radians(section.flank))
        # x to the right, s upwards; pushed along v, from the recess to well before the round end
        outline = shapely.Polygon(
            [(-wide, half), (wide, half), (waist, 0), (wide, -half), (-wide, -half), (-waist, 0)]
        )
        # prism() pushes along its first axis: (s, x, v) there is (v, x, s) here
        pushed = prism(outline, 1.0, 8.0)
        turned = pushed.transform([[0, 0, 1, 0], [0, 1, 0, self.centre], [1, 0, 0, 0]])
        assert turned.volume() > 0
        return turned

    def touches(self, gap: float) -> bool:
        """True where key and wood would share room with the faces ``gap`` apart."""
        near, far = self._near.translate((gap / 2, 0, 0)), self._far.translate((-gap / 2, 0, 0))
        return overlap(self._key, near) + overlap(self._key, far) > 1e-7

    def range(self) -> tuple[float, float] | None:
        """The least and the most gap that the key allows; None where it does not go in at all."""
        free = next((step / 50 for step in range(300) if not self.touches(step / 50)), None)
        if free is None:
            return None
        least = 0.0 if not self.touches(0.0) else self._edge(0.0, free)
        wide = next(step / 50 for step in range(round(free * 50), 1000) if self.touches(step / 50))
        return least, self._edge(wide, wide - 0.02)

    def _edge(self, touching: float, free: float) -> float:
        for _ in range(40):
            middle = (touching + free) / 2
            touching, free = (middle, free) if self.touches(middle) else (touching, middle)
        return free


@pytest.mark.parametrize("seed", range(12))
def test_the_inverse_agrees_with_solids_closed_until_they_touch(seed: int) -> None:
    """What is measured on the solids, read backwards, is the key that was made."""
    dice = random.Random(seed)
    flank, waist, half = dice.uniform(7, 16), dice.uniform(5, 14), dice.uniform(3, 8)
    room = dice.uniform(0.1, 0.6)
    section = key_of(waist, half, flank, waist + 2 * (half + room) * tan(radians(flank)))
    bottoms = bool(seed % 2)
    snug = snug_projection(section, section.tip_diameter.mm)
    projection = round(half - dice.uniform(0.05, 0.8) if bottoms else dice.uniform(half, snug - 0.03), 6)
    measured = SolidJoint(section, projection).range()
    assert measured is not None
    least, most = measured
    if bottoms:
        solved = solve(piece(section, projection, "held_apart", least), section)
        assert solved.half_depth.value == pytest.approx(section.half_depth.mm, abs=EXACT)
        # pulled open as far as it goes, the same joint shows the flanks, and the bound is one
        assert solved.snug.low <= projection + most / 2 + EXACT
    else:
        assert least == 0
        solved = solve(piece(section, projection, "loose", most), section)
        assert solved.snug.value == pytest.approx(snug, abs=EXACT)
        assert implied(section, CutterKind.CLOSE, solved.snug.low).waist == pytest.approx(
            section.waist.mm, abs=EXACT
        )


@pytest.mark.parametrize("seed", range(4))
def test_a_key_wider_than_its_slots_goes_into_solids_nowhere(seed: int) -> None:
    """With flanks that touch before the bottom, rigid key and wood fit at no gap: so held apart proves p₀ ≥ h."""
    dice = random.Random(seed)
    flank, waist, half = dice.uniform(7, 16), dice.uniform(5, 14), dice.uniform(3, 8)
    section = key_of(waist, half, flank, waist + 2 * (half - 0.3) * tan(radians(flank)))
    for projection in (half - 1.0, half - 0.3, half + 0.2):
        assert SolidJoint(section, round(projection, 6)).range() is None
