"""The catalogue and the shop."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import text
from sqlmodel import Session

from domain.lengths import Length, Units
from domain.problems import BadInput
from domain.spec.catalogue import Plug
from domain.spec.rules import Rules
from tests.webapp.store.store_samples import section
from webapp.store import Store, catalogue, shop
from webapp.store.errors import NameTaken, NotFound, StaleEdit, Unreadable
from webapp.store.rows import Step

MM = Length.from_mm
OAK = Plug(material="oak", height=MM(3))
ASH = Plug(material="ash", height=MM(3))


def with_sections(store: Store, *names: str) -> list[int]:
    with store.writing() as session:
        return [catalogue.create_section(session, section(name)) for name in names]


def names(store: Store) -> list[str]:
    with store.reading() as session:
        return [stored.section.name for stored in catalogue.list_sections(session)]


def test_a_fresh_shop_is_empty_and_has_every_default(store: Store) -> None:
    with store.reading() as session:
        assert shop.load_shop(session) == shop.Shop("", Units.MM, "EUR", Rules(), version=1, edition=1)
        assert catalogue.list_sections(session) == ()
        assert catalogue.list_plugs(session) == ()


def test_a_section_comes_back_with_its_prices_shortest_first(store: Store) -> None:
    given = section(lengths=[38, 16, 22], free_tip_diameter=14.1, reach_limit=35)
    with store.writing() as session:
        number = catalogue.create_section(session, given, {MM(38): 21, MM(22): None})
    with store.reading() as session:
        stored = catalogue.load_section(session, number)
        assert catalogue.list_sections(session) == (stored,)
    assert stored.section == given.model_copy(update={"lengths": (MM(16), MM(22), MM(38))})
    assert list(stored.prices.items()) == [(MM(16), None), (MM(22), None), (MM(38), 21)]
    assert (stored.version, stored.position) == (1, 0)


def test_a_flank_is_kept_to_a_millionth_of_a_degree(store: Store) -> None:
    with store.writing() as session:
        fine = catalogue.create_section(session, section("fine", flank=11.309932474))
        least = catalogue.create_section(session, section("least", flank=1e-9))
        assert catalogue.load_section(session, fine).section.flank == 11.309932
        assert catalogue.load_section(session, least).section.flank == 0.000001


def test_an_edit_replaces_lengths_and_prices(store: Store) -> None:
    (number,) = with_sections(store, "14")
    with store.writing() as session:
        wider = section("16", lengths=[22, 60], waist=13)
        assert catalogue.update_section(session, number, 1, wider, {MM(60): 30}) == 2
    with store.reading() as session:
        stored = catalogue.load_section(session, number)
        assert session.execute(text("SELECT count(*) FROM section_length")).scalar_one() == 2
    assert (stored.section, stored.prices, stored.version) == (wider, {MM(22): None, MM(60): 30}, 2)


def test_sections_move_and_go(store: Store) -> None:
    first, _, last = with_sections(store, "14", "12", "10")
    with store.writing() as session:
        catalogue.move_section(session, last, Step.UP)
    assert names(store) == ["14", "10", "12"]
    with store.writing() as session:
        catalogue.move_section(session, first, Step.UP)
        catalogue.delete_section(session, first, 1)
        left = session.execute(text("SELECT DISTINCT section_id FROM section_length ORDER BY 1"))
        assert left.scalars().all() == [2, 3]
    assert names(store) == ["10", "12"]
    with_sections(store, "8")
    assert names(store) == ["10", "12", "8"]


def test_a_name_is_used_once(store: Store) -> None:
    number, _ = with_sections(store, "14", "12")
    with pytest.raises(NameTaken, match="There is a section 12 already"), store.writing() as session:
        catalogue.update_section(session, number, 1, section("12"))
    with pytest.raises(NameTaken), store.writing() as session:
        catalogue.create_section(session, section("14"))
    with store.writing() as session:
        oak, _ = catalogue.create_plug(session, OAK), catalogue.create_plug(session, ASH)
    with pytest.raises(NameTaken, match="There is a plug oak, 3 mm high already"), store.writing() as session:
        catalogue.create_plug(session, OAK)
    with pytest.raises(NameTaken), store.writing() as session:
        catalogue.update_plug(session, oak, 1, ASH)
    with store.writing() as session:
        catalogue.update_plug(session, oak, 1, OAK, 7)
        catalogue.create_plug(session, Plug(material="oak", height=MM(4)))


@pytest.mark.parametrize(
    ("fields", "prices", "path"),
    [
        ({"tip_diameter": 5}, {}, ("tip_diameter",)),
        ({"free_tip_diameter": 13}, {}, ("free_tip_diameter",)),
        ({"stock_to": 10}, {}, ("stock_to",)),
        ({"lengths": [16, 16]}, {}, ("lengths",)),
        ({"lengths": [2]}, {}, ("lengths", 0)),
        ({}, {MM(17): 5}, ("prices",)),
        ({}, {MM(16): -1}, ("prices", "16")),
        ({}, {MM(16): 10**9 + 1}, ("prices", "16")),
        ({}, {MM(16): 10**30}, ("prices", "16")),
    ],
)
def test_numbers_that_cannot_belong_together_are_refused(
    store: Store, fields: dict[str, object], prices: dict[Length, int | None], path: tuple[str, ...]
) -> None:
    (number,) = with_sections(store, "14")
    with pytest.raises(BadInput) as refused, store.writing() as session:
        catalogue.create_section(session, section("12", **fields), prices)
    assert refused.value.problems[0].path == path
    with pytest.raises(BadInput), store.writing() as session:
        catalogue.update_section(session, number, 1, section("14", **fields), prices)
    assert names(store) == ["14"]


def test_an_unchecked_section_is_refused(store: Store) -> None:
    with pytest.raises(BadInput, match="flank"), store.writing() as session:
        catalogue.create_section(session, section().model_copy(update={"flank": 90.0}))


@pytest.mark.long_on_server
def test_a_catalogue_is_full_at_what_a_project_file_can_hold(store: Store) -> None:
    with_sections(store, *map(str, range(catalogue.MOST_SECTIONS)))
    with pytest.raises(BadInput, match="at most 60"):
        with_sections(store, "one more")


def test_plugs_come_back_by_material_and_height(store: Store) -> None:
    tall = Plug(material="ash", height=MM(4))
    with store.writing() as session:
        for plug, price in ((OAK, 5), (tall, None), (ASH, 0)):
            catalogue.create_plug(session, plug, price)
    with store.reading() as session:
        assert [(stored.plug, stored.price) for stored in catalogue.list_plugs(session)] == [
            (ASH, 0),
            (tall, None),
            (OAK, 5),
        ]
    with store.writing() as session:
        assert catalogue.update_plug(session, 1, 1, Plug(material="elm", height=MM(5)), 9) == 2
        catalogue.delete_plug(session, 3, 1)
        assert catalogue.load_plug(session, 1).plug.material == "elm"
        assert len(catalogue.list_plugs(session)) == 2
    with pytest.raises(BadInput, match="between 0 and"), store.writing() as session:
        catalogue.create_plug(session, ASH, -1)


Change = Callable[[Session], object]
CHANGES: list[Change] = [
    lambda session: catalogue.create_section(session, section("new")),
    lambda session: catalogue.update_section(session, 1, 1, section("14", waist=10)),
    lambda session: catalogue.delete_section(session, 1, 1),
    lambda session: catalogue.move_section(session, 1, Step.DOWN),
    lambda session: catalogue.create_plug(session, ASH),
    lambda session: catalogue.update_plug(session, 1, 1, ASH),
    lambda session: catalogue.delete_plug(session, 1, 1),
    lambda session: shop.update_shop(session, 1, name="", units=Units.MM, currency="EUR", rules=Rules(wall=MM(3))),
]


@pytest.mark.parametrize("change", CHANGES)
def test_every_change_raises_the_catalogues_revision(store: Store, change: Change) -> None:
    with_sections(store, "14", "12")
    with store.writing() as session:
        catalogue.create_plug(session, OAK)
    with store.reading() as session:
        before = shop.load_shop(session).edition
    with store.writing() as session:
        change(session)
    with store.reading() as session:
        assert shop.load_shop(session).edition == before + 1


def test_stale_edits_are_refused(store: Store) -> None:
    with_sections(store, "14")
    with store.writing() as session:
        catalogue.create_plug(session, OAK)
        catalogue.update_section(session, 1, 1, section("14", waist=10))
        catalogue.update_plug(session, 1, 1, OAK, 4)
        shop.update_shop(session, 1, name="Bench", units=Units.MM, currency="EUR", rules=Rules())
    stale: list[Change] = [*CHANGES[1:3], *CHANGES[5:8]]
    for change in stale:
        with pytest.raises(StaleEdit) as refused, store.writing() as session:
            change(session)
        assert refused.value.theirs_version == 2
    with store.reading() as session:
        assert catalogue.load_section(session, 1).section.waist == MM(10)
        assert catalogue.load_plug(session, 1).price == 4
        assert shop.load_shop(session).name == "Bench"


@pytest.mark.parametrize("number", [0, -1, 7, 2**63])
def test_what_is_not_there_is_not_found(store: Store, number: int) -> None:
    attempts: list[Change] = [
        lambda session: catalogue.load_section(session, number),
        lambda session: catalogue.update_section(session, number, 1, section()),
        lambda session: catalogue.delete_section(session, number, 1),
        lambda session: catalogue.move_section(session, number, Step.UP),
        lambda session: catalogue.load_plug(session, number),
        lambda session: catalogue.update_plug(session, number, 1, OAK),
        lambda session: catalogue.delete_plug(session, number, 1),
    ]
    for attempt in attempts:
        with pytest.raises(NotFound), store.writing() as session:
            attempt(session)


def test_the_shop_is_changed(store: Store) -> None:
    rules = Rules(wall=MM(3), spare=0.1)
    with store.writing() as session:
        given = {"name": "  Bench  & Plane ", "units": Units.INCH, "currency": "USD", "rules": rules}
        assert shop.update_shop(session, 1, **given) == 2  # type: ignore[arg-type]
    with store.reading() as session:
        assert shop.load_shop(session) == shop.Shop("Bench & Plane", Units.INCH, "USD", rules, 2, 2)


@pytest.mark.parametrize(
    ("fields", "path"),
    [
        ({"name": "x" * 121}, "name"),
        ({"name": "\x07"}, "name"),
        ({"currency": "€"}, "currency"),
        ({"currency": None}, "currency"),
    ],
)
def test_the_shop_is_checked_by_the_domain(store: Store, fields: dict[str, object], path: str) -> None:
    given = {"name": "Bench", "units": Units.MM, "currency": "EUR", "rules": Rules()} | fields
    with pytest.raises(BadInput) as refused, store.writing() as session:
        shop.update_shop(session, 1, **given)  # type: ignore[arg-type]
    assert refused.value.problems[0].path == (path,)


@pytest.mark.parametrize(
    ("damage", "look"),
    [
        ("UPDATE section SET name = '\t'", lambda session: catalogue.list_sections(session)),
        ("UPDATE plug SET material = '\t'", lambda session: catalogue.list_plugs(session)),
        ("UPDATE shop SET rules_json = '{\"wall\":0}'", lambda session: shop.load_shop(session)),
    ],
)
def test_what_the_domain_no_longer_accepts_is_unreadable(store: Store, damage: str, look: Change) -> None:
    with_sections(store, "14")
    with store.writing() as session:
        catalogue.create_plug(session, OAK)
        session.connection().exec_driver_sql(damage)
    with pytest.raises(Unreadable), store.reading() as session:
        look(session)
