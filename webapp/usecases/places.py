"""Work for programs, in so many places and no more, each with an end.

Nobody looks at a page meanwhile, so nobody could stop it: what may take long is done apart, and ended when it has
taken as long as any answer may. What is soon done has places of its own, and never waits behind that.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Timer
from typing import TypeVar, cast

from domain.problems import BadInput, Problem
from webapp.usecases.apart import Apart, Failed, Step, Told

Value = TypeVar("Value")

WAIT = 2.0
"""Seconds that work waits for a place."""
MOST_SECONDS = 120.0
"""Seconds that work apart may take."""


class NoPlace(Exception):
    """All places are taken, and none became free."""


class TooMuchWork(Exception):
    """It took as long as any answer may, and was ended."""


class Places:
    """Where work is done: ``soon`` at once here, ``apart`` in processes of their own."""

    def __init__(self, soon: int = 4, apart: int | None = None, most_seconds: float = MOST_SECONDS) -> None:
        self._soon = BoundedSemaphore(soon)
        self._apart = BoundedSemaphore(max(1, (os.cpu_count() or 2) - 1) if apart is None else apart)
        self._most_seconds = most_seconds

    def do(self, work: Callable[..., Value], *arguments: object, long: bool) -> Value:
        """What ``work(*arguments)`` comes to; both, and that, can be pickled where it is ``long``.

        Raises what the work refuses with as BadInput, NoPlace, TooMuchWork, or Failed where it ended by itself.
        """
        if not long:
            with _place(self._soon):
                return work(*arguments)
        with _place(self._apart):
            return self._done_apart(work, arguments)

    def _done_apart(self, work: Callable[..., Value], arguments: tuple[object, ...]) -> Value:
        apart = Apart(_refusals_told, (work, arguments))
        ended: list[bool] = []

        def end() -> None:
            ended.append(True)
            apart.end()

        timer = Timer(self._most_seconds, end)
        timer.start()
        try:
            value, problems = cast("tuple[Value, tuple[Problem, ...]]", apart.wait(_nobody_asks))
        except Failed:
            if ended:
                raise TooMuchWork from None
            raise
        finally:
            timer.cancel()
        if problems:
            raise BadInput(problems)
        return value


@contextmanager
def _place(places: BoundedSemaphore) -> Iterator[None]:
    if not places.acquire(timeout=WAIT):
        raise NoPlace
    try:
        yield
    finally:
        places.release()


def _nobody_asks(step: Step) -> None:
    """Nobody is told how far it is."""


def _refusals_told(
    told: Told, work: Callable[..., object], arguments: tuple[object, ...]
) -> tuple[object, tuple[Problem, ...]]:
    """On the other side: what the work comes to, and the problems that it refuses with."""
    try:
        return work(*arguments), ()
    except BadInput as refusal:
        return None, tuple(refusal.problems)
