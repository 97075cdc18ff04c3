"""Where this process's writers queue, first come, first served.

Waiting for SQLite's own lock is sleeping and trying again, and a plain lock goes to whoever asks at
the right moment: of many writers the unlucky would wait until they are refused.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from webapp.store.errors import Busy


class Turns:
    """One turn at a time."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._taken = False
        self._queue: deque[threading.Event] = deque()

    @contextmanager
    def turn(self, patience: float) -> Iterator[None]:
        """Run the block when it is its turn. Raises Busy after ``patience`` seconds in the queue."""
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
        if called.wait(patience):
            return
        with self._guard:
            if not called.is_set():  # it may have been called in this very moment
                self._queue.remove(called)
                raise Busy

    def _pass_on(self) -> None:
        with self._guard:
            if self._queue:
                self._queue.popleft().set()  # still taken: by the one who was called
            else:
                self._taken = False
