"""The demo workshop: whole in an empty shop, a guest in any other, and every joint of it can be made."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from domain.lengths import Length, Units
from domain.ordering.items import GLUE
from domain.quoting.asked import asked_lines
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.workshop import SHIPPED
from webapp.store import Store
from webapp.store.balances import balances
from webapp.store.catalogue import create_section, list_plugs, list_sections
from webapp.store.engine import today
from webapp.store.items import create_item, list_items
from webapp.store.projects import list_projects, load_project
from webapp.store.shop import load_shop, update_shop
from webapp.store.suppliers import list_offers, list_suppliers
from webapp.usecases import demo
from webapp.usecases.demo import demo_catalogue, demo_projects, demo_shop, load_demo_in, load_demo_once
from webapp.usecases.project_stock import needs_of
from webapp.usecases.projects import plan
from webapp.usecases.quotes import quote_of


@pytest.fixture(autouse=True)
def shipped(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The demo that comes with the program, and not the tests' own workshop."""
    monkeypatch.setattr(demo, "FOLDER", SHIPPED)
    demo_shop.cache_clear()
    demo_projects.cache_clear()
    yield
    demo_shop.cache_clear()
    demo_projects.cache_clear()


@pytest.fixture
def stocked_demo(store: Store, shipped: None) -> Store:
    """All of it in an empty shop."""
    with store.writing() as session:
        load_demo_in(session)
    return store


def names(store: Store) -> list[str]:
    with store.reading() as session:
        return [head.name for head in list_projects(session)]


def test_every_project_of_it_has_a_whole_quote(stocked_demo: Store) -> None:
    with stocked_demo.reading() as session:
        numbers = {head.name: head.id for head in list_projects(session)}
    for name, number in numbers.items():
        found = quote_of(stocked_demo, number).reckoning
        assert found.missing == (), name
        assert found.total, name
        assert len(asked_lines(found)) > 4


def test_its_cabinet_goes_to_another_air(stocked_demo: Store) -> None:
    with stocked_demo.reading() as session:
        number = next(head.id for head in list_projects(session) if head.name == "Hall cabinet")
    moving = [each.takeoff.movement for each in plan(stocked_demo, number).assemblies if each.takeoff]
    assert any(movement and movement.panels for movement in moving)
    assert any(movement and movement.parts and movement.parts[0].other for movement in moving)


def test_it_fills_an_empty_shop(stocked_demo: Store) -> None:
    assert sorted(names(stocked_demo)) == sorted(project.name for project in demo_projects())
    with stocked_demo.reading() as session:
        shop, sections, plugs = load_shop(session), list_sections(session), list_plugs(session)
    assert (shop.name, shop.currency) == ("Fernhollow Joinery", "EUR")
    assert tuple(stored.section for stored in sections) == demo_catalogue()
    assert all(price is not None for stored in sections for price in stored.prices.values())
    assert len(plugs) == 2


def test_its_stockroom_is_filled_too(stocked_demo: Store) -> None:
    whole = demo_shop()
    with stocked_demo.reading() as session:
        shelves = {balance.item: balance for balance in balances(session)}
        offers, suppliers = list_offers(session, today(session)), list_suppliers(session)
    assert {item: shelves[item].on_hand for item in whole.stock} == whole.stock
    assert {item: shelves[item].minimum_stock for item in whole.minimum_stock} == whole.minimum_stock
    assert len(offers) == len(whole.offers)
    assert all(offer.price is not None and offer.price.currency == "EUR" for offer in offers)
    assert [supplier.terms for supplier in suppliers] == sorted(whole.suppliers, key=lambda terms: terms.name)
    # whatever its projects need can be bought
    needed = {item for number in (1, 2, 3) for item in needs_of(plan(stocked_demo, number))}
    assert needed <= {offer.item for offer in offers}


def test_a_stockroom_that_has_something_is_left_alone(store: Store) -> None:
    with store.writing() as session:
        create_item(session, GLUE)
        load_demo_in(session)
    with store.reading() as session:
        assert [stored.item for stored in list_items(session)] == [GLUE]
        assert list_suppliers(session) == ()


def assert_makeable(store: Store) -> None:
    with store.reading() as session:
        shop = load_shop(session)
        sections = tuple(stored.section for stored in list_sections(session))
        stored = [load_project(session, head.id).project for head in list_projects(session)]
    assert len(stored) == 3
    for project in stored:
        takeoff = take_off(project, sections, shop.rules)
        joints = [joint for assembly in takeoff.assemblies for joint in assembly.joints]
        assert joints
        assert [joint.joint.mark for joint in joints if joint.plan is None] == []


def test_every_joint_of_the_demo_can_be_made(stocked_demo: Store) -> None:
    assert_makeable(stocked_demo)


def own_section() -> Section:
    mm = Length.from_mm
    return Section(
        name="own",
        waist=mm(30),
        half_depth=mm(10),
        flank=10,
        tip_diameter=mm(34),
        lengths=(mm(90),),
        drive_limit=mm(90),
        stock_from=mm(50),
        stock_to=mm(90),
    )


def test_a_shop_with_sections_gets_the_projects_with_sections_of_their_own(store: Store) -> None:
    with store.writing() as session:
        create_section(session, own_section())
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.INCH, currency="USD", rules=Rules(spare=0.5))
        load_demo_in(session)
    with store.reading() as session:
        after = load_shop(session)
        assert [stored.section.name for stored in list_sections(session)] == ["own"]
        assert list_plugs(session) == ()
        for head in list_projects(session):
            project = load_project(session, head.id).project
            assert project.sections == demo_catalogue()
            assert project.rules == demo_shop().rules
    assert (after.name, after.currency, after.rules.spare) == ("Ours", "USD", 0.5)
    assert_makeable(store)


def test_a_named_shop_without_sections_keeps_its_name_and_prices_in_its_own_money(store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.MM, currency="USD", rules=shop.rules)
        load_demo_in(session)
    with store.reading() as session:
        assert load_shop(session).name == "Ours"
        sections = list_sections(session)
    assert len(sections) == 4
    assert all(price is None for stored in sections for price in stored.prices.values())


@pytest.mark.parametrize("times", [2, 3])
def test_offered_at_every_start_it_is_loaded_once(store: Store, times: int) -> None:
    for _ in range(times):
        load_demo_once(store)
    assert len(names(store)) == 3


def test_loaded_again_on_purpose_the_projects_plan_with_the_shop(stocked_demo: Store) -> None:
    with stocked_demo.writing() as session:
        load_demo_in(session)
    with stocked_demo.reading() as session:
        again = [load_project(session, head.id).project for head in list_projects(session)]
    assert len(again) == 6
    assert all(project.sections is None and project.rules is None for project in again)
