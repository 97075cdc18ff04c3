"""What was worked out and is kept for the next time, bounded: the least lately used goes first."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Kept(Generic[Value]):
    """At most ``most`` in all of what ``weigh`` says a value weighs (1 each, unless told otherwise)."""

    def __init__(self, most: int, weigh: Callable[[Value], int] = lambda value: 1) -> None:
        self._most = most
        self._weigh = weigh
        self._weight = 0
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable) -> Value | None:
        """The value kept under ``key``, or None."""
        with self._lock:
            value = self._values.get(key)
            if value is not None:
                self._values.move_to_end(key)
            return value

    def put(self, key: Hashable, value: Value) -> None:
        """Keep ``value``, and let go of the oldest until all fit. One too heavy for all is not kept."""
        with self._lock:
            self._weight -= self._weigh(self._values.pop(key)) if key in self._values else 0
            self._values[key] = value
            self._weight += self._weigh(value)
            while self._weight > self._most:
                _, gone = self._values.popitem(last=False)
                self._weight -= self._weigh(gone)
