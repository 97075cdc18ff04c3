"""The projects that somebody looks for: searched, in one state or all, sorted, a page at a time."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from domain.spec.job import Stage
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.project_list import ListedProject, listed_projects
from webapp.store.projects import ProjectHead

PAGE = 50
"""Projects on one page of the list."""
LONGEST_SEARCH = 200


class Sorting(StrEnum):
    """What the list goes by. The value is the address's word."""

    CHANGED = "changed"
    DUE = "due"
    STATE = "state"
    NAME = "name"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for: words that must all be found, one state or None, those put away or the others."""

    words: str = ""
    stage: Stage | None = None
    sorting: Sorting = Sorting.CHANGED
    away: bool = False
    page: int = 1


@dataclass(frozen=True, slots=True)
class ProjectList:
    """A page of what was found. ``found`` counts it over all pages, by state where no state is chosen.

    ``at_hand`` and ``away`` count all projects that are in sight and that are put away.
    """

    heads: tuple[ProjectHead, ...]
    found: int
    by_stage: Mapping[Stage, int]
    page: int
    pages: int
    at_hand: int
    away: int
    today: date


def project_list(store: Store, wanted: Wanted) -> ProjectList:
    """What is found, on the page that is wanted, or on the last one where there are not so many."""
    with store.reading() as session:
        everything, day = listed_projects(session), today(session)
    among = [each for each in everything if (each.head.put_away is not None) == wanted.away]
    words = [word.casefold() for word in wanted.words.split()]
    hits = [each for each in among if all(_has(each, word) for word in words)]
    by_stage = Counter(each.head.stage for each in hits)
    heads = [each.head for each in hits if wanted.stage in (None, each.head.stage)]
    heads.sort(key=_KEYS[wanted.sorting])
    pages = max(1, -(-len(heads) // PAGE))
    page = min(max(1, wanted.page), pages)
    away = sum(each.head.put_away is not None for each in everything)
    return ProjectList(
        heads=tuple(heads[(page - 1) * PAGE : page * PAGE]),
        found=len(heads),
        by_stage={stage: by_stage[stage] for stage in Stage if by_stage[stage]},
        page=page,
        pages=pages,
        at_hand=len(everything) - away,
        away=away,
        today=day,
    )


def _has(project: ListedProject, word: str) -> bool:
    """Whether the word, folded, stands in its name, its customer or a note, or is a mark or its number."""
    head = project.head
    texts = (head.name, head.customer or "", *project.notes)
    named = word in (mark.casefold() for mark in project.marks) or word in (str(head.id), f"#{head.id}")
    return named or any(word in text.casefold() for text in texts)


_FIGURES = re.compile(r"(\d+)")
_ORDER: Sequence[Stage] = (Stage.GOING_AHEAD, Stage.PLANNED, Stage.ASKED, Stage.BUILT, Stage.DELIVERED)


def _as_read(text: str) -> list[Any]:
    """A text as people put it in order: "Chest 9" before "Chest 10", a small letter with its large one."""
    parts = _FIGURES.split(text.casefold())
    return [(int(part), "") if odd % 2 else (-1, part) for odd, part in enumerate(parts)]


_KEYS: Mapping[Sorting, Callable[[ProjectHead], Any]] = {
    Sorting.CHANGED: lambda head: (-head.updated.timestamp(), -head.id),
    Sorting.DUE: lambda head: (head.stage.is_done, head.due is None, head.due or date.min, _as_read(head.name)),
    Sorting.STATE: lambda head: (_ORDER.index(head.stage), head.due is None, head.due or date.min, -head.id),
    Sorting.NAME: lambda head: (_as_read(head.name), -head.id),
    Sorting.CUSTOMER: lambda head: (head.customer is None, _as_read(head.customer or ""), _as_read(head.name)),
}
