"""What takes long is worked out apart, as a job, and kept here: whoever asks again has it at once.

A use case that finds that it would keep people waiting raises TakesLong instead, with the work that it waits for.
Whoever asked has it done as a job, lets it be kept, and asks again; the command line, which keeps nobody else
waiting, uses what waits.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass

from webapp.usecases.jobs import Outcome, Task


@dataclass(frozen=True, slots=True)
class LongWork:
    """``work(told, *arguments)``, to be done apart; ``keep`` keeps here what came of it. ``same`` as in a Task."""

    title: str
    work: Callable[..., object]
    arguments: tuple[object, ...]
    keep: Callable[[object], None]
    same: Hashable

    def task(self, leads: str, back: str) -> Task:
        """The work as a task, which leads to where it is asked for again."""

        def finish(result: object) -> Outcome:
            self.keep(result)
            return Outcome(leads)

        return Task(self.title, back, self.work, self.arguments, finish, self.same, again=leads)


class TakesLong(Exception):
    """What is asked for takes longer than anybody waits: ``work`` comes first."""

    def __init__(self, work: LongWork) -> None:
        self.work = work
        super().__init__(work.title)
