"""The real server as a subprocess, and a real browser that fails on what a person would never see.

Skipped with a reason where there is no Chromium, or no axe-core where a test asks for it; with
DOVETALLY_BROWSER_REQUIRED set that is a failure.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest

from tests.browser.html_checker import HtmlChecker, checking
from tests.webapp.databases import Databases
from tests.workshop import WORKSHOP
from webapp.usecases import demo

if TYPE_CHECKING:
    from playwright.sync_api import Browser, ConsoleMessage, Page

ROOT = Path(__file__).parents[2]
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
START_SECONDS = 120
WAIT_MILLISECONDS = 30_000
"""A slow, busy machine must not fail a test that a quiet one passes."""


@dataclass(frozen=True)
class Server:
    """A running server: where it answers, where its data lies, and its process."""

    url: str
    data: Path
    process: subprocess.Popen[str]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def start_server(data: Path, *options: str, port: int | None = None) -> Server:
    """Start ``dovetally serve`` over ``data`` on a free port, or on this one, and wait until it answers."""
    port = port or free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "webapp.terminal.cli", "serve", "--port", str(port), *options],
        cwd=ROOT,
        env={**os.environ, "DOVETALLY_DATA": str(data)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    server = Server(f"http://127.0.0.1:{port}", data, process)
    patience = time.monotonic() + START_SECONDS
    while not answers(server.url):
        if process.poll() is not None or time.monotonic() > patience:
            process.kill()
            output, _ = process.communicate()
            pytest.fail(f"the server did not start; it printed:\n{output}")
        time.sleep(0.05)
    return server


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(f"{url}/cautions", timeout=20):
            return True
    except (urllib.error.URLError, TimeoutError, ConnectionError):
        return False


def stop_server(server: Server) -> str:
    """Stop the server; its output."""
    server.process.terminate()
    try:
        output, _ = server.process.communicate(timeout=10)
    except subprocess.TimeoutExpired:
        server.process.kill()
        output, _ = server.process.communicate()
    return output


@contextmanager
def serving(data: Path, *options: str) -> Iterator[Server]:
    """A server for as long as it is needed; what it printed shows where the test failed."""
    running = start_server(data, *options)
    try:
        yield running
    finally:
        print(stop_server(running))


@pytest.fixture(scope="session")
def workshops(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """The tests' own workshop, laid in once in a run as the demo is, and copied for every server."""
    return Databases(tmp_path_factory.mktemp("workshops"))


def serving_workshop(workshops: Databases, data: Path) -> AbstractContextManager[Server]:
    """A server over the tests' own workshop."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(demo, "FOLDER", WORKSHOP)
        workshops.copy("workshop", demo.load_demo_in, data / "dovetally.db")
    return serving(data)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """A fresh, empty workshop."""
    with serving(tmp_path) as running:
        yield running


@pytest.fixture(scope="session")
def steady_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """An empty workshop shared by the tests that only read."""
    with serving(tmp_path_factory.mktemp("steady")) as running:
        yield running


@pytest.fixture
def demo_server(workshops: Databases, tmp_path: Path) -> Iterator[Server]:
    """The tests' workshop, filled."""
    with serving_workshop(workshops, tmp_path) as running:
        yield running


