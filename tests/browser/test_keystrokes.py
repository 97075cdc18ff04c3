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
def test_a_job_in_no_more_keys_and_clicks(request: pytest.FixtureRequest, page: Page, job: Job) -> None:
    shop: Server = request.getfixturevalue("server" if job.empty else "demo_server")
    hand = CountedHand(page, shop.url)
    job.work(hand)
    assert hand.actions <= job.most, hand.actions
    project = re.match(r".*/projects/\d+", page.url)
    assert project
    page.goto(project[0])
    assert page.locator("li.assembly").count() == job.assemblies
    assert page.locator(".assembly .refused").count() == 0
    assert page.locator(".project-totals table tbody tr").count() > 0
