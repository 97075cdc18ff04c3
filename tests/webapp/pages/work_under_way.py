"""Work that goes on beside the pages: waited for as a page's script does, and none left behind by a test."""

from __future__ import annotations

import time

from httpx import Response

from tests.client import TestClient

BY_SCRIPT = {"HX-Request": "true"}


def ended(client: TestClient, page: str) -> Response:
    """The page's part, or where it leads, once the work is over; asked for as its script asks."""
    for _ in range(1_200):
        told: Response = client.get(page, headers=BY_SCRIPT)
        if told.status_code != 200 or "hx-trigger" not in told.text:
            return told
        time.sleep(0.05)
    raise AssertionError(told.text)


def end_all(client: TestClient) -> None:
    """End whatever still goes on."""
    jobs = client.app.state.jobs  # type: ignore[attr-defined]
    for key in list(jobs._jobs):
        jobs.end(key)
