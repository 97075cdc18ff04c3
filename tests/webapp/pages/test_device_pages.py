"""The page of devices, and the one on which a device is paired."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI

from tests.client import TestClient
from tests.webapp.from_network import SHOP, application, coming_from
from tests.webapp.pages.reading import main, soup
from webapp.site import network as networks
from webapp.site import urls
from webapp.site.door import Door
from webapp.store import Store
from webapp.store.devices import Role
from webapp.usecases.devices import paired_devices
from webapp.usecases.pairing import FROM_ONE_ADDRESS, WRONG_ONES


@pytest.fixture
def app(store: Store, monkeypatch: pytest.MonkeyPatch) -> FastAPI:
    monkeypatch.setattr(networks, "own_addresses", lambda: (SHOP, "10.7.0.2"))
    return application(store)


@pytest.fixture
def owner(app: FastAPI) -> Iterator[TestClient]:
    with coming_from(app, "127.0.0.1", "127.0.0.1") as client:
        yield client


@pytest.fixture
def tablet(app: FastAPI) -> Iterator[TestClient]:
    with coming_from(app) as client:
        yield client


def code_for(owner: TestClient, role: Role = Role.AT_THE_MACHINE) -> str:
    """A code, as it is read from the page."""
    answer = owner.post(urls.device_code, data={"role": role.value})
    assert (answer.status_code, answer.headers["location"]) == (303, urls.devices)
    found = soup(owner.get(urls.devices)).select_one("dl.totals dd")
    assert found is not None
    return found.get_text()


def test_where_nobody_may_come_in_the_page_says_how_they_may(client: TestClient) -> None:
    page = main(client.get(urls.devices))
    assert "Other devices cannot come in now" in page
    assert "dovetally serve --network" in page
    assert client.post(urls.device_code, data={"role": "reads"}).status_code == 303
    assert soup(client.get(urls.devices)).select("dl.totals") == []
    assert client.get(urls.pair).headers["location"] == urls.devices
    assert client.post(urls.pair, data={"code": "x", "name": "x"}).headers["location"] == urls.devices


def test_at_the_computer_they_are_let_in_by_a_button(app: FastAPI, owner: TestClient) -> None:
    asked: list[str] = []
    door = Door(open=False)
    door.kept_by(lambda: asked.append("stop"))
    app.state.door, app.state.network = door, None
    form = soup(owner.get(urls.devices)).select_one(f"form[action='{urls.door}']")
    assert form is not None
    assert (form.select("input")[0]["value"], form.get_text(strip=True)) == ("yes", "Let other devices in")
    answer = owner.post(urls.door, data={"open": "yes"})
    assert (answer.status_code, door.decided) == (200, True)
    waits = soup(answer).select_one("[data-wait-for]")
    assert waits is not None
    assert waits["data-wait-for"] == urls.devices
    # it stands so already: nothing is started anew
    door.turned(True)
    assert owner.post(urls.door, data={"open": "yes"}).headers["location"] == urls.devices


def test_what_was_in_the_way_is_said(app: FastAPI, owner: TestClient) -> None:
    app.state.door = Door(open=False, refused="Port 8765 on 0.0.0.0 cannot be used.")
    assert "Port 8765 on 0.0.0.0 cannot be used." in main(owner.get(urls.devices))


def test_a_device_turns_no_door(app: FastAPI, tablet: TestClient) -> None:
    app.state.door = Door(open=True)
    assert tablet.post(urls.door, data={"open": "no"}).status_code == 401
    assert app.state.door.decided is None


def test_the_page_shows_address_code_and_picture(owner: TestClient) -> None:
    page = owner.get(urls.devices)
    assert f"http://{SHOP}:8123" in main(page)
    assert "http://10.7.0.2:8123" in main(page)
    assert "can listen" in main(page)
    code = code_for(owner)
    assert re.fullmatch(r"[A-HJ-NP-Z2-9]{4}-[A-HJ-NP-Z2-9]{4}", code)
    shown = owner.get(urls.devices)
    assert f"http://{SHOP}:8123/pair" in main(shown)
    assert soup(shown).select_one("figure svg path") is not None
    assert "ticks off" in main(shown)


def test_what_it_may_do_is_chosen(owner: TestClient) -> None:
    answer = owner.post(urls.device_code, data={"role": "owner"})
    assert answer.status_code == 422
    assert soup(answer).select("dl.totals") == []


@pytest.mark.parametrize("role", Role)
def test_a_device_is_paired_by_code(store: Store, owner: TestClient, tablet: TestClient, role: Role) -> None:
    code = code_for(owner, role)
    answer = tablet.post(urls.pair, data={"code": code.lower(), "name": "Tablet at the bench"})
    assert (answer.status_code, answer.headers["location"]) == (303, urls.home)
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("dovetally=")
    assert {"HttpOnly", "SameSite=strict", "Path=/"} <= set(cookie.split("; "))
    assert "Secure" not in cookie
    assert tablet.get(urls.projects).status_code == 200
    assert [(device.name, device.role) for device in paired_devices(store)] == [("Tablet at the bench", role)]
    assert "Tablet at the bench" in main(owner.get(urls.devices))
    assert soup(owner.get(urls.devices)).select("dl.totals") == []
    # the code is used up
    tablet.cookies.clear()
    assert tablet.post(urls.pair, data={"code": code, "name": "Another"}).status_code == 422


def test_over_tls_the_secret_never_goes_without(app: FastAPI, owner: TestClient) -> None:
    code = code_for(owner)
    with coming_from(app, scheme="https") as secure:
        answer = secure.post(urls.pair, data={"code": code, "name": "Tablet"})
        cookie = answer.headers["set-cookie"]
        assert cookie.startswith("__Host-dovetally=")
        assert {"HttpOnly", "SameSite=strict", "Path=/", "Secure"} <= set(cookie.split("; "))
        assert secure.get(urls.projects).status_code == 200


def test_a_device_is_ended(owner: TestClient, tablet: TestClient, store: Store) -> None:
    tablet.post(urls.pair, data={"code": code_for(owner), "name": "Tablet"})
    assert tablet.get(urls.projects).status_code == 200
    (device,) = paired_devices(store)
    answer = owner.post(urls.end_device(device.number))
    assert (answer.status_code, answer.headers["location"]) == (303, urls.devices)
    locked = tablet.get(urls.projects)
    assert locked.status_code == 401
    assert "Pair this device" in locked.text
    assert owner.post(urls.end_device(99)).status_code == 404


def test_a_wrong_code_leaves_the_name_as_it_was_typed(tablet: TestClient) -> None:
    answer = tablet.post(urls.pair, data={"code": "AAAA-AAAA", "name": "Tablet <b>"})
    assert answer.status_code == 422
    found = soup(answer).select_one("[name=name]")
    assert found is not None
    assert found["value"] == "Tablet <b>"
    assert "this code does not hold" in answer.text.lower()
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize(
    "data", [{}, {"code": "", "name": ""}, {"code": "AAAA-AAAA"}, {"code": "AAAA-AAAA", "name": "x" * 61}]
)
def test_what_is_missing_is_named_and_no_try_is_lost(
    owner: TestClient, tablet: TestClient, data: dict[str, str]
) -> None:
    code = code_for(owner)
    for _ in range(2 * WRONG_ONES):
        assert tablet.post(urls.pair, data=data).status_code == 422
    assert tablet.post(urls.pair, data={"code": code, "name": "Tablet"}).status_code == 303


def test_who_tries_too_many_has_to_wait(tablet: TestClient) -> None:
    for _ in range(FROM_ONE_ADDRESS):
        assert tablet.post(urls.pair, data={"code": "AAAA-AAAA", "name": "Tablet"}).status_code == 422
    answer = tablet.post(urls.pair, data={"code": "AAAA-AAAA", "name": "Tablet"})
    assert answer.status_code == 429
    assert 0 < int(answer.headers["Retry-After"]) <= 601
    assert "wait 10 minutes" in answer.text


def test_an_ended_tablet_is_told_as_its_script_reads_it(tablet: TestClient) -> None:
    answer = tablet.post(urls.shop_ticks(1), json=[], headers={"Accept": "*/*"})
    assert answer.status_code == 401
    assert "not paired, or no longer" in answer.json()["error"]


def test_labels_lead_to_the_network(owner: TestClient, app: FastAPI) -> None:
    there = {"server": ("127.0.0.1", 8123), "client": ("127.0.0.1", 50_000)}
    assert networks.address_for_others(app.state.network, there) == f"http://{SHOP}:8123"
    # what came over the network was asked for at an address that can be opened, and without one there is none
    assert networks.address_for_others(app.state.network, {**there, "server": (SHOP, 8123)}) == ""
    assert networks.address_for_others(None, there) == ""
