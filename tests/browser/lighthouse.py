"""Lighthouse (npm ``lighthouse``, Apache 2.0): what it says of a page on a phone.

Its performance is that of a slow phone on a slow network, reckoned from what the page loads and does; a figure
for the bench, not for a test. It runs Debian's Chromium and tells nobody what it found.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

SECONDS = 120
JUDGED = ("performance", "accessibility", "best-practices")


@dataclass(frozen=True)
class Verdict:
    """Scores from 0 to 100, and the names of the audits that cost something of the last two."""

    performance: float
    accessibility: float
    best_practices: float
    failed: tuple[str, ...]


def verdict(script: Path, url: str) -> Verdict:
    """What Lighthouse says of this page; ``script`` is its command. A run that fails raises RuntimeError."""
    command = [
        "node",
        str(script),
        url,
        "--quiet",
        "--output=json",
        "--no-enable-error-reporting",
        f"--only-categories={','.join(JUDGED)}",
        "--chrome-flags=--headless=new --no-sandbox --disable-gpu",
    ]
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or ""
    run = subprocess.run(
        command,
        env={**os.environ, "CHROME_PATH": chromium},
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=False,
    )
    if run.returncode != 0:
        raise RuntimeError(f"Lighthouse said of {url}:\n{run.stderr}")
    report = json.loads(run.stdout)
    categories = report["categories"]
    performance, accessibility, best = (round(100 * categories[name]["score"], 1) for name in JUDGED)
    failed = (
        ref["id"]
        for name in JUDGED[1:]
        for ref in categories[name]["auditRefs"]
        if ref["weight"] and (report["audits"][ref["id"]]["score"] or 0) < 1
        if report["audits"][ref["id"]]["scoreDisplayMode"] not in ("notApplicable", "manual", "informative")
    )
    return Verdict(performance, accessibility, best, tuple(failed))
