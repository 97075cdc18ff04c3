"""Keys and clicks that an evening's jobs take, counted in a browser; none where there is no Chromium."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

from tests.browser.conftest import CHROMIUM_ARGS, start_server, stop_server
from tests.browser.keystrokes import JOBS, CountedHand, Job


def measure(folder: Path) -> Iterator[tuple[Job, int]]:
    """Every job with how many keys and clicks it took, each in a shop of its own."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium")
    if chromium is None:
        return
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGS)
        for number, job in enumerate(JOBS):
            server = start_server(folder / str(number), *(() if job.empty else ("--demo",)))
            try:
                hand = CountedHand(browser.new_page(), server.url)
                job.work(hand)
                yield job, hand.actions
            finally:
                stop_server(server)
        browser.close()
