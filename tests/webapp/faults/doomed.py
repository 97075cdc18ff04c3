"""What speaks to the doomed servers."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import httpx

ROOT = Path(__file__).parents[3]


class Doomed:
    """Servers split off one by one. ``log`` is where they write what they have to say."""

    def __init__(self, orders: IO[str], answers: IO[str], log: Path) -> None:
        self._orders, self._answers, self.log = orders, answers, log

    @contextmanager
    def server(self, where: Path | str, moment: str = "never") -> Iterator[int]:
        """Its port; its data is in a file or at a URL. By the end it is dead, by its own hand or killed."""
        self._order(f"serve {moment} {where}")
        _, port, number = self._answer("listening").split()
        try:
            yield int(port)
        finally:
            os.kill(int(number), signal.SIGKILL)
            self._order("reap")
            self._answer("gone")

    def _order(self, order: str) -> None:
        self._orders.write(order + "\n")
        self._orders.flush()

    def _answer(self, awaited: str) -> str:
        line = self._answers.readline()
        assert line.startswith(awaited), self.log.read_text()
        return line


@contextmanager
def doomed(log: Path) -> Iterator[Doomed]:
    with (
        log.open("w") as said,
        subprocess.Popen(
            [sys.executable, "-m", "tests.webapp.faults.doomed_server"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
        ) as process,
    ):
        assert process.stdin is not None
        assert process.stdout is not None
        yield Doomed(process.stdin, process.stdout, log)
        process.stdin.close()


def wire(request_of: httpx.Request) -> bytes:
    """A request as bytes, for whoever would send a part of it."""
    target = request_of.url.raw_path
    headers = b"".join(name + b": " + value + b"\r\n" for name, value in request_of.headers.raw)
    return b"%s %s HTTP/1.1\r\n%s\r\n%s" % (request_of.method.encode(), target, headers, request_of.read())
