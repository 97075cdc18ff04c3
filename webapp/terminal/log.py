"""What the program notes while it serves: one event a line on the terminal's error stream, its moment in UTC."""

from __future__ import annotations

import logging
import time


class EventLine(logging.Formatter):
    """``2026-03-01T17:20:05Z WARNING dovetally: …``; what was sent from outside begins no line of its own."""

    converter = staticmethod(time.gmtime)

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s", "%Y-%m-%dT%H:%M:%SZ")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802  logging's own name
        """The line, control characters written out."""
        line = super().formatMessage(record)
        return "".join(
            letter if letter.isprintable() else letter.encode("unicode_escape").decode() for letter in line
        )


def note_events() -> None:
    """Have the program's own events written, from those that are told for the record on."""
    handler = logging.StreamHandler()
    handler.setFormatter(EventLine())
    log = logging.getLogger("dovetally")
    log.setLevel(logging.INFO)
    log.handlers = [handler]
    log.propagate = False
