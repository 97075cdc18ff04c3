"""What a key is proposed for, from its width alone; common practice (no source)."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, Units
from domain.measuring.use import proposed_use
from domain.reading import read
from domain.spec.catalogue import Section, check_section
from domain.spec.rules import Rules
from tests.workshop import SHIPPED

mm = Length.from_mm


def demo_sections() -> list[Section]:
    return [
        read(Section, one) for one in json.loads((SHIPPED / "shop.json").read_text(encoding="utf-8"))["sections"]
    ]


def test_a_width_gives_stock_drive_and_reach() -> None:
    use = proposed_use(17.3)
    # 17.3 + 4 up, and 2.5, 3.75 and 3 times 17.3 down, to whole millimetres
    assert (use.stock_from.mm, use.stock_to.mm) == (22, 43)
    assert (use.drive_limit.mm, use.reach_limit.mm) == (64, 51)


def test_in_inches_proposals_are_sixteenths() -> None:
    use = proposed_use(17.3, Units.INCH)
    sixteenth = 25_400_000 // 16
    for each in (use.stock_from, use.stock_to, use.drive_limit, use.reach_limit):
        assert each.nm % sixteenth == 0
    assert use.stock_from >= mm(21.3)
    assert use.stock_to <= mm(43.25)


def test_noise_of_the_width_moves_no_proposal() -> None:
    # 11.45 + 2·6·tan 12° is 14.0007; so near to 14 it is proposed for as 14 is
    assert proposed_use(14.0007) == proposed_use(14.0) == proposed_use(13.9999)


def test_what_is_known_holds_the_rest_to_it() -> None:
    assert proposed_use(17.3, stock_to=mm(20)).stock_from == mm(20)
    assert proposed_use(17.3, stock_from=mm(50)).stock_to == mm(50)
    assert proposed_use(17.3, lengths=(mm(25), mm(80))).drive_limit == mm(80)


@given(st.floats(1, 200), st.sampled_from(Units), st.none() | st.floats(1, 500).map(mm))
def test_every_proposal_can_be_saved(width: float, units: Units, known: Length | None) -> None:
    for use in (proposed_use(width, units, stock_from=known), proposed_use(width, units, stock_to=known)):
        assert use.stock_from.nm > 0
        low = known if known is not None and use.stock_to >= known else use.stock_from
        assert low <= use.stock_to or known is not None
        assert use.drive_limit.nm > 0
        assert use.reach_limit.nm > 0


def test_the_thinnest_stock_holds_the_slot_with_the_usual_walls() -> None:
    for section in demo_sections():
        least = section.tip_diameter.mm + 2 * Rules().wall.mm
        assert proposed_use(section.overall_width).stock_from.mm == pytest.approx(least, abs=1.1)


def test_a_proposal_is_no_copy_of_the_demos() -> None:
    for section in demo_sections():
        use = proposed_use(section.overall_width)
        theirs = (section.stock_from, section.stock_to, section.drive_limit, section.reach_limit)
        assert not any(
            a == b
            for a, b in zip((use.stock_from, use.stock_to, use.drive_limit, use.reach_limit), theirs, strict=True)
        )
        assert not list(check_section(section))