@pytest.fixture(scope="session")
def steady_demo(workshops: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The tests' workshop, shared by the tests that only read."""
    with serving_workshop(workshops, tmp_path_factory.mktemp("steady_demo")) as running:
        yield running


@pytest.fixture(scope="module")
def busy_demo(workshops: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The tests' workshop, shared by a module's tests that each add what is theirs."""
    with serving_workshop(workshops, tmp_path_factory.mktemp("busy_demo")) as running:
        yield running


def do_without(reason: str) -> NoReturn:
    """Skip the test, or fail it where everything is required."""
    if os.environ.get("DOVETALLY_BROWSER_REQUIRED"):
        pytest.fail(reason)
    pytest.skip(reason)


def from_npm(path: Path) -> Path | None:
    """What npm installed, where node itself would find it: here, or in a folder above."""
    there = (folder / "node_modules" / path for folder in (ROOT, *ROOT.parents))
    return next((found for found in there if found.is_file()), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        do_without("there is no Chromium on this computer")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGS)
        yield running
        running.close()


@dataclass
class Watch:
    """What went wrong unseen on a page: script errors, console errors, policy violations."""

    problems: list[str] = field(default_factory=list)

    def expect(self, part: str) -> None:
        """Strike the problems that a test caused on purpose; fails when there are none such."""
        rest = [problem for problem in self.problems if part not in problem]
        assert len(rest) < len(self.problems), f"no problem with {part!r} among {self.problems}"
        self.problems = rest


@pytest.fixture
def watch() -> Watch:
    return Watch()


@pytest.fixture
def page(browser: Browser, watch: Watch) -> Iterator[Page]:
    """A page, 1280 wide; the test fails if anything went wrong unseen. Small: page.set_viewport_size."""
    with open_page(browser, watch) as page:
        yield page
    assert watch.problems == []


@contextmanager
def open_page(browser: Browser, watch: Watch) -> Iterator[Page]:
    """A page with a context of its own, whose troubles ``watch`` notes."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.set_default_timeout(WAIT_MILLISECONDS)
    page.add_init_script(
        "document.addEventListener('securitypolicyviolation', event => "
        "console.error('policy violation: ' + event.violatedDirective + ' ' + event.blockedURI));"
    )
    page.on("pageerror", lambda error: watch.problems.append(f"script error: {error}"))
    page.on("console", lambda message: note_console(watch, message))
    try:
        yield page
    finally:
        context.close()


def note_console(watch: Watch, message: ConsoleMessage) -> None:
    # Chromium logs every 4xx and 5xx answer; those the tests check by what the page says
    if message.type == "error" and "the server responded with a status of" not in message.text:
        watch.problems.append(f"console: {message.text}")


EVERY_RULE = "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']"
COLOURS = "{type: 'rule', values: ['color-contrast', 'link-in-text-block']}"


@dataclass(frozen=True)
class Axe:
    """``axe(page)`` asserts that axe-core finds no violation of WCAG 2.0 to 2.2, levels A and AA.

    And that the page as it stands now is HTML, wherever there is a checker for that.
    """

    script: str
    nu: HtmlChecker | None

    def __call__(self, page: Page) -> None:
        if self.nu is not None:
            # what is for whoever has no script stands beside what a script made of it, and is on no page with one
            html = re.sub("<noscript>.*?</noscript>", "", page.content(), flags=re.DOTALL)
            assert_html(self.nu, html, page.url)
        self._find(page, EVERY_RULE)

    def colours(self, page: Page) -> None:
        """The same of colours alone, which are all that another scheme changes."""
        self._find(page, COLOURS)

    def _find(self, page: Page, rules: str) -> None:
        # evaluated through the debugger: the page's own policy would refuse a script tag
        if not page.evaluate("'axe' in window"):
            page.evaluate(self.script)
        found = page.evaluate(
            # details of what is well would take three times as long to write down; no rule of these reads
            # style sheets
            f"() => axe.run(document, {{resultTypes: ['violations'], preload: false, runOnly: {rules}}})"
        )
        lines = [
            f"{violation['id']}: {violation['help']}: {node['html'][:160]}"
            for violation in found["violations"]
            for node in violation["nodes"]
        ]
        assert not lines, "\n".join([page.url, *lines])


@pytest.fixture(scope="session")
def nu() -> Iterator[HtmlChecker | None]:
    """The Nu HTML checker; None where there is no Java for it, which ``test_html_checker`` says."""
    jar = from_npm(Path("vnu-jar", "build", "dist", "vnu.jar"))
    if shutil.which("java") is None or jar is None:
        yield None
        return
    with checking(jar, free_port()) as checker:
        yield checker


@pytest.fixture(scope="session")
def axe(nu: HtmlChecker | None) -> Axe:
    script = from_npm(Path("axe-core", "axe.min.js"))
    if script is None:
        do_without("axe-core is not installed; `npm ci` does that")
    return Axe(script.read_text("utf-8"), nu)


def assert_html(nu: HtmlChecker, html: str, place: str) -> None:
    """Fail with what the checker says of this document."""
    errors = nu.errors(html)
    assert not errors, "\n".join([place, *errors])


def wait_for_htmx(page: Page) -> None:
    """Wait until htmx has been over the page, no request is under way and no swap is settling."""
    page.wait_for_function("() => window.htmx")
    # htmx begins one turn after it is there
    page.evaluate("() => new Promise(done => setTimeout(done))")
    page.wait_for_function(
        "() => !document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling, .htmx-added')"
    )
