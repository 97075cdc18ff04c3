"""Whoever begins a request and does not end it is let go, and nobody else notices."""

from __future__ import annotations

import inspect
import socket
import threading
import time
from collections.abc import Iterator
from importlib import import_module
from typing import get_type_hints

import pytest
import uvicorn
from fastapi import Response
from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute

from tests.client import OURS, PORT
from tests.webapp.shell.conftest import dummy
from webapp.app import LATER, create_app
from webapp.pages.machine import at_machine
from webapp.pages.projects import home
from webapp.site import incoming
from webapp.site.failures import USUAL
from webapp.site.patience import BodyInTime
from webapp.terminal.connections import PatientConnection

HEAD = f"Host: localhost:{PORT}\r\nOrigin: {OURS}\r\n"
READERS = {incoming.read_form, incoming.read_body, at_machine._body}
"""What waits for a body on the event loop: it must be awaited there, and is only taken apart."""


class HalfASecond(PatientConnection):
    seconds = 0.5


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """A real server whose patience is short."""
    app = create_app(None, port=PORT)  # type: ignore[arg-type]  # no route here reads the store
    app.include_router(dummy)
    patience = next(each for each in app.user_middleware if each.cls is BodyInTime)
    patience.kwargs.update(seconds=0.5, rate=1_000_000)
    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, http=HalfASecond, log_level="critical"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield listening.getsockname()[1]
    server.should_exit = True
    thread.join()


def connect(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=30)


def answer(line: socket.socket) -> bytes:
    """All that comes until the other side closes."""
    told = b""
    try:
        while came := line.recv(65_536):
            told += came
    except ConnectionResetError:
        pass
    return told


def dribble(line: socket.socket, text: bytes) -> bool:
    """Send a byte every fifth of the server's patience; whether it hung up before they were all sent."""
    line.setblocking(False)
    for byte in text:
        try:
            line.send(bytes([byte]))
            if line.recv(1, socket.MSG_PEEK) in (b"", b"H"):
                break
        except BlockingIOError:
            pass
        except ConnectionError:
            break
        time.sleep(0.1)
    else:
        return False
    line.settimeout(30)
    return True


def test_a_connection_that_says_nothing_is_closed(port: int) -> None:
    with connect(port) as line:
        assert answer(line) == b""


def test_a_head_that_comes_byte_by_byte_is_cut_off(port: int) -> None:
    with connect(port) as line:
        assert dribble(line, f"GET /dummy/rows/1 HTTP/1.1\r\n{HEAD}".encode() + b"X: " + b"a" * 100)
        assert answer(line) == b""


def test_a_second_request_has_no_more_time_than_the_first(port: int) -> None:
    with connect(port) as line:
        line.sendall(f"GET /dummy/rows/7 HTTP/1.1\r\n{HEAD}\r\n".encode())
        assert line.recv(65_536).startswith(b"HTTP/1.1 200")
        assert dribble(line, f"GET /dummy/rows/1 HTTP/1.1\r\n{HEAD}".encode())


@pytest.mark.parametrize("path", ["/dummy/form", "/api/dummy/json"])
def test_a_body_that_comes_byte_by_byte_is_told_and_cut_off(port: int, path: str) -> None:
    with connect(port) as line:
        line.sendall(
            f"POST {path} HTTP/1.1\r\n{HEAD}Content-Type: application/x-www-form-urlencoded\r\n"
            "Content-Length: 1000\r\n\r\n".encode()
        )
        assert dribble(line, b"a=" + b"b" * 200)
        told = answer(line)
        assert told.startswith(b"HTTP/1.1 408 ")
        assert b"connection: close" in told.lower()
        assert USUAL[408].sentence.encode() in told


def test_a_body_that_keeps_coming_may_take_longer(port: int) -> None:
    """Each piece alone comes after more than half of the time that all of them would have."""
    with connect(port) as line:
        piece = b"a" * 250_000
        line.sendall(f"POST /api/dummy/json HTTP/1.1\r\n{HEAD}Content-Length: 1000002\r\n\r\n".encode() + b'"')
        for _ in range(4):
            line.sendall(piece)
            time.sleep(0.3)
        line.sendall(b'"')
        assert line.recv(65_536).startswith(b"HTTP/1.1 200")


def test_others_are_answered_while_many_lines_are_half_open(port: int) -> None:
    lines = [connect(port) for _ in range(100)]
    for line in lines:
        line.sendall(b"GET / HTTP/1.1\r\nHost: ")
    with connect(port) as other:
        other.sendall(f"GET /dummy/rows/3 HTTP/1.1\r\n{HEAD}Connection: close\r\n\r\n".encode())
        assert answer(other).endswith(b"\r\n\r\n3")
    assert [answer(line) for line in lines] == [b""] * 100
    for line in lines:
        line.close()


@pytest.fixture(scope="module")
def routes() -> list[APIRoute]:
    pages = [home, *(import_module(name) for name in LATER)]
    found = [route for page in pages for route in page.router.routes if isinstance(route, APIRoute)]
    assert len(found) > 100
    return found


def asked(of: Dependant) -> Iterator[Dependant]:
    yield of
    for each in of.dependencies:
        yield from asked(each)


def test_nothing_but_the_waiting_for_a_body_runs_where_everybody_waits(routes: list[APIRoute]) -> None:
    """An ``async`` endpoint or dependency holds up everybody for as long as it works."""
    for route in routes:
        for each in asked(route.dependant):
            call = each.call
            if inspect.iscoroutinefunction(call) or inspect.isasyncgenfunction(call):
                file_form = call.__qualname__ == "file_form.<locals>.read"
                assert call in READERS or file_form, f"{route.path}: {call}"


def test_an_answer_is_written_in_the_thread_that_made_it(routes: list[APIRoute]) -> None:
    """What is returned as anything else than an answer FastAPI turns into one on the event loop."""
    for route in routes:
        returned = get_type_hints(route.endpoint)["return"]
        assert isinstance(returned, type), f"{route.path}: {returned}"
        assert issubclass(returned, Response), f"{route.path}: {returned}"
