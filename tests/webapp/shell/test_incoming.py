"""Forms and JSON are refused in words where no person could have typed them."""

from __future__ import annotations

import inspect
import threading
from typing import Annotated

import pytest
from fastapi import Depends, FastAPI

from domain.problems import BadInput
from tests.client import TestClient
from tests.webapp.shell.conftest import FROM_US
from webapp.site.failures import USUAL
from webapp.site.incoming import read_body, read_json
from webapp.usecases.json_text import parse_json


@pytest.mark.parametrize("text", ["Åsa’s frame × 2", "two\r\nlines\tand a tab", "  outer spaces  ", "🪵"])
def test_what_people_type_comes_through(client: TestClient, text: str) -> None:
    answer = client.post("/dummy/form", data={"name": text}, headers=FROM_US)
    assert answer.json() == {"name": text.strip(), "file": None}


def test_a_file_comes_through(client: TestClient) -> None:
    answer = client.post("/dummy/form", data={"name": "a"}, files={"file": ("p.json", b"1234")}, headers=FROM_US)
    assert answer.json() == {"name": "a", "file": 4}


@pytest.mark.parametrize("bad", ["a\0b", "\x1b[31m", "a\x7f", "\x08"])
@pytest.mark.parametrize("multipart", [False, True])
def test_control_characters_are_refused(client: TestClient, bad: str, multipart: bool) -> None:
    files = {"file": ("p.json", b"1")} if multipart else None
    answer = client.post("/dummy/form", data={"name": bad}, files=files, headers=FROM_US)
    assert answer.status_code == 422
    assert "leave out the control character" in answer.text


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"nothing", b"\xff\xfe", b'"\xed\xa0\x80"', b'"\\ud800"', b'{"\\udfff": 1}', b'["a\\u0000b"]',
        b"NaN", b'{"width": NaN}', b"[Infinity]", b"-Infinity", b"1e999", b"9" * 5000, b"[" * 100_000,
        b'{"a":' * 100_000,
    ],
)  # fmt: skip
def test_bad_json_is_422_with_words(client: TestClient, body: bytes) -> None:
    answer = client.post("/api/dummy/json", content=body, headers=FROM_US)
    assert answer.status_code == 422
    assert answer.json()["problems"]


def test_json_problems_name_the_place() -> None:
    with pytest.raises(BadInput, match=r"^assemblies\[1\]\.width: nan: write a finite number$"):
        parse_json(b'{"assemblies": [{}, {"width": NaN}]}')


def test_json_with_a_byte_order_mark_is_read() -> None:
    assert parse_json(b'\xef\xbb\xbf{"a": [1, 2.5, null]}') == {"a": [1, 2.5, None]}


def test_a_broken_multipart_body_is_the_senders_fault(client: TestClient) -> None:
    headers = {**FROM_US, "Content-Type": "multipart/form-data"}
    assert client.post("/dummy/form", content=b"--x", headers=headers).status_code == 400


@pytest.mark.parametrize("body", [b"", b"{", b"[1]", b'{"name": "a", "width": "\\u0000"}'])
def test_a_body_that_fits_no_model_is_422_in_our_words(client: TestClient, body: bytes) -> None:
    headers = {**FROM_US, "Content-Type": "application/json"}
    answer = client.post("/api/dummy/model", content=body, headers=headers)
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("Something in what was sent")
    assert answer.json()["problems"]


def test_a_field_too_long_for_a_form_is_refused_in_our_words(client: TestClient) -> None:
    headers = {**FROM_US, "Content-Type": "application/x-www-form-urlencoded"}
    answer = client.post("/import/dummy", content=b"name=" + b"a" * 1_100_000, headers=headers)
    assert answer.status_code == 400
    assert USUAL[400].title in answer.text
    assert "Part exceeded" not in answer.text


def test_a_field_that_stands_twice_is_named_however_many_stand_before_it() -> None:
    fields = ",".join(f'"k{number}":0' for number in range(200_000))
    with pytest.raises(BadInput, match=r"^the file: 'k199999': this field stands twice"):
        parse_json(f'{{{fields},"k199999":0}}'.encode())


def test_json_is_not_parsed_where_others_wait_to_be_answered(app: FastAPI, client: TestClient) -> None:
    """On the event loop a large document would hold up everybody else."""
    threads: list[threading.Thread] = []

    async def on_the_loop() -> None:
        threads.append(threading.current_thread())

    def read_in_a_thread(body: Annotated[bytes, Depends(read_body)]) -> object:
        threads.append(threading.current_thread())
        return read_json(body)

    app.dependency_overrides[read_json] = read_in_a_thread
    app.add_api_route("/on-the-loop", on_the_loop)
    assert not inspect.iscoroutinefunction(read_json)
    client.get("/on-the-loop")
    assert client.post("/api/dummy/json", content=b"{}", headers=FROM_US).json() == {}
    assert threads[0] is not threads[1]
