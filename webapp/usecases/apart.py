"""Work in a process of its own: the only way to end what a library is in the middle of.

A thread cannot be stopped from outside, and the compositor, which sets a document of hundreds of pages in one
call, looks at nothing while it does. A process can be ended between two instructions; it takes no turns from the
threads that answer others, and gives all its memory back. It says how far it is in pickles on its standard
output, and ends by itself as soon as its standard input does: a program that is killed leaves none behind.
"""

from __future__ import annotations

import copyreg
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from types import MappingProxyType
from typing import Any, BinaryIO

ROOT = Path(__file__).parents[2]


def _proxy(mapping: dict[object, object]) -> MappingProxyType[object, object]:
    return MappingProxyType(mapping)


# a mapping that nobody may change is pickled as what it shows
copyreg.pickle(MappingProxyType, lambda shown: (_proxy, (dict(shown),)))

NICE = 5
"""Whoever turns pages comes first."""


@dataclass(frozen=True, slots=True)
class Step:
    """How far the work is: parts done of how many, and what comes next; of 0 where it cannot be counted.

    ``what`` says what is counted: "documents set".
    """

    done: int
    of: int
    now: str
    what: str = "documents set"


@dataclass(frozen=True, slots=True)
class Result:
    """What came of it."""

    value: object


Told = Callable[[Step], None]


class Failed(Exception):
    """The work ended without a result, and nobody ended it."""


class Apart:
    """``function(told, *arguments)`` at work in a process of its own; both, and the result, can be pickled."""

    def __init__(self, function: Callable[..., object], arguments: tuple[object, ...]) -> None:
        self._asked = pickle.dumps((function, arguments))
        self._process = subprocess.Popen(
            [sys.executable, "-c", f"from {__name__} import main; main()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=ROOT,
        )

    def wait(self, told: Told) -> object:
        """The result, told how far it is meanwhile. Raises Failed where the process ended without."""
        asking, answering = self._process.stdin, self._process.stdout
        assert asking is not None
        assert answering is not None
        with suppress(OSError):  # it was ended at once: what follows says so
            asking.write(self._asked)
            asking.flush()
        try:
            while True:
                said: Step | Result = pickle.load(answering)
                if isinstance(said, Result):
                    return said.value
                told(said)
        except (EOFError, pickle.UnpicklingError, OSError, ValueError):
            raise Failed from None
        finally:
            self.end()
            with suppress(OSError):
                asking.close()
            answering.close()

    def end(self) -> None:
        """End it, wherever it is."""
        self._process.kill()
        self._process.wait()


def main() -> None:
    """The other side: read what is asked, do it, say how far it is and what came of it."""
    out, asking = os.fdopen(os.dup(1), "wb"), sys.stdin.buffer
    os.dup2(2, 1)  # what a library prints is no pickle
    if hasattr(os, "nice"):
        os.nice(NICE)
    function, arguments = pickle.load(asking)
    Thread(target=_end_with, args=[asking], daemon=True).start()

    def say(said: Any) -> None:
        pickle.dump(said, out)
        out.flush()

    say(Result(function(say, *arguments)))


def _end_with(asking: BinaryIO) -> None:
    asking.read()
    os._exit(1)
