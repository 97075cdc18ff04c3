"""How pages look on a device: kept in its cookie, told in the page's own tag, and legible in each scheme."""

from __future__ import annotations

import re

import pytest

from tests.client import TestClient
from tests.webapp.pages.reading import soup
from webapp.site import urls
from webapp.site.look import COOKIE
from webapp.site.rendering import STATIC


def tag(client: TestClient, address: str = urls.projects()) -> dict[str, str]:
    html = soup(client.get(address)).html
    assert html is not None
    return {name: str(html[name]) for name in ("data-scheme", "data-letters", "data-keys")}


def test_a_look_is_kept_on_the_device_and_in_no_page_of_another(client: TestClient) -> None:
    assert tag(client) == {"data-scheme": "device", "data-letters": "usual", "data-keys": "on"}
    chosen = {"scheme": "dark", "letters": "larger", "keys": "no", "back": "/catalogue"}
    answer = client.post(urls.look(), data=chosen, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/catalogue")
    assert "httponly" in answer.headers["set-cookie"].lower()
    assert tag(client) == {"data-scheme": "dark", "data-letters": "larger", "data-keys": "off"}
    checked = [box["value"] for box in soup(client.get(urls.look())).select("input[checked]")]
    assert checked == ["dark", "larger", "no"]
    client.cookies.clear()
    assert tag(client)["data-scheme"] == "device"


@pytest.mark.parametrize("cookie", ["", "dark", "dark-huge-keys", "x-large-keys", "dark-large-maybe", "-" * 9])
def test_a_cookie_that_says_nothing_changes_nothing(client: TestClient, cookie: str) -> None:
    client.cookies.set(COOKIE, cookie)
    assert tag(client) == {"data-scheme": "device", "data-letters": "usual", "data-keys": "on"}


@pytest.mark.parametrize("back", ["https://example.org/", "//example.org", "/\\example.org", "projects", ""])
def test_it_leads_back_into_the_program_only(client: TestClient, back: str) -> None:
    answer = client.post(urls.look(), data={"back": back}, follow_redirects=False)
    assert answer.headers["location"] == urls.projects()


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    letters = colour.removeprefix("#")
    letters = "".join(letter * 2 for letter in letters) if len(letters) == 3 else letters
    parts = [int(letters[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_ratio_is_the_standards() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # from memory: just below AA


TOKENS = {
    name: (light, dark)
    for name, light, dark in re.findall(
        r"--([a-z-]+): light-dark\((#[0-9a-f]+), (#[0-9a-f]+)\);", (STATIC / "base.css").read_text("utf-8")
    )
}


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_both_schemes_are_legible(scheme: int) -> None:
    token = {name: both[scheme] for name, both in TOKENS.items()}
    for ground in ("paper", "board"):
        for words in ("ink", "ink-soft", "pencil"):
            assert contrast(token[words], token[ground]) >= 4.5, (words, ground)
        assert contrast(token["edge"], token[ground]) >= 3, ground  # WCAG 1.4.11: what tells a control
    for button in ("ink", "ink-pressed", "pencil"):
        assert contrast(token["paper"], token[button]) >= 4.5, button


def test_the_light_scheme_is_the_one_of_browsers_that_know_no_other() -> None:
    css = (STATIC / "base.css").read_text("utf-8")
    plain = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]+);", css[: css.index("@supports")]))
    assert {name: light for name, (light, _) in TOKENS.items()} == plain


def test_every_key_stands_once_in_the_dialog(client: TestClient) -> None:
    links = soup(client.get(urls.projects())).select("#shortcuts a[data-key]")
    keys = [str(link["data-key"]) for link in links]
    assert len(set(keys)) == len(keys) >= 6
    for link in links:
        assert client.get(str(link["href"])).status_code == 200


def test_the_guide_lists_the_same_keys(client: TestClient) -> None:
    page = soup(client.get(urls.projects()))
    shown = {cell.get_text(strip=True) for cell in page.select("#shortcuts kbd")}
    guide = (STATIC.parent / "docs" / "2-project.md").read_text("utf-8")
    assert shown <= set(re.findall(r"`([^`]+)`", guide))
