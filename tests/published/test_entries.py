"""Random faces entered from every edge they have: no edge that could be pinned holds more than the chosen one.

The rule is common practice (no source): keys hold by their length.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from domain.assemblies.expand import expand
from domain.planning.planner import plan_joint
from domain.planning.sections import plan_section
from domain.spec.choices import Entry, KeyChoices
from domain.spec.rules import Rules
from tests.published import trade

MAKERS = (trade.random_box, trade.random_carcass)


def test_no_pinned_entry_holds_more() -> None:
    rng, compared = Random("entries"), 0
    for _ in range(60):
        rules = Rules.model_validate({"setting_step": 0, "stroke": rng.choice([60, 90, 160])})
        for joint in expand(rng.choice(MAKERS)(rng)).joints:
            result = plan_joint(joint, trade.SECTIONS, rules)
            for one in result.alternatives:
                for entry in joint.entries:
                    pinned = replace(joint, entries=(entry,), choices=KeyChoices(entry=entry))
                    rival = plan_section(pinned, one.section, rules).plan
                    if rival is None:
                        continue
                    assert one.plan is not None
                    assert rival.entry is entry
                    assert rival.hold <= one.plan.hold + 1e-9
                    # both edges only where that holds more than one of them
                    if one.plan.entry is Entry.BOTH and entry is not Entry.BOTH:
                        assert rival.hold < one.plan.hold - 1e-9
                    compared += 1
    assert compared > 300


def test_the_section_is_the_largest_recommended_that_reaches_the_target_or_holds_most() -> None:
    rng, reached, missed = Random("sections"), 0, 0
    rules = trade.EXACT
    for _ in range(80):
        for joint in expand(rng.choice((*MAKERS, trade.random_frame))(rng)).joints:
            result, side = plan_joint(joint, trade.SECTIONS, rules), joint.face.stock_side
            plan = result.plan
            if plan is None:
                continue
            wanted = 1 if joint.kind.on_edge else 2
            plans = [one.plan for one in result.alternatives if one.plan is not None]
            rivals = [
                rival
                for rival in plans
                if rival.section.stock_from.mm <= side <= rival.section.stock_to.mm and rival.count >= wanted
            ]
            if not rivals:
                continue
            assert plan in rivals
            if plan.hold >= rules.hold_target:
                reached += 1
                wider = [rival for rival in rivals if rival.section.overall_width > plan.section.overall_width]
                assert all(rival.hold < rules.hold_target for rival in wider)
            else:
                missed += 1
                assert all(rival.hold <= plan.hold + 1e-9 for rival in rivals)
    assert reached > 20
    assert missed > 20
