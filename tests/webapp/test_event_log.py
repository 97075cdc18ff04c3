"""What is noted of who came in, who was refused and what failed: one line an event, its moment in UTC."""

from __future__ import annotations

import logging
import re

import pytest

from webapp.terminal.log import EventLine

MOMENT = 1_772_385_605.0  # 2026-03-01T17:20:05Z, by GNU date


def line(message: str, *values: object) -> str:
    record = logging.LogRecord("dovetally", logging.WARNING, __file__, 1, message, values, None)
    record.created = MOMENT
    return EventLine().format(record)


def test_an_event_is_one_line_with_its_moment_in_utc(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    assert line("device %d ended", 3) == "2026-03-01T17:20:05Z WARNING dovetally: device 3 ended"


@pytest.mark.parametrize(
    "sent", ["a\nb", "a\r\n2026-01-01T00:00:00Z INFO all is well", "\x1b[2J", "\u2028x", "\x00"]
)
def test_what_was_sent_begins_no_line_and_moves_no_cursor(sent: str) -> None:
    said = line("wrong code %s", sent)
    assert re.search(r"[\x00-\x1f\x7f\u2028]", said) is None
    assert said.startswith("2026-03-01T17:20:05Z WARNING dovetally: wrong code ")
