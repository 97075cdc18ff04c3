"""A project as a job, in words: how far it has come, when it is due, what is noted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from domain.spec.job import Stage

STAGES = {
    Stage.ASKED: "Asked",
    Stage.PLANNED: "Planned",
    Stage.GOING_AHEAD: "Going ahead",
    Stage.BUILT: "Built",
    Stage.DELIVERED: "Delivered",
}


def due_words(due: date | None, stage: Stage, today: date) -> str:
    """When it is due, and what is to be said of that today; "" where no day is set.

    >>> day = date(2026, 3, 31)
    >>> due_words(day, Stage.PLANNED, date(2026, 3, 20)), due_words(day, Stage.PLANNED, date(2026, 3, 30))
    ('2026-03-31', '2026-03-31, tomorrow')
    >>> due_words(day, Stage.PLANNED, day), due_words(day, Stage.GOING_AHEAD, date(2026, 4, 1))
    ('2026-03-31, today', '2026-03-31, 1 day overdue')
    >>> due_words(day, Stage.DELIVERED, date(2026, 4, 5)), due_words(None, Stage.PLANNED, day)
    ('2026-03-31', '')
    """
    if due is None:
        return ""
    left = (due - today).days
    if is_overdue(due, stage, today):
        return f"{due.isoformat()}, {-left} {'day' if left == -1 else 'days'} overdue"
    near = {0: ", today", 1: ", tomorrow"} if stage is not Stage.DELIVERED else {}
    return f"{due.isoformat()}{near.get(left, '')}"


def job_line(stage: Stage, due: date | str | None) -> str:
    """State and day of a project in one line, whatever day it is; "" for one that is planned for no day.

    >>> job_line(Stage.GOING_AHEAD, "2026-12-18"), job_line(Stage.BUILT, None), job_line(Stage.PLANNED, None)
    ('Going ahead, due 2026-12-18', 'Built', '')
    """
    if due is None:
        return "" if stage is Stage.PLANNED else STAGES[stage]
    return f"{STAGES[stage]}, due {due}"


def due_line(due: date | str | None) -> str:
    """The day that it is due on, on a paper that outlasts its state; "" where none is set.

    >>> due_line(date(2026, 12, 18)), due_line(None)
    ('Due 2026-12-18', '')
    """
    return "" if due is None else f"Due {due}"


def told_apart(stage: Stage, customer: str | None = None, due: date | None = None) -> str:
    """What tells a project of a list from another one of the same name.

    >>> told_apart(Stage.GOING_AHEAD, "Ilse Brandt", date(2026, 12, 18)), told_apart(Stage.ASKED)
    ('for Ilse Brandt, going ahead, due 2026-12-18', 'asked')
    """
    told = [f"for {customer}"] if customer else []
    told.append(STAGES[stage].lower())
    return ", ".join([*told, f"due {due.isoformat()}"] if due else told)


def is_overdue(due: date | None, stage: Stage, today: date) -> bool:
    """Whether its day has gone by; what is delivered is not late any more."""
    return due is not None and due < today and stage is not Stage.DELIVERED


def notes_said(notes: Mapping[str, str] | None) -> str | None:
    """All notes by mark in one text; None where there are none.

    >>> notes_said({"A": "Glue is dry", "A-J1": "Tight"})
    'A: Glue is dry; A-J1: Tight'
    """
    return "; ".join(f"{mark}: {note}" for mark, note in notes.items()) if notes else None


def about_words(mark: str) -> str:
    """What a note or a photograph at the mark is about, "" being the project's own.

    >>> about_words("A-J1"), about_words("A"), about_words("")
    ('joint A-J1', 'assembly A', 'the project')
    """
    return f"joint {mark}" if "-" in mark else f"assembly {mark}" if mark else "the project"


def gone_words(mark: str) -> str:
    """The same where the project has no such joint or assembly any more.

    >>> gone_words("A-J7")
    'joint A-J7, which is no longer there'
    """
    return f"{about_words(mark)}, which is no longer there"


def photograph_words(mark: str, caption: str) -> str:
    """What a photograph shows, for whoever does not see it.

    >>> photograph_words("A", ""), photograph_words("A", "The corner, open")
    ('Photograph of assembly A', 'The corner, open')
    """
    return caption or f"Photograph of {about_words(mark)}"
