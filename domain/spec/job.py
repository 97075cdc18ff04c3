"""A project as a job of the shop: how far it has come, and what was noted beside its parts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.fields import Note

MOST_NOTES = 5_000


class Stage(StrEnum):
    """How far a job has come. A project that goes ahead holds claims on the stock; no other one does."""

    ASKED = "asked"
    PLANNED = "planned"
    GOING_AHEAD = "going_ahead"
    BUILT = "built"
    DELIVERED = "delivered"

    @property
    def is_done(self) -> bool:
        """True once nothing more is made for it."""
        return self in (Stage.BUILT, Stage.DELIVERED)


Notes = Annotated[dict[str, Note], Field(max_length=MOST_NOTES)]
"""Notes by the mark of the assembly, such as A, or of the joint, such as A-J1, that they are about."""
_JOINT = re.compile(r"-J[0-9]{1,4}")


def marks_of(mark: str, noted: Iterable[str]) -> tuple[str, ...]:
    """Those of the marks ``noted`` that are the assembly's of that ``mark``, or one of its joints'.

    >>> marks_of("A", ["A", "A-J1", "AB-J1", "B"])
    ('A', 'A-J1')
    """
    return tuple(each for each in noted if each == mark or each.startswith(f"{mark}-"))


def under_another_mark(notes: Mapping[str, str], was: str, mark: str) -> dict[str, str]:
    """The notes, those of one assembly and its joints under its new mark.

    >>> under_another_mark({"A": "glue dry", "A-J1": "tight", "B": "left"}, "A", "D")
    {'D': 'glue dry', 'D-J1': 'tight', 'B': 'left'}
    """
    own = set(marks_of(was, notes))
    return {mark + each.removeprefix(was) if each in own else each: note for each, note in notes.items()}


def check_notes(notes: Mapping[str, str], assemblies: Iterable[str]) -> Iterator[Problem]:
    """Notes about nothing that is there: neither an assembly's mark nor a joint's of one of them."""
    marks = set(assemblies)
    for mark in notes:
        joint = _JOINT.search(mark)
        of = mark[: joint.start()] if joint and joint.end() == len(mark) else mark
        if of not in marks:
            yield Problem.of((mark,), mark, ProblemCode.NO_SUCH_MARK)
