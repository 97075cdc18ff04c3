"""Needs of one project and of several: tests shared, spares kept apart, glue rounded up once.

KEY in a square joint 40 × 20: two slots (10 and 30), one 16 key each; one test joint for both, as they share
cutter, projection and wood.
"""

from __future__ import annotations

from typing import Any

from domain.ordering.items import GLUE, Item
from domain.ordering.needs import Job, Need, needs_together, project_needs
from domain.takeoff.takeoff import Takeoff
from tests.domain.builders import EXACT, Json, frame, rules, single, taken_off

KEY16 = Item.key("12", 16)


def job(*assemblies: Json, name: str = "Job", **more: Any) -> Job:
    under = rules(**more)
    takeoff: Takeoff = taken_off(*assemblies, rules=EXACT | more)
    return Job(name, takeoff.assemblies, under)


def test_one_project_needs_what_its_own_list_shows() -> None:
    one = job(single(quantity=7))
    # 7 × 2 used, one test, 5 % of 14 is 0.7, so 1; glue 7 × 800 mm² × 200 g/m² = 1.12 g
    assert project_needs(one) == {KEY16: Need(14, 1, 1), GLUE: Need(2)}
    assert needs_together([one]).tests_saved == {}


def test_projects_that_share_a_fit_test_it_once_and_keep_their_spares() -> None:
    needs = needs_together([job(single(quantity=7)), job(single(quantity=3))])
    # 14 + 6 used; one test for both; 1 + 1 spare (5 % of 20 would be 1)
    assert needs.items[KEY16] == Need(20, 1, 2)
    assert needs.tests_saved == {KEY16: 1}


def test_a_shared_fit_is_tested_as_often_as_the_most_careful_project_asks() -> None:
    needs = needs_together([job(single(), test_joints=3), job(single(), test_joints=1)])
    assert needs.items[KEY16].tests == 3
    assert needs.tests_saved == {KEY16: 1}


def test_the_longer_stack_of_two_projects_is_tried() -> None:
    # run 38 takes 16 + 10 + 10, run 20 one 16: a test joint of the longer one is enough for both
    needs = needs_together([job(single()), job(single(run=38))])
    assert (needs.items[KEY16].tests, needs.items[Item.key("12", 10)].tests) == (1, 2)
    assert needs.tests_saved == {KEY16: 1}


def test_another_projection_is_another_test() -> None:
    needs = needs_together([job(single()), job(single(), preload=0.1)])
    assert (needs.items[KEY16].tests, needs.tests_saved) == (2, {})


def test_glue_is_summed_before_it_is_rounded() -> None:
    # 800 mm² × 200 g/m² = 0.16 g each: three make 0.48 g, so one gram and not three
    assert needs_together([job(single()) for _ in range(3)]).items[GLUE] == Need(1)


def test_what_cannot_be_made_needs_nothing() -> None:
    assert project_needs(job(single(breadth=5, run=5))) == {}


def test_projects_may_share_nothing() -> None:
    needs = needs_together([job(frame(material="ash")), job(single(material="oak"))])
    assert needs.tests_saved == {}
    assert needs_together([]).items == {}
