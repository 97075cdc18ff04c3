"""The shop's rules: everything there is, with its unit and its reason; reset; a second editor."""

from __future__ import annotations

import pytest

from domain.lengths import Length, Units
from domain.spec.rules import ChangeMinutes, Rules
from tests.client import TestClient
from tests.webapp.pages.reading import errors, fields, main, summary
from webapp.pages.shop.rules import RULES, usual_words
from webapp.store import Store
from webapp.store.shop import Shop, load_shop

ADDRESS = "/rules"


def shop(store: Store) -> Shop:
    with store.reading() as session:
        return load_shop(session)


def test_every_rule_of_the_domain_has_its_field() -> None:
    plain = set(Rules.model_fields) - {"change_minutes"}
    minutes = {f"change_minutes.{name}" for name in ChangeMinutes.model_fields}
    assert {rule.name for rule in RULES} == plain | minutes


def test_each_rule_says_what_it_is_for_and_what_is_usual(client: TestClient) -> None:
    words = main(client.get(ADDRESS))
    for rule in RULES:
        assert rule.hint
        assert rule.hint in words
        assert f"Usual: {usual_words(rule, Units.MM)}." in words


def test_the_form_as_shown_changes_nothing(client: TestClient, store: Store) -> None:
    before = shop(store)
    assert client.post(ADDRESS, data=fields(client.get(ADDRESS))).status_code == 303
    after = shop(store)
    assert (after.rules, after.units, after.currency) == (before.rules, before.units, before.currency)


def test_everything_is_saved_in_its_own_unit(client: TestClient, store: Store) -> None:
    changes = {
        "name": "  Alder   Yard ",
        "units": "in",
        "currency": "usd",
        "wall": "1/8",
        "spare": "7,5",
        "hold_target": "90",
        "test_joints": "2",
        "glue_spread": "180",
        "scale_tip_diameter": "14",
        "change_minutes.cutter": "12.5",
        "setting_step": "0",
    }
    answer = client.post(ADDRESS, data={**fields(client.get(ADDRESS)), **changes})
    assert answer.headers["location"] == "/rules?saved=true"
    saved = shop(store)
    assert (saved.name, saved.units, saved.currency) == ("Alder Yard", Units.INCH, "USD")
    rules = saved.rules
    assert rules.wall == Length.from_mm(3.175)
    assert (rules.spare, rules.hold_target, rules.test_joints, rules.glue_spread) == (0.075, 0.9, 2, 180)
    assert (rules.scale_tip_diameter, rules.setting_step.mm) == (Length.from_mm(14), 0)
    assert rules.change_minutes.cutter == 12.5
    assert "Saved" in main(client.get(answer.headers["location"]))


def test_in_inches_the_form_keeps_every_value_exactly(client: TestClient, store: Store) -> None:
    client.post(ADDRESS, data={**fields(client.get(ADDRESS)), "units": "in", "wall": "1/8"})
    before = shop(store).rules
    shown = fields(client.get(ADDRESS))
    assert (shown["wall"], shown["skin"], shown["shown_in"]) == ("1/8", "1.5 mm", "in")
    client.post(ADDRESS, data=shown)
    assert shop(store).rules == before


def test_plain_numbers_mean_the_units_that_the_form_was_shown_in(client: TestClient, store: Store) -> None:
    client.post(ADDRESS, data={**fields(client.get(ADDRESS)), "units": "in", "stroke": "80"})
    assert shop(store).rules.stroke == Length.from_mm(80)


def test_an_empty_rule_is_the_usual_one(client: TestClient, store: Store) -> None:
    shown = fields(client.get(ADDRESS))
    client.post(ADDRESS, data={**shown, "wall": "5", "test_joints": "3"})
    client.post(ADDRESS, data={**fields(client.get(ADDRESS)), "wall": "", "test_joints": ""})
    assert shop(store).rules == Rules()


def test_one_rule_goes_back_to_usual_and_the_rest_stays_as_typed(client: TestClient, store: Store) -> None:
    client.post(ADDRESS, data={**fields(client.get(ADDRESS)), "wall": "5"})
    page = client.get(ADDRESS)
    assert "Back to 2 mm" in main(page)
    answer = client.post(ADDRESS, data={**fields(page), "skin": "typed", "reset": "wall"})
    assert answer.status_code == 200
    shown = fields(answer)
    assert (shown["wall"], shown["skin"]) == ("2", "typed")
    assert shop(store).rules.wall == Length.from_mm(5)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("wall", "0", "more than 0"),
        ("wall", "thick", "not a length"),
        ("preload", "-0.1", "0 or more"),
        ("hold_target", "101", "from 0 to 100 %"),
        ("spare", "-1", "from 0 to 1000 %"),
        ("spare", "some", "not a number"),
        ("test_joints", "1.5", "whole number"),
        ("test_joints", "101", "100 or less"),
        ("glue_spread", "1e3", "not a number"),
        ("glue_spread", "2001", "2000 or less"),
        ("change_minutes.fence", "1001", "1000 or less"),
        ("units", "furlong", "millimetres or inches"),
        ("currency", "E1", "three letters"),
        ("name", "x" * 121, "at most 120"),
    ],
)
def test_a_bad_field_is_named_and_kept(
    client: TestClient, store: Store, field: str, typed: str, says: str
) -> None:
    form = {**fields(client.get(ADDRESS)), field: typed, "skin": "1,75"}
    answer = client.post(ADDRESS, data=form)
    assert answer.status_code == 422
    assert says in errors(answer)[field.replace(".", "-")]
    assert summary(answer)
    shown = fields(answer)
    assert shown["skin"] == "1,75"
    if field != "units":  # a choice shows one of its own
        assert shown[field] == typed
    assert shop(store).rules == Rules()


def test_the_second_editor_is_told_and_may_then_save(client: TestClient, store: Store) -> None:
    mine, theirs = (fields(client.get(ADDRESS)) for _ in range(2))
    client.post(ADDRESS, data={**theirs, "wall": "3"})
    refused = client.post(ADDRESS, data={**mine, "wall": "4", "web": "2.5"})
    assert refused.status_code == 409
    assert "Edge wood: you have 4, now stored is 3" in summary(refused)
    assert shop(store).rules.wall == Length.from_mm(3)
    assert fields(refused)["web"] == "2.5"
    assert client.post(ADDRESS, data=fields(refused)).status_code == 303
    assert shop(store).rules.wall == Length.from_mm(4)


def test_a_form_sent_twice_is_no_conflict(client: TestClient, store: Store) -> None:
    form = {**fields(client.get(ADDRESS)), "wall": "3"}
    assert [client.post(ADDRESS, data=form).status_code for _ in range(2)] == [303, 303]
    assert shop(store).version == 2


def test_a_form_without_any_field_is_refused_in_words(client: TestClient, store: Store) -> None:
    assert client.post(ADDRESS, data={}).status_code == 422
    assert shop(store).version == 1


def test_markup_stays_text(client: TestClient) -> None:
    script = '"><script>alert(1)</script>'
    form = fields(client.get(ADDRESS))
    refused = client.post(ADDRESS, data={**form, "name": script, "wall": script, "currency": script})
    assert "<script>alert" not in refused.text
    client.post(ADDRESS, data={**form, "name": script})
    assert "<script>alert" not in client.get(ADDRESS).text
