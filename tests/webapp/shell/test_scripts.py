"""Our own scripts: modules in today's JavaScript, all of them loaded, as the linter and formatter leave them."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from tests.browser.conftest import do_without, from_npm
from tests.client import TestClient
from webapp.site.urls import static

ROOT = Path(__file__).parents[3]
OWN = {path.name: path.read_text("utf-8") for path in (ROOT / "static").glob("*.js") if ".min." not in path.name}
TAG = re.compile(r"<script\b[^>]*>")
"""In templates no attribute of a script has a ``>``."""
CALLED_AT_ONCE = re.compile(r"^\s*[!+;]?\((?:async\s+)?(?:function\b|\([^)]*\)\s*=>)", re.MULTILINE)
"""A function around a whole script, which kept names to itself before there were modules."""
IMPORT = re.compile(r'^import .*? from "\./([^"?]+)";$', re.MULTILINE)


def tags() -> list[str]:
    templates = (ROOT / "templates").rglob("*.html")
    return [tag for path in templates for tag in TAG.findall(path.read_text("utf-8"))]


def named(tag: str) -> str:
    found = re.search(r"""src="\{\{ static_url\('([^']+)'\) \}\}\"""", tag)
    assert found, f"{tag} is not loaded by its versioned address"
    return found[1]


@pytest.mark.parametrize("name", OWN)
def test_a_script_is_a_module_without_the_dress_of_before(name: str) -> None:
    assert not re.search(r"\bvar\s", OWN[name])
    assert not CALLED_AT_ONCE.search(OWN[name])
    assert not re.search(r"use strict|\bwindow\.\w+ = ", OWN[name])


def test_every_script_of_ours_is_loaded_as_a_module_or_imported_by_one() -> None:
    loaded = {named(tag): tag for tag in tags()}
    ours = {name: tag for name, tag in loaded.items() if name in OWN}
    assert [tag for tag in ours.values() if 'type="module"' not in tag or "async" in tag] == []
    imported = {name for text in OWN.values() for name in IMPORT.findall(text)}
    assert set(ours) | imported == set(OWN)
    assert set(loaded) - set(OWN) == {"htmx-4.0.1.min.js"}


def test_ours_listen_before_htmx_starts() -> None:
    base = (ROOT / "templates/base.html").read_text("utf-8")
    assert [named(tag) for tag in TAG.findall(base)] == ["dovetally.js", "htmx-4.0.1.min.js"]
    assert base.index("{% block head %}") < base.index("dovetally.js")


@pytest.mark.parametrize("name", OWN)
def test_what_is_imported_is_kept_and_asked_after(client: TestClient, name: str) -> None:
    answer = client.get(static(name))
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "no-cache"
    again = client.get(static(name), headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.headers["Cache-Control"]) == (304, "no-cache")


def test_biome_finds_nothing() -> None:
    biome = from_npm(Path(".bin", "biome"))
    if biome is None:
        do_without("Biome is not installed; `npm ci` does that")
    done = subprocess.run(
        [biome, "ci", "--colors=off", "static"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    # warnings and hints are no failure, but they are printed; the minified htmx is not ours to lint
    all_is_well = rf"Checked {len(OWN)} files in \S+\. No fixes applied\."
    assert re.fullmatch(all_is_well, done.stdout.strip()), done.stdout
