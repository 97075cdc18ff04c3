"""The checker of HTML that stands beside axe on every page and in every state: it is there, and it sees.

The outside: the Nu HTML checker, which the W3C runs at https://validator.w3.org/nu/.
"""

from __future__ import annotations

import pytest

from tests.browser.conftest import do_without
from tests.browser.html_checker import HtmlChecker

pytestmark = pytest.mark.browser

PAGE = "<!doctype html><html lang=en><title>A page</title>"


@pytest.fixture
def checker(nu: HtmlChecker | None) -> HtmlChecker:
    if nu is None:
        do_without("there is no Java, or `npm ci` has not fetched the HTML checker")
    return nu


def test_attributes_of_htmx_are_forgiven(checker: HtmlChecker) -> None:
    assert checker.errors(f"{PAGE}<main hx-get='/' hx-trigger='load'>All is well.</main>") == []


@pytest.mark.parametrize(
    "wrong",
    [
        "<select required><option value=a>A</option></select>",
        "<input autofocus=True>",
        "<p>One<div>two</div></p>",
        "<b id=a></b><i id=a></i>",
        "<main on-get='/'></main>",
    ],
)
def test_what_is_wrong_is_seen(checker: HtmlChecker, wrong: str) -> None:
    assert checker.errors(PAGE + wrong) != []
