"""Lighthouse's performance of the pages that hold most, on its slow phone; none where it is not installed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tests.browser.conftest import from_npm, start_server, stop_server
from tests.browser.lighthouse import verdict
from webapp.site import urls

PAGES = {
    "project": urls.project(1),
    "assembly": urls.assembly(1, 1),
    "schedule": urls.schedule(1),
    "setting-out sheet": urls.setting_out(1),
    "set-ups": urls.set_ups(1),
    "at the machine": urls.shop(1),
}


def measure(folder: Path) -> Iterator[tuple[str, float]]:
    """Every page's name with its performance, 0 to 100, in a demo workshop."""
    script = from_npm(Path("lighthouse", "cli", "index.js"))
    if script is None:
        return
    server = start_server(folder, "--demo")
    try:
        for name, path in PAGES.items():
            yield name, verdict(script, server.url + path).performance
    finally:
        stop_server(server)
