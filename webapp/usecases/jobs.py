"""Long work, one piece a core: queued, told how far it is, ended by a button or once nobody asks after it.

One core is left to those who turn pages, and whoever has work running waits behind whoever has none. A result
waits in a file, not in memory, until it is fetched or nobody has asked for it for a while.
"""

from __future__ import annotations

import logging
import os
import secrets
import time
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from enum import Enum
from tempfile import TemporaryFile
from threading import Condition, Thread
from typing import IO

from webapp.usecases.apart import Apart, Failed, Step

log = logging.getLogger("dovetally")

MOST_WAITING = 20
SECONDS_UNASKED = 75.0
"""A page asks every second; one in the background is let ask once a minute by some browsers."""
SECONDS_KEPT = 600.0
"""How long what came of it is kept after anybody asked last."""


class State(Enum):
    """What has become of a job."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    REFUSED = "refused"
    ENDED = "ended"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of it: an address to go to, or a file; or the sentences that say why not."""

    address: str = ""
    body: bytes = b""
    name: str = ""
    reasons: tuple[str, ...] = ()


class TooMuchAtOnce(Exception):
    """More work is waiting than anybody would wait for."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be done: ``work(told, *arguments)`` elsewhere, then ``finish`` here with what came of it.

    ``same`` is equal for the same work: asked for again while it is under way, it is not begun again. ``back`` is
    the page that it was asked on, ``again`` where it is begun again; "" where that is the same page.
    """

    title: str
    back: str
    work: Callable[..., object]
    arguments: tuple[object, ...]
    finish: Callable[[object], Outcome]
    same: Hashable
    again: str = ""


@dataclass(eq=False)
class Job:
    """A task under way, or what became of it. Read ``state`` and ``step``; ``Jobs`` alone changes them."""

    task: Task
    client: str
    key: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    state: State = State.WAITING
    step: Step = field(default_factory=lambda: Step(0, 0, ""))
    outcome: Outcome = field(default_factory=lambda: Outcome())
    begun: float = field(default_factory=time.monotonic)
    asked: float = field(default_factory=time.monotonic)
    apart: Apart | None = None
    file: IO[bytes] | None = None

    @property
    def open(self) -> bool:
        """Whether it is still to be waited for."""
        return self.state in (State.WAITING, State.RUNNING)

    def body(self) -> bytes:
        """The file that came of it; b"" where none did."""
        if self.file is None:
            return b""
        self.file.seek(0)
        return self.file.read()


class Jobs:
    """All jobs of a program, ``at_once`` of them at work."""

    def __init__(
        self, at_once: int | None = None, *, unasked: float = SECONDS_UNASKED, kept: float = SECONDS_KEPT
    ) -> None:
        self._at_once = max(1, (os.cpu_count() or 2) - 1) if at_once is None else at_once
        self._unasked = unasked
        self._kept = kept
        self._jobs: dict[str, Job] = {}
        self._changed = Condition()
        self._watched = False
        self._stopped = False

    def begin(self, task: Task, client: str) -> Job:
        """Begin it, or wait for its turn; the job that is under way where the same was asked for before.

        Raises TooMuchAtOnce.
        """
        with self._changed:
            for job in self._jobs.values():
                if job.open and job.client == client and job.task.same == task.same:
                    job.asked = time.monotonic()
                    return job
            if sum(job.open for job in self._jobs.values()) >= MOST_WAITING:
                raise TooMuchAtOnce
            job = Job(task, client)
            self._jobs[job.key] = job
            if not self._watched:
                Thread(target=self._watch, name="jobs", daemon=True).start()
                self._watched = True
            self._next()
        return job

    def ask(self, key: str) -> Job | None:
        """The job of that key, as somebody asks after it; None where there is none any more."""
        with self._changed:
            job = self._jobs.get(key)
            if job is not None:
                job.asked = time.monotonic()
            return job

    def wait(self, job: Job, seconds: float) -> bool:
        """Wait until it is over, at most so long; whether it is."""
        with self._changed:
            return self._changed.wait_for(lambda: not job.open, seconds)

    def before(self, job: Job) -> int:
        """How many are at work or wait before it."""
        with self._changed:
            return sum(other.open and other.begun < job.begun for other in self._jobs.values())

    def end(self, key: str) -> None:
        """End that job; nothing where it is over."""
        with self._changed:
            job = self._jobs.get(key)
            if job is not None and job.open:
                self._end(job)

    def stop(self) -> None:
        """End them all, as the program does."""
        with self._changed:
            self._stopped = True
            for job in list(self._jobs.values()):
                self._end(job)
                self._drop(job)
            self._changed.notify_all()

    def _end(self, job: Job) -> None:
        if job.open:
            job.state = State.ENDED
            if job.apart is not None:
                job.apart.end()
            self._changed.notify_all()
            self._next()

    def _drop(self, job: Job) -> None:
        if job.file is not None:
            job.file.close()
        self._jobs.pop(job.key, None)

    def _next(self) -> None:
        """Set to work what may be: of those who wait, first whoever has least at work."""
        while not self._stopped:
            running = [job for job in self._jobs.values() if job.state is State.RUNNING]
            waiting = [job for job in self._jobs.values() if job.state is State.WAITING]
            if not waiting or len(running) >= self._at_once:
                return
            at_work = [job.client for job in running]
            job = min(waiting, key=lambda each: (at_work.count(each.client), each.begun))
            try:
                job.apart = Apart(job.task.work, job.task.arguments)
            except OSError:
                log.exception("no process could be begun: %s", job.task.title)
                job.state = State.FAILED
                self._changed.notify_all()
                continue
            job.state = State.RUNNING
            Thread(target=self._run, args=[job, job.apart], name="job", daemon=True).start()

    def _run(self, job: Job, apart: Apart) -> None:
        def told(step: Step) -> None:
            job.step = step

        outcome, state = Outcome(), State.FAILED
        try:
            result = apart.wait(told)
            if job.state is State.RUNNING:
                outcome = job.task.finish(result)
                state = State.REFUSED if outcome.reasons else State.DONE
        except Failed:
            if job.state is State.RUNNING:
                log.error("a job ended without a result: %s", job.task.title)
        except Exception:
            log.exception("a job's result could not be kept: %s", job.task.title)
        with self._changed:
            if job.state is State.RUNNING:
                self._keep(job, outcome, state)
            job.apart = None
            self._next()

    def _keep(self, job: Job, outcome: Outcome, state: State) -> None:
        if outcome.body:
            # closed where it is dropped
            job.file = TemporaryFile()  # noqa: SIM115
            job.file.write(outcome.body)
        job.outcome = Outcome(outcome.address, b"", outcome.name, outcome.reasons)
        job.state = state
        self._changed.notify_all()

    def _watch(self) -> None:
        """End what nobody asks after any more, and let go of what was kept."""
        with self._changed:
            while not self._stopped:
                for job in list(self._jobs.values()):
                    silent = time.monotonic() - job.asked
                    if job.open and silent > self._unasked:
                        self._end(job)
                    elif not job.open and silent > self._kept:
                        self._drop(job)
                self._changed.wait(min(1.0, self._unasked))
