"""Pages go over the wire packed, for whoever can unpack them; what is packed in itself stays as it is."""

from __future__ import annotations

import pytest

from tests.client import OURS, TestClient
from webapp.app import PACKED
from webapp.site import urls

UNPACKS = {"accept-encoding": "gzip"}


def test_a_page_is_packed_and_is_the_same_page(client: TestClient) -> None:
    plain = client.get(urls.cautions(), headers={"accept-encoding": "identity"})
    assert "content-encoding" not in plain.headers
    packed = client.get(urls.cautions(), headers=UNPACKS)
    assert packed.headers["content-encoding"] == "gzip"
    assert "accept-encoding" in packed.headers["vary"].lower()
    assert int(packed.headers["content-length"]) < len(plain.content) / 2
    assert packed.content == plain.content


def test_what_is_small_is_not_worth_it(client: TestClient) -> None:
    answer = client.post("/dummy/write", headers={**UNPACKS, "Origin": OURS})
    assert answer.json() == {"written": True}
    assert "content-encoding" not in answer.headers


@pytest.mark.parametrize("kind", ["application/pdf", "font/woff2", "image/jpeg", "image/png", "application/zip"])
def test_what_is_packed_in_itself_stays(kind: str) -> None:
    assert kind in PACKED
