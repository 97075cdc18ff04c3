"""The door: hosts, origins, body sizes, and what every answer carries."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from fastapi import FastAPI
from starlette.types import Message

from tests.client import OURS, TestClient
from tests.webapp.shell.conftest import FROM_US
from webapp.site.guards import CONTENT_SECURITY_POLICY, LARGE_BODY, USUAL_BODY, own_hosts

GOOD_HOSTS = ["localhost:8123", "127.0.0.1:8123", "[::1]:8123", "LOCALHOST:8123", "LocalHost:8123"]
NAMES = [
    "", " ", "localhost", "127.0.0.1", "[::1]", "::1", "localhost.", "127.1", "2130706433", "0x7f.0.0.1",
    "0.0.0.0", "[::]", "127.0.0.2", "evil.example", "localhost.evil.example", "evil-localhost",
    "evil.localhost", "www.localhost", "127.0.0.1.evil.example", "user@localhost", "localhost@evil.example",
    "[::ffff:127.0.0.1]", "[::1", "192.168.1.20", "10.0.0.1", "testserver", "localhost%00", "localhost/",
]  # fmt: skip
BAD_HOSTS = [
    *NAMES,
    *(f"{name}:8123" for name in NAMES if name not in {"localhost", "127.0.0.1", "[::1]"}),
    "localhost:80", "localhost:8124", "localhost:", "localhost:08123", "localhost:8123:8123",
    "localhost:8123 ", "localhost: 8123", "127.0.0.1:80", "[::1]:1", "localhost:8123,localhost:8123",
]  # fmt: skip


def test_the_host_table_is_long_enough() -> None:
    assert len(GOOD_HOSTS) + len(BAD_HOSTS) >= 60


@pytest.mark.parametrize("host", GOOD_HOSTS)
def test_our_own_hosts_are_served(client: TestClient, host: str) -> None:
    assert client.get("/cautions", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("host", BAD_HOSTS)
def test_any_other_host_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/cautions", headers={"Host": host})
    assert answer.status_code == 421
    assert "Not this address" in answer.text


def test_two_hosts_are_refused(client: TestClient) -> None:
    two = [("Host", "localhost:8123"), ("Host", "localhost:8123")]
    assert client.get("/cautions", headers=two).status_code == 421


def test_only_on_port_80_may_the_port_be_left_out() -> None:
    assert "localhost" in own_hosts(80)
    assert "localhost" not in own_hosts(8123)


# (headers, whether they prove that the request came from our own page)
HEADER_SETS: list[tuple[dict[str, str], bool]] = [
    ({}, False),
    ({"Origin": OURS}, True),
    ({"Origin": "null"}, False),
    ({"Origin": "http://localhost:9999"}, False),
    ({"Origin": "https://localhost:8123"}, False),
    ({"Origin": "http://127.0.0.1:8123"}, False),  # ours, but not the one this page was opened as
    ({"Origin": "http://evil.example"}, False),
    ({"Origin": ""}, False),
    ({"Sec-Fetch-Site": "same-origin"}, True),
    ({"Sec-Fetch-Site": "same-origin", "Origin": OURS}, True),
    ({"Sec-Fetch-Site": "same-origin", "Origin": "null"}, False),
    ({"Sec-Fetch-Site": "same-origin", "Origin": "http://evil.example"}, False),
    ({"Sec-Fetch-Site": "same-site", "Origin": "http://localhost:9999"}, False),
    ({"Sec-Fetch-Site": "same-site", "Origin": OURS}, False),
    ({"Sec-Fetch-Site": "cross-site", "Origin": "http://evil.example"}, False),
    ({"Sec-Fetch-Site": "cross-site", "Origin": OURS}, False),
    ({"Sec-Fetch-Site": "none"}, False),
    ({"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate"}, True),
    ({"Sec-Fetch-Site": "nonsense", "Origin": OURS}, False),
]


@pytest.mark.parametrize(("headers", "ours"), HEADER_SETS)
@pytest.mark.parametrize("path", ["/dummy/write", "/api/dummy/write"])
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_only_our_own_pages_change_things(
    client: TestClient, method: str, path: str, headers: dict[str, str], ours: bool
) -> None:
    answer = client.request(method, path, headers=headers)
    assert answer.status_code == (200 if ours else 403)


def test_two_origins_prove_nothing(client: TestClient) -> None:
    assert client.post("/dummy/write", headers=[("Origin", OURS), ("Origin", OURS)]).status_code == 403


@pytest.mark.parametrize("headers", [one for one, _ in HEADER_SETS])
def test_reading_needs_no_origin(client: TestClient, headers: dict[str, str]) -> None:
    assert client.get("/cautions", headers=headers).status_code == 200


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 303),
        ("/cautions", 200),
        ("/static/base.css", 200),
        ("/nope", 404),
        ("/api/nope", 404),
        ("/dummy/crash", 500),
        ("/api/dummy/crash", 500),
        ("/dummy/fail/503", 503),
        ("/dummy/bad", 422),
    ],
)
def test_every_answer_carries_the_security_headers(client: TestClient, path: str, status: int) -> None:
    answer = client.get(path, follow_redirects=False)
    assert answer.status_code == status
    assert answer.headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Cache-Control"] == ("no-cache" if path.startswith("/static") else "no-store")


@pytest.mark.parametrize("headers", [{"Host": "evil.example"}, {"Origin": "null"}])
def test_refusals_at_the_door_carry_them_too(client: TestClient, headers: dict[str, str]) -> None:
    answer = client.post("/dummy/write", headers=headers)
    assert answer.headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY


def test_the_policy_allows_nothing_inline() -> None:
    assert "unsafe" not in CONTENT_SECURITY_POLICY
    assert "default-src 'none'" in CONTENT_SECURITY_POLICY


def chunks(size: int) -> Iterator[bytes]:
    """A body without Content-Length, so that only counting helps."""
    sent = 0
    while sent < size:
        piece = min(65_536, size - sent)
        yield b"a" * piece
        sent += piece


FORM = {**FROM_US, "Content-Type": "application/x-www-form-urlencoded"}


@pytest.mark.parametrize("path", ["/dummy/form", "/api/dummy/json", "/api/dummy/model"])
def test_a_chunked_body_is_counted(client: TestClient, path: str) -> None:
    cap = LARGE_BODY if path.startswith("/api/") else USUAL_BODY
    answer = client.post(path, content=chunks(cap + 1), headers=FORM)
    assert answer.status_code == 413
    assert f"at most {cap // 1_000_000} MB" in answer.text


def test_a_body_up_to_the_cap_is_read(client: TestClient) -> None:
    body = b'"' + b"a" * (LARGE_BODY - 2) + b'"'
    answer = client.post("/api/dummy/json", content=body, headers=FROM_US)
    assert answer.status_code == 200
    assert len(answer.json()) == LARGE_BODY - 2


def test_a_file_over_the_cap_is_refused(client: TestClient) -> None:
    files = {"file": ("big.json", b"a" * (USUAL_BODY + 1))}
    assert client.post("/dummy/form", files=files, headers=FROM_US).status_code == 413


def test_a_claimed_length_over_the_cap_is_refused_before_reading_it_in(app: FastAPI) -> None:
    headers = {"host": "localhost:8123", "origin": OURS, "content-length": "9" * 30}
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/api/dummy/json",
        "raw_path": b"/api/dummy/json",
        "query_string": b"",
        "scheme": "http",
        "http_version": "1.1",
        "root_path": "",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }
    incoming = [{"type": "http.request", "body": b"a", "more_body": more} for more in (True, True, False)]
    outgoing: list[Message] = []

    async def receive() -> Message:
        return incoming.pop(0)

    async def send(message: Message) -> None:
        outgoing.append(message)

    # in a thread of its own: after the browser tests, this one has a loop of Playwright's
    with ThreadPoolExecutor(1) as thread:
        thread.submit(lambda: asyncio.run(app(scope, receive, send))).result()
    assert outgoing[0]["status"] == 413
    assert incoming == []  # the rest ran past unread, so that the browser stays to hear the answer
