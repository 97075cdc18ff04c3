"""The page that shows every component once."""

from __future__ import annotations

import re

import pytest
from bs4 import BeautifulSoup

from tests.client import TestClient
from webapp.site import urls
from webapp.site.rendering import TEMPLATES

KIT = "".join((TEMPLATES / name).read_text("utf-8") for name in ("_macros.html", "_form.html"))
BODIES = dict(re.findall(r"\{% macro (\w+)\((.*?)\{% endmacro %\}", KIT, re.DOTALL))


def _reached(text: str) -> set[str]:
    """The macros that a template calls, and those that they call."""
    found: set[str] = set()
    fresh = {text}
    while fresh:
        called = {name for body in fresh for name in BODIES if re.search(rf"\b{name}\(", body)} - found
        found |= called
        fresh = {BODIES[name] for name in called}
    return found


@pytest.fixture
def page(client: TestClient) -> BeautifulSoup:
    answer = client.get(urls.patterns())
    assert answer.status_code == 200
    return BeautifulSoup(answer.text, "html.parser")


def test_every_macro_of_the_kit_is_shown() -> None:
    assert set(BODIES) - _reached((TEMPLATES / "shop/patterns.html").read_text("utf-8")) == set()


def test_every_kind_of_field_is_shown_sound_and_refused(page: BeautifulSoup) -> None:
    kinds = {"input[type=text]", ".unit", "select", "textarea", "[type=checkbox]", "[type=radio]", "[type=file]"}
    assert [kind for kind in kinds if not page.select(f".field:not(.has-error) {kind}")] == []
    assert [kind for kind in kinds if not page.select(f".field.has-error {kind}")] == []
    assert len(page.select(".has-error .field-error")) == 8


def test_every_other_component_is_shown(page: BeautifulSoup) -> None:
    parts: tuple[str, ...] = (
        "button",
        ".button-quiet",
        ".button-danger",
        "h1",
        "h2",
        "h3",
        "table.data tfoot",
        "dl.facts",
        "details",
    )
    parts += (
        ".notice-info",
        ".notice-caution",
        ".notice-refusal",
        ".tick-row",
        "svg.drawing",
        ".totals",
        ".sheet",
    )
    assert [part for part in parts if not page.select(part)] == []


def test_no_id_stands_twice(page: BeautifulSoup) -> None:
    names = [str(tag["id"]) for tag in page.select("[id]")]
    assert sorted(names) == sorted(set(names))


def test_nothing_leads_to_it(page: BeautifulSoup) -> None:
    assert page.select(f"a[href='{urls.patterns()}']") == []
