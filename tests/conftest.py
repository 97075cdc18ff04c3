"""What tests of every room start from."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.torture import Tally, told

if TYPE_CHECKING:
    from tests.webapp.databases import Databases


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Migrated files, made once in a run and copied for every test."""
    # a run of the domain's tests alone loads no store
    from tests.webapp.databases import Databases

    return Databases(tmp_path_factory.mktemp("databases"))


PROMISE = "promise"


@pytest.fixture
def tally(record_property: Callable[[str, object], None]) -> Tally:
    """Counts tries towards a promise."""

    def count(promise: str, tried: int = 1) -> None:
        record_property(PROMISE, [promise, tried])

    return count


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table of what the long runs tried and lost."""
    reports = [
        report
        for outcome in ("passed", "failed")
        for report in terminalreporter.stats.get(outcome, ())
        if getattr(report, "when", "") == "call"
    ]
    promises = [
        (str(value[0]), int(value[1]), report.failed)
        for report in reports
        for name, value in report.user_properties
        if name == PROMISE
    ]
    if promises and "DOVETALLY_TORTURE" in os.environ:
        terminalreporter.section("promises")
        for line in told(promises):
            terminalreporter.write_line(line)
