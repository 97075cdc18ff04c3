"""The member list, and the list of keys and plugs to buy."""

from __future__ import annotations

from domain.lengths import Units
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from webapp.papers.parts import part_rows
from webapp.papers.pictures import Json
from webapp.wording.words import notes_text


def members_data(takeoff: Takeoff, units: Units) -> Json:
    """What the member list's template sets."""
    return {
        "assemblies": [
            {
                "mark": each.expansion.mark,
                "name": each.expansion.name,
                "quantity": each.expansion.quantity,
                "parts": part_rows(each.expansion, units),
                "notes": list(notes_text(each.expansion.notes, units)),
            }
            for each in takeoff.assemblies
        ],
        "notes": list(notes_text(takeoff.notes, units)),
    }


def keys_data(takeoff: Takeoff, rules: Rules, units: Units) -> Json:
    """What the list of keys' template sets; ``rules`` are those that the takeoff was counted with."""
    totals = takeoff.totals
    return {
        "keys": [
            {"item": key.item, "counts": [str(n) for n in (key.used, key.tests, key.spare, key.total)]}
            for key in totals.keys
        ],
        "plugs": [
            {
                "item": f"{plug.material}, for section {plug.section}, {plug.height:g} mm high",
                "counts": [str(plug.used), "", str(plug.spare), str(plug.total)],
            }
            for plug in totals.plugs
        ],
        "glue": str(totals.glue_to_buy),
        "rule": _counting(rules),
        "notes": list(notes_text(takeoff.notes, units)),
    }


def _counting(rules: Rules) -> list[str]:
    """How it was counted, a sentence a line."""
    joints = "joint" if rules.test_joints == 1 else "joints"
    tests = f"{rules.test_joints} test {joints} for every set-up of the machine, shared by the joints cut with it"
    return [
        "Used: every joint that can be made, its slots, and the keys in each.",
        f"Tests: {tests if rules.test_joints else 'none'}.",
        f"Spare: {rules.spare * 100:g} % of what is used, rounded up for every item.",
        f"Glue: the mating faces of one side, {rules.glue_spread:g} g/m²; none goes into the slots.",
        "Keys are called by millimetres, section × length, as on their packets.",
    ]
