"""The list of projects, one project's page, and a project's own fields."""

from __future__ import annotations

import re

import pytest

from domain.lengths import Length, Units
from tests.client import TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.webapp.pages.reading import errors, fields, main, soup, summary
from tests.webapp.store.store_samples import section
from webapp.site import kept_pages, urls
from webapp.store import Store
from webapp.store.assemblies import next_mark
from webapp.store.catalogue import create_section
from webapp.store.projects import load_project
from webapp.store.shop import load_shop, update_shop
from webapp.usecases.projects import PlannedProject, plan_soon


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def test_an_empty_list_leads_to_three_ways_to_begin(client: TestClient) -> None:
    page = client.get(urls.projects())

    links = {str(link["href"]) for link in soup(page).select("main a")}
    assert {urls.new_project(), urls.import_project()} <= links
    assert urls.way_in() in links
    steps = [step.get_text(" ", strip=True) for step in soup(page).select(".first-steps h2")]
    assert steps == ["1. Measure your keys", "2. Name the shop", "3. Begin your own project"]


def test_the_first_page_ticks_what_is_done(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="S", units=Units.INCH, currency="SEK", rules=shop.rules)
        create_section(session, section(), {})
    words = main(client.get(urls.projects()))
    assert "Done: 1. Measure your keys 1 key section is in the catalogue." in words
    assert "Done: 2. Name the shop S, in inches." in words
    assert "Done: 3." not in words


def test_a_project_without_keys_leads_to_the_first(client: TestClient, store: Store) -> None:
    number = make(store)
    for address in (urls.project(number), urls.new_assembly(number, "box")):
        assert soup(client.get(address)).select_one(f'main .notice a[href="{urls.new_section()}"]'), address
    with store.writing() as session:
        create_section(session, section(), {})
    assert "No key sections yet" not in client.get(urls.project(number)).text


def test_the_list_has_every_project_with_its_assemblies(client: TestClient, demo_store: Store) -> None:
    rows = [
        [cell.text.strip() for cell in row.select("th, td")][:5]
        for row in soup(client.get(urls.projects())).select("tbody tr")
    ]

    assert sorted(rows) == [
        ["Botanical frame set", "Ottoline Varga", "Planned", "", "3"],
        ["Hall cabinet", "Ruben and Mirela Oster", "Planned", "", "3"],
        ["Keepsake box", "Ilse Brandt", "Planned", "", "1"],
    ]


def test_a_new_project_starts_in_the_shops_units_and_is_created_once(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="S", units=Units.INCH, currency="SEK", rules=shop.rules)
    form = client.get(urls.new_project())
    assert (fields(form)["units"], fields(form)["currency"]) == ("in", "SEK")
    data = fields(form) | {"name": "Window seat", "customer": "", "currency": "nok"}

    first, second = client.post(urls.new_project(), data=data), client.post(urls.new_project(), data=data)

    assert first.status_code == 303
    assert first.headers["location"] == second.headers["location"] == "/projects/1"
    assert len(soup(client.get(urls.projects())).select("tbody tr")) == 1
    with store.reading() as session:
        head = load_project(session, 1).head
    assert (head.name, head.customer, head.units.value, head.currency) == ("Window seat", None, "in", "NOK")


def test_a_refused_project_keeps_its_text_and_names_its_fields(client: TestClient) -> None:
    data = {"token": "0123456789abcdef", "name": " ", "customer": "Ann", "units": "cubits", "currency": "euro"}

    refused = client.post(urls.new_project(), data=data)

    assert refused.status_code == 422
    assert set(errors(refused)) == {"name", "units", "currency"}
    assert errors(refused)["currency"] == "must be three letters, such as EUR"
    assert fields(refused)["customer"] == "Ann"
    assert summary(refused).startswith("3 places need another look")


def test_htmx_gets_the_form_alone(client: TestClient, demo_store: Store) -> None:
    data = {"name": "", "version": "1"}

    fragment = client.post(urls.edit_project(1), data=data, headers={"HX-Request": "true"})
    whole = client.post(urls.edit_project(1), data=data)

    assert str(soup(fragment).form) == str(soup(whole).select_one("#project-form"))
    assert "<html" not in fragment.text


def test_a_projects_own_fields_are_changed_and_shown(client: TestClient, demo_store: Store) -> None:
    form = client.get(urls.edit_project(1))

    saved = client.post(urls.edit_project(1), data=fields(form) | {"units": "in", "name": "Hallway"})

    assert saved.headers["location"] == urls.project(1)
    page = client.get(urls.project(1))
    assert "Hallway" in main(page)
    assert "35 7/16" in main(page).replace("\xa0", " ")


