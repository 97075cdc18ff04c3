"""Waiting for the data: writers one by one, and never so many waiting that nobody is left to answer the others.

Requests are answered by a limited number of threads. While another program holds the data locked, every request
that needs it waits for seconds; unless most are told soon that it is in use, they are all the threads there are,
and a page or a file that needs no data waits with them.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from webapp.store.errors import Busy

LONG = 2.5
"""Seconds, half of what a lock is waited for: whoever waits longer waits for another program.

Our own hold it for hundredths, and are only slower where more people come at once than the computer has hands for;
those wait, and are served.
"""
OFTEN = 0.25
"""Seconds between two looks at whether anybody has waited long."""
AT_THE_LOCK = 16
"""Readers that may wait for a lock at once."""
IN_LINE = 8
"""Writers that go on waiting for their turn while the first of them waits for another program."""


class WaitingRoom:
    """Who waits for a lock on the data just now."""

    def __init__(self, room: int = AT_THE_LOCK) -> None:
        self._room = threading.BoundedSemaphore(room)
        self._since: dict[int, float] = {}

    @contextmanager
    def place(self) -> Iterator[None]:
        """Wait in the block as one of those that there is room for.

        Raises Busy where there is none, and those who have it wait for another program.
        """
        while not self._room.acquire(timeout=OFTEN):
            if self.held_up:
                raise Busy
        try:
            with self.at_the_lock():
                yield
        finally:
            self._room.release()

    @contextmanager
    def at_the_lock(self) -> Iterator[None]:
        """Wait in the block, whoever else does."""
        me = threading.get_ident()
        self._since[me] = time.monotonic()
        try:
            yield
        finally:
            self._since.pop(me, None)

    @property
    def held_up(self) -> bool:
        """Whether anybody has waited long: another program holds the data."""
        return any(time.monotonic() - since > LONG for since in tuple(self._since.values()))


class Turns:
    """One turn at a time."""

    def __init__(self, room: WaitingRoom | None = None) -> None:
        self._room = room or WaitingRoom()
        self._guard = threading.Lock()
        self._taken = False
        self._queue: deque[threading.Event] = deque()

    @contextmanager
    def turn(self, patience: float) -> Iterator[None]:
        """Run the block when it is its turn. Raises Busy after ``patience`` seconds in the queue.

        Sooner where another program holds the data and the queue is long.
        """
        self._wait(patience)
        try:
            yield
        finally:
            self._pass_on()

    def _wait(self, patience: float) -> None:
        with self._guard:
            if not self._taken:
                self._taken = True
                return
            called = threading.Event()
            self._queue.append(called)
        until = time.monotonic() + patience
        while not called.wait(min(OFTEN, max(0.0, until - time.monotonic()))):
            with self._guard:
                if called.is_set():  # it may have been called in this very moment
                    return
                behind = self._queue.index(called) >= IN_LINE and self._room.held_up
                if behind or time.monotonic() >= until:
                    self._queue.remove(called)
                    raise Busy

    def _pass_on(self) -> None:
        with self._guard:
            if self._queue:
                self._queue.popleft().set()  # still taken: by the one who was called
            else:
                self._taken = False
