"""Other devices: on every route there is, nothing answers before pairing, and then what the role allows.

The routes are the application's own, so that a new one is behind the gate from its first day.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.responses import Response

from tests.client import PORT
from tests.webapp.databases import Databases, nothing
from tests.webapp.from_network import NAME, SHOP, TABLET, application, coming_from, paired
from webapp.app import LATER
from webapp.pages.projects import home
from webapp.site import gate, urls
from webapp.site.access import PAIRING_FILES, Need, need_of
from webapp.site.network import at_the_computer, bracketed
from webapp.site.rendering import STATIC
from webapp.store import Store
from webapp.store.devices import Role
from webapp.store.errors import Busy
from webapp.usecases.demo import load_demo_in
from webapp.usecases.devices import add_device, end_device, paired_devices

METHODS = ("GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE", "TRACE")
PLACES = {"kind": "box", "joint": "AJ1", "name": "schedule", "ending": "csv", "paper": "A4", "booking": "received"}


def concrete(path: str) -> str:
    """An address of that shape."""
    return re.sub(r"\{(\w+)(?::path)?\}", lambda place: PLACES.get(place[1], "1"), path)


def routes() -> Iterator[tuple[str, str]]:
    """Every method of every route that the application has."""
    for module in (home, *(import_module(name) for name in LATER)):
        for route in module.router.routes:
            assert isinstance(route, APIRoute)
            yield from ((method, concrete(route.path)) for method in sorted(route.methods or ()))


ROUTES = sorted(set(routes()))
BEHIND = [(method, path) for method, path in ROUTES if path != urls.pair]
PATHS = sorted({path for _, path in BEHIND})
NOWHERE = ["/nowhere", "/api/nowhere", "/static", "/static/", "/static/ticks.js", "/static/pair.js/../ticks.js",
           "/static/base.css/", "/pair/", "/pair/x", "//pair", "/PAIR", "/docs", "/openapi.json", "/"]  # fmt: skip


@pytest.fixture(scope="module")
def shop(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    file = tmp_path_factory.mktemp("gate") / "shop.db"
    with databases.opened("demo", load_demo_in, file) as opened:
        yield opened


@pytest.fixture(scope="module")
def app(shop: Store) -> FastAPI:
    return application(shop)


def test_there_are_routes_enough() -> None:
    assert len(BEHIND) > 140
    assert {("POST", urls.restore("1")), ("GET", urls.api_description), ("POST", urls.rules)} < {
        (method, path.replace("/schedule", "/1")) for method, path in BEHIND
    }


def test_nothing_answers_before_pairing(app: FastAPI) -> None:
    """Every route and every path beside them, by every method."""
    tried = {(method, path) for path in (*PATHS, *NOWHERE) for method in METHODS} | set(BEHIND)
    with coming_from(app) as client:
        answers = {(method, path): client.request(method, path) for method, path in sorted(tried)}
    assert len(answers) > 800
    assert {case: answer.status_code for case, answer in answers.items() if answer.status_code != 401} == {}
    shown = {answer.text for (method, _), answer in answers.items() if method != "HEAD"}
    # the form to pair, or one sentence: nothing of what is there
    assert len(shown) <= 3
    assert not any(words in text for text in shown for words in ("Programme", "<table", "/projects/1"))
    assert all(answer.headers["WWW-Authenticate"].startswith("Pairing") for answer in answers.values())
    assert all("set-cookie" not in answer.headers for answer in answers.values())


@pytest.mark.parametrize(
    "headers",
    [
        {"X-Forwarded-For": "127.0.0.1"},
        {"Forwarded": "for=127.0.0.1;host=localhost"},
        {"X-Real-IP": "127.0.0.1", "X-Forwarded-Host": "localhost"},
        {"Client-IP": "::1", "Via": "1.1 localhost"},
        {"Cookie": "dovetally=guessed"},
        {"Cookie": "dovetally="},
        {"Cookie": "__Host-dovetally=guessed; dovetally=é"},
        {"HX-Request": "true"},
        {"Accept": "application/json"},
        {"Upgrade": "websocket", "Connection": "Upgrade"},
    ],
)
def test_no_header_opens_the_gate(app: FastAPI, headers: dict[str, str]) -> None:
    sent = {name: value.encode() for name, value in headers.items()}
    with coming_from(app) as client:
        assert client.get(urls.projects, headers=sent).status_code == 401
        assert client.post(urls.new_project, headers=sent).status_code == 401


@pytest.mark.parametrize(
    ("came_in_on", "came_from", "itself"),
    [
        ("127.0.0.1", "127.0.0.1", True),
        ("::1", "::1", True),
        ("127.0.0.2", "127.0.0.1", False),
        ("127.0.0.1", "127.0.0.2", False),
        (SHOP, TABLET, False),
        (SHOP, "127.0.0.1", False),
        ("127.0.0.1", TABLET, False),
        ("::ffff:127.0.0.1", "::ffff:127.0.0.1", False),
        ("localhost", "127.0.0.1", False),
    ],
)
def test_both_ends_of_the_connection_say_where_it_is_from(came_in_on: str, came_from: str, itself: bool) -> None:
    assert at_the_computer({"server": (came_in_on, PORT), "client": (came_from, 50_000)}) is itself


@pytest.mark.parametrize("scope", [{}, {"server": None, "client": None}, {"server": ("127.0.0.1", PORT)}])
def test_what_is_not_known_is_elsewhere(scope: dict[str, object]) -> None:
    assert not at_the_computer(scope)


@pytest.mark.parametrize(("client", "host"), [("127.0.0.1", "127.0.0.1"), ("::1", "[::1]")])
def test_the_computer_itself_needs_no_pairing(app: FastAPI, client: str, host: str) -> None:
    with coming_from(app, client, host) as itself:
        assert itself.get(urls.projects).status_code == 200
        assert itself.get(urls.backups).status_code == 200
        assert itself.get(urls.pair).headers["Location"] == urls.devices


HOSTS = {
    f"{SHOP}:{PORT}": True,
    f"{NAME}:{PORT}": True,
    f"{NAME.upper()}.local:{PORT}": True,
    f"localhost:{PORT}": False,
    f"127.0.0.1:{PORT}": False,
    f"[::1]:{PORT}": False,
    f"192.168.7.21:{PORT}": False,  # another address than the connection came in on
    f"{TABLET}:{PORT}": False,
    f"{SHOP}": False,
    f"{SHOP}:80": False,
    f"{SHOP}.:{PORT}": False,
    f"{NAME}.:{PORT}": False,
    f"{NAME}.evil.example:{PORT}": False,
    f"evil-{NAME}:{PORT}": False,
    f"evil.example:{PORT}": False,
    f"{SHOP}.evil.example:{PORT}": False,
    f"0.0.0.0:{PORT}": False,
    f"3232237332:{PORT}": False,  # the same address as one number
    "": False,
}


@pytest.mark.parametrize(("host", "ours"), HOSTS.items())
def test_over_the_network_only_the_computers_own_names_are_served(app: FastAPI, host: str, ours: bool) -> None:
    with coming_from(app) as client:
        assert client.get(urls.pair, headers={"Host": host}).status_code == (200 if ours else 421)


@pytest.mark.parametrize("host", [f"{SHOP}:{PORT}", f"{NAME}:{PORT}", f"{NAME}.local:{PORT}"])
def test_at_the_computer_only_its_own_names_are_served(app: FastAPI, host: str) -> None:
    with coming_from(app, "127.0.0.1", "127.0.0.1") as client:
        assert client.get(urls.cautions, headers={"Host": host}).status_code == 421


def test_an_ipv6_address_stands_in_brackets() -> None:
    assert bracketed("2001:DB8:0:0:0:0:0:7") == "[2001:db8::7]"
    assert bracketed("fe80::1%eth0") == "[fe80::1]"
    assert bracketed(SHOP) == SHOP


def test_the_form_to_pair_brings_only_what_is_open(app: FastAPI) -> None:
    with coming_from(app) as client:
        page = BeautifulSoup(client.get(urls.pair).text, "html.parser")
        loaded = [
            str(tag.get("src") or tag.get("href")) for tag in page.select("link[href], script[src], img[src]")
        ]
        assert {re.sub(r"\?.*", "", address) for address in loaded} == {
            urls.static(name) for name in PAIRING_FILES
        }
        assert {client.get(address).status_code for address in loaded} == {200}
        assert client.post(loaded[0]).status_code == 401
        assert [str(link["href"]) for link in page.select("a")] == []
    closed = {path.name for path in STATIC.iterdir()} - set(PAIRING_FILES)
    with coming_from(app) as client:
        assert {client.get(urls.static(name)).status_code for name in closed} == {401}


# what each role may do, told here a second time and by hand
ENDS_WORK = "/work/1/end"
LOOKS = "/look"
TICKS = {"/projects/1/shop", "/projects/1/shop/ticks", "/shop", "/shop/ticks"}
OWNERS = ("/rules", "/backups", "/devices")


def allowed(role: Role, method: str, path: str) -> bool:
    if path.startswith(OWNERS):
        return False
    if role is Role.EVERYTHING or method in {"GET", "HEAD", "OPTIONS"}:
        return True
    if method == "POST" and path in (ENDS_WORK, LOOKS):
        return True
    return role is Role.AT_THE_MACHINE and path in TICKS


@pytest.fixture
def quiet(databases: Databases, tmp_path: Path) -> Iterator[tuple[FastAPI, Store]]:
    """An application behind whose gate nothing is done, not even a page shown: what passes is told by 204."""
    file = tmp_path / "shop.db"
    with databases.opened("empty", nothing, file) as store:
        app = application(store)
        app.router.routes.clear()
        app.router.default = Response(status_code=204)
        yield app, store


@pytest.mark.parametrize("role", Role)
def test_every_route_by_every_role(quiet: tuple[FastAPI, Store], role: Role) -> None:
    app, store = quiet
    with coming_from(app) as client:
        paired(store, client, role)
        wrong = {
            (method, path): status
            for path in PATHS
            for method in METHODS
            if (status := client.request(method, path).status_code)
            != (204 if allowed(role, method, path) else 403)
        }
    assert wrong == {}


def test_what_is_declared_to_be_ticks_exists() -> None:
    assert {("POST", path) for path in TICKS} < set(ROUTES)


def test_a_new_route_that_changes_something_is_closed_until_it_is_opened() -> None:
    assert need_of("POST", "/something/new") is Need.EVERYTHING
    assert need_of("GET", "/something/new") is Need.READS
    assert need_of("POST", "/projects/1/shop/ticks/more") is Need.EVERYTHING
    assert need_of("POST", "/rules/new") is need_of("GET", "/rules/new") is Need.THE_COMPUTER
    assert need_of("GET", "/rulesets") is Need.READS


def test_a_refused_device_is_told_in_words(app: FastAPI, shop: Store) -> None:
    with coming_from(app) as client:
        paired(shop, client, Role.READS)
        answer = client.post(urls.new_project)
        assert answer.status_code == 403
        assert "was not paired to change this" in answer.text
        assert "at the computer itself" in client.get(urls.rules).text
        assert client.get(urls.projects).status_code == 200


def test_another_sites_page_cannot_write_for_a_paired_device(app: FastAPI, shop: Store) -> None:
    with coming_from(app, origin=False) as client:
        paired(shop, client, Role.EVERYTHING)
        for origin in (
            {},
            {"Origin": "null"},
            {"Origin": "http://evil.example"},
            {"Origin": f"http://localhost:{PORT}"},
        ):
            assert client.post(urls.new_project, headers=origin).status_code == 403
        ours = {"Origin": f"http://{SHOP}:{PORT}"}
        assert client.post(urls.new_project, headers=ours, data={"name": ""}).status_code == 422


def test_a_device_is_locked_out_the_moment_it_is_ended(app: FastAPI, shop: Store) -> None:
    with coming_from(app) as client, coming_from(app) as other:
        paired(shop, client, Role.EVERYTHING, "Phone")
        paired(shop, other, Role.EVERYTHING, "Tablet")
        assert client.get(urls.projects).status_code == other.get(urls.projects).status_code == 200
        number = next(device.number for device in paired_devices(shop) if device.name == "Phone")
        end_device(shop, number)
        assert client.get(urls.projects).status_code == 401
        assert client.post(urls.new_project).status_code == 401
        assert other.get(urls.projects).status_code == 200


def test_the_secret_itself_is_kept_nowhere(shop: Store) -> None:
    secret = add_device(shop, "Phone", Role.READS)
    assert len(secret) == 43  # 256 bits in base64 (RFC 4648, section 5)
    assert shop.path is not None
    assert secret.encode() not in shop.path.read_bytes()


def test_a_store_that_cannot_be_read_lets_nobody_in(
    app: FastAPI, shop: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(store: Store, secret: str) -> None:
        raise Busy

    with coming_from(app) as client:
        paired(shop, client, Role.EVERYTHING)
        monkeypatch.setattr(gate, "known_device", busy)
        assert client.get(urls.projects).status_code == 503
