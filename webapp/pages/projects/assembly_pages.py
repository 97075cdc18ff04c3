"""A large project's assemblies page by page: which of them are on a page, and where the others are.

A page is asked for by an assembly on it, so that an address still leads to what it named when others come or go.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from webapp.usecases.projects import PlannedAssembly, PlannedProject

LISTED = 50
"""Assemblies on a page that has a few lines for each."""
DRAWN = 10
"""Assemblies on a page that draws every joint of each."""
AROUND = 2
"""Pages before and after the present one that are led to besides the first and the last."""

Of = Annotated[str, Query(max_length=40, description="The mark of an assembly on the page.")]
Shown = Annotated[int, Query(ge=0, le=2**53, description="The number of an assembly on the page.")]


@dataclass(frozen=True, slots=True)
class Asked:
    """Which page of ``most`` assemblies is asked for: by an assembly's mark, or its number; else the first."""

    most: int
    mark: str = ""
    number: int = 0

    def __bool__(self) -> bool:
        return bool(self.mark or self.number)

    def whole(self, count: int) -> bool:
        """Whether so many assemblies are on one page."""
        return count <= self.most

    def place(self, assemblies: Sequence[PlannedAssembly]) -> int | None:
        """The place of the assembly that is asked for; None where there is none such."""
        named = self.mark.casefold()
        for place, each in enumerate(assemblies):
            if each.stored.id == self.number or (named and each.stored.spec.mark.casefold() == named):
                return place
        return None


@dataclass(frozen=True, slots=True)
class PageLink:
    """A page by its first assembly and its last; ``skipped`` where pages before it are not led to."""

    words: str
    address: str
    here: bool
    skipped: bool


@dataclass(frozen=True, slots=True)
class AssemblyPages:
    """What is on the present page, ``first`` to ``last`` of ``count``, and where the others are.

    ``address`` takes a mark to go to, with the projects that are ``carried``; ``unknown`` is one that was asked
    for and is no assembly's, which ``lost`` says.
    """

    first: int
    last: int
    count: int
    links: tuple[PageLink, ...]
    address: str
    unknown: str
    label: str = "Pages of assemblies"
    go_to: str = "Go to assembly"
    lost: str = "no assembly has the mark"
    carried: tuple[int, ...] = ()

    @property
    def told(self) -> str:
        """What is here."""
        return f"Assemblies {self.first} to {self.last} of {self.count}"


@dataclass(frozen=True, slots=True)
class OnPage:
    """The assemblies on the page; ``pages`` is None where they are all."""

    assemblies: Sequence[PlannedAssembly]
    pages: AssemblyPages | None


def page_of(project: PlannedProject, asked: Asked, address: Callable[..., str]) -> OnPage:
    """The page that is asked for; ``address`` is that of the project's page, by its number and ``of`` a mark."""
    every, count = project.assemblies, len(project.assemblies)
    if asked.whole(count):
        return OnPage(every, None)
    place, most = asked.place(every), asked.most
    here, pages = (place or 0) // most, -(-count // most)

    def link(page: int, skipped: bool) -> PageLink:
        shown = every[page * most : (page + 1) * most]
        first, last = shown[0].stored.spec.mark, shown[-1].stored.spec.mark
        words = first if first == last else f"{first} to {last}"
        return PageLink(words, address(project.head.id, of=first if page else None), page == here, skipped)

    near = [page for page in range(pages) if page in (0, pages - 1) or abs(page - here) <= AROUND]
    links = tuple(link(page, page - before > 1) for before, page in zip((-1, *near), near, strict=False))
    shown = every[here * most : (here + 1) * most]
    unknown = asked.mark if place is None else ""
    first = here * most + 1
    return OnPage(
        shown,
        AssemblyPages(first, first + len(shown) - 1, count, links, address(project.head.id), unknown),
    )
