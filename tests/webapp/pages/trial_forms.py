"""Trials, starts and calibrations as a browser sends them."""

from __future__ import annotations

from typing import Any

from httpx import Response

from tests.client import TestClient
from webapp.form.carried import new_token
from webapp.site import urls

DAY = "2026-01-09"
PIECE = {
    "tool": "close:14",
    "species": "oak",
    "thickness": "20",
    "projection": "6.2",
    "depth": "18",
    "fence_reading": "16.5",
    "outcome": "loose",
    "gap": "0.3",
    "stopped_at": "",
    "tip_diameter": "",
    "day": DAY,
}
STOCK = {"section": "14", "cutter": "close", "species": "oak", "thickness": "20"}
CHECKED = {"figure": "close:14", "reading": "16", "measured": "16.2", "day": DAY}


def send_trial(client: TestClient, **more: str) -> Response:
    answer: Response = client.post(urls.trials(), data={"token": new_token(), **PIECE, **more})
    return answer


def record(client: TestClient, **more: str) -> int:
    """Record a trial; its number."""
    answer = send_trial(client, **more)
    assert answer.status_code == 303, answer.text
    return int(answer.headers["location"].partition("?")[0].rsplit("/", 1)[-1])


def send_start(client: TestClient, projection: str, **more: str) -> Response:
    sent: dict[str, Any] = {"token": new_token(), **STOCK, "projection": projection, "wood": "this", **more}
    answer: Response = client.post(urls.starts(), data=sent)
    return answer


def send_calibration(client: TestClient, **more: str) -> Response:
    answer: Response = client.post(urls.scales(), data={"token": new_token(), **CHECKED, **more})
    return answer
