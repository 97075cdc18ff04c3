"""Accessibility and best practices as Lighthouse judges them, of every kind of page as a phone shows it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.browser.conftest import Server, do_without, from_npm
from tests.browser.lighthouse import verdict
from tests.browser.test_every_page import pages_of
from tests.torture import torture
from webapp.site import urls

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def lighthouse() -> Path:
    script = from_npm(Path("lighthouse", "cli", "index.js"))
    if script is None or shutil.which("chromium") is None:
        do_without("there is no Chromium, or `npm ci` has not fetched Lighthouse")
    return script


def judge(lighthouse: Path, address: str) -> None:
    said = verdict(lighthouse, address)
    assert (said.accessibility, said.best_practices, said.failed) == (100, 100, ()), address


def test_the_schedule_on_a_phone(steady_demo: Server, lighthouse: Path) -> None:
    judge(lighthouse, steady_demo.url + urls.schedule(1))


@torture
def test_every_kind_of_page_on_a_phone(steady_demo: Server, lighthouse: Path) -> None:
    kinds = {shape: address for (shape, _), address in pages_of(steady_demo).items()}
    assert len(kinds) >= 25
    for address in kinds.values():
        judge(lighthouse, address)