def test_keys_are_pinned_for_the_whole_project_and_opened_again_in_one_assembly(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, a_frame("A"), a_frame("B", keys={"section": None}))
    form = client.get(urls.edit_project(project_id))
    pins = {"keys.section": "10", "keys.recess": "0,4", "keys.plug_choice": "own", "keys.plug.material": "plum"}
    pins |= {"keys.plug.height": "3"}

    refused = client.post(urls.edit_project(project_id), data=fields(form) | pins | {"keys.count": "few"})
    saved = client.post(urls.edit_project(project_id), data=fields(form) | pins)

    assert (refused.status_code, errors(refused)) == (422, {"keys-count": "must be a whole number"})
    assert fields(refused)["keys.recess"] == "0,4"
    assert saved.status_code == 303
    again = fields(client.get(urls.edit_project(project_id)))
    assert {name: again[name] for name in pins} == pins | {"keys.recess": "0.4", "keys.plug_choice": "3 mm plum"}
    items = [row.text for row in soup(client.get(urls.project(project_id))).select(".project-totals tbody th")]
    assert [item.split()[0] for item in items] == ["10", "14"]


def test_two_people_who_edit_a_project_are_told(client: TestClient, demo_store: Store) -> None:
    mine, theirs = client.get(urls.edit_project(1)), client.get(urls.edit_project(1))
    client.post(urls.edit_project(1), data=fields(theirs) | {"name": "Theirs"})

    stale = client.post(urls.edit_project(1), data=fields(mine) | {"name": "Mine"})

    assert stale.status_code == 409
    assert "now stored is Theirs" in summary(stale)
    assert fields(stale)["name"] == "Mine"
    assert client.post(urls.edit_project(1), data=fields(stale)).status_code == 303


def test_deleting_a_project_asks_first(client: TestClient, demo_store: Store) -> None:
    asked = client.get(urls.delete_project(1))
    assert "3 assemblies go with it" in main(asked)
    assert client.get(urls.project(1)).status_code == 200

    gone = client.post(urls.delete_project(1), data=fields(asked))

    assert gone.headers["location"] == urls.projects()
    assert client.get(urls.project(1)).status_code == 404


def test_a_project_without_assemblies_offers_the_five_kinds(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)

    links = [
        str(link["href"]).rsplit("/", 1)[1]
        for link in soup(client.get(urls.project(project_id))).select("a.sheet")
    ]

    assert links == ["mitred_frame", "railed_frame", "box", "carcass", "single_joint"]


def test_a_project_shows_its_assemblies_and_what_they_come_to(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(quantity=2), a_frame("B", name="Small"))
    page = client.get(urls.project(project_id))

    first, second = soup(page).select("li.assembly")
    assert "A · Mitred frame 2 ×" in " ".join(first.text.split())
    assert "400 × 300 mm outside, moulding 45 × 20 mm" in first.text.replace("\xa0", " ")
    assert "8 joints, 16 keys" in " ".join(first.text.split())
    assert "Mitred frame" in second.text
    assert first.select_one("svg path") is not None
    # 12 corners, two keys of one piece in each; one test joint for both fence readings; 5 % of 24 is 2
    (row,) = soup(page).select(".project-totals tbody tr")
    assert [cell.text for cell in row.select("th, td")] == ["14 × 16", "27", "24", "1", "2"]


def test_joints_that_cannot_be_made_are_told_and_the_rest_still_counts(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, a_frame(), an_impossible_joint("B"))

    page = client.get(urls.project(project_id))

    assert "1 of 2 joints cannot be made" in main(page)
    badge = soup(page).select_one("li.assembly a.refused")
    assert badge is not None
    assert " ".join(badge.text.split()) == "1 cannot be made"
    assert len(soup(page).select(".project-totals tbody tr")) == 1


def test_sizes_that_clash_by_now_do_not_hide_the_project(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"), a_frame("B", keys={"entry": "top"}))

    page, schedule = client.get(urls.project(project_id)), client.get(urls.schedule(project_id))

    for answer in (page, schedule):
        assert answer.status_code == 200
        assert "Its sizes clash: here must be" in main(answer)


def test_a_page_that_stands_is_made_once_and_a_change_is_seen_at_once(
    client: TestClient, demo_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned = []

    def counted(store: Store, project_id: int) -> PlannedProject:
        planned.append(project_id)
        return plan_soon(store, project_id)

    monkeypatch.setattr(kept_pages, "plan_soon", counted)

    first, again = client.get(urls.schedule(1)), client.get(urls.schedule(1))
    # but for the tokens of its forms: two windows are two forms
    token = re.compile(r'(?<=name="token" value=")[0-9a-f]{32}')
    assert (token.sub("", first.text) == token.sub("", again.text), len(planned)) == (True, 1)
    assert set(token.findall(first.text)).isdisjoint(token.findall(again.text))

    with demo_store.writing() as session:
        shop = load_shop(session)
        rules = shop.rules.model_copy(update={"wall": Length.from_mm(6)})
        update_shop(session, shop.version, name="S", units=shop.units, currency=shop.currency, rules=rules)
    assert token.sub("", client.get(urls.schedule(1)).text) != token.sub("", first.text)
    assert len(planned) == 2


def test_a_project_that_is_not_there(client: TestClient, store: Store) -> None:
    for address in (urls.project(7), urls.edit_project(7), urls.schedule(7), urls.keys(7), "/projects/x"):
        assert client.get(address).status_code == 404
    with store.writing() as session:
        assert next_mark(session, stored(session)) == "A"
