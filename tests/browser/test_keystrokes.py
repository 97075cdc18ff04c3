"""An evening's jobs take no more keys and clicks than they may, and come to what was typed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import Server
from tests.browser.keystrokes import JOBS, CountedHand, Job

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("job", JOBS, ids=[job.what for job in JOBS])
def test_a_job_in_no_more_keys_and_clicks(demo_server: Server, page: Page, job: Job) -> None:
    hand = CountedHand(page, demo_server.url)
    job.work(hand)
    assert hand.actions <= job.most
    project = re.match(r".*/projects/\d+", page.url)
    assert project
    page.goto(project[0])
    assert page.locator("li.assembly").count() == job.assemblies
    assert page.locator(".assembly .refused").count() == 0
    assert page.locator(".project-totals table tbody tr").count() > 0
