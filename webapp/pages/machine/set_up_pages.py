"""A long set-up sheet page by page: which set-ups are on a page, and where the others are.

A page holds so many rows of pieces; a set-up with more of them stands on several. A page is asked for by the
number of a set-up, and "3-2" is the second page of set-up 3.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from webapp.pages.projects.assembly_pages import AROUND, PageLink
from webapp.wording.set_up import SetUpBlock

ROWS = 150
"""Rows of pieces on a page."""
SET_UPS = 20
"""Set-ups on a page, each with its drawings."""


@dataclass(frozen=True, slots=True)
class AskedSetUp:
    """The page that is asked for, as it was written; the first where that is nothing."""

    text: str = ""

    def __bool__(self) -> bool:
        return bool(self.text)

    def whole(self, count: int) -> bool:
        """Never known from a project's assemblies alone: one that is asked for a page is kept as such."""
        return False


@dataclass(frozen=True, slots=True)
class _Slice:
    """A set-up's rows from ``start`` to ``end``, of which ``part`` of the set-up's pages this is."""

    block: SetUpBlock
    start: int
    end: int
    part: int

    @property
    def asked(self) -> str:
        return f"{self.block.number}-{self.part}" if self.part > 1 else str(self.block.number)

    @property
    def shown(self) -> SetUpBlock:
        return replace(self.block, pieces=self.block.pieces[self.start : self.end])

    @property
    def told(self) -> str:
        """Which of the set-up's rows are here; "" where they are all."""
        count = len(self.block.pieces)
        return "" if self.end - self.start == count else f"Rows {self.start + 1} to {self.end} of {count}"


@dataclass(frozen=True, slots=True)
class SetUpPages:
    """What is on the page, and where the others are; ``unknown`` is what was asked for and is none."""

    told: str
    label: str
    go_to: str
    links: tuple[PageLink, ...]
    address: str
    unknown: str
    lost: str
    carried: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SetUpsHere:
    """The set-ups on the page, ``rows`` says by a set-up's number which of its rows they have.

    ``pages`` is None where all are here.
    """

    blocks: tuple[SetUpBlock, ...]
    rows: dict[int, str]
    pages: SetUpPages | None


def set_ups_here(
    blocks: Sequence[SetUpBlock],
    asked: AskedSetUp,
    address: Callable[[str | None], str],
    carried: tuple[int, ...] = (),
) -> SetUpsHere:
    """The page that is asked for; ``address`` leads to one, ``carried`` are projects that the form must name."""
    pages = _pages(blocks)
    if len(pages) < 2:
        return SetUpsHere(tuple(blocks), {}, None)
    wanted = re.fullmatch(r"0*(\d{1,6})(?:-0*(\d{1,6}))?", asked.text.strip())
    number, part = (int(wanted[1]), int(wanted[2] or 1)) if wanted else (0, 0)
    found = (
        place
        for place, page in enumerate(pages)
        if any((each.block.number, each.part) == (number, part) for each in page)
    )
    place = next(found, None)
    here = place or 0

    def link(page: int, skipped: bool) -> PageLink:
        first, last = pages[page][0], pages[page][-1]
        words = first.asked if first is last else f"{first.asked} to {last.asked}"
        return PageLink(words, address(first.asked if page else None), page == here, skipped)

    near = [page for page in range(len(pages)) if page in (0, len(pages) - 1) or abs(page - here) <= AROUND]
    links = tuple(link(page, page - before > 1) for before, page in zip((-1, *near), near, strict=False))
    shown = pages[here]
    first, last = shown[0].block.number, shown[-1].block.number
    return SetUpsHere(
        tuple(each.shown for each in shown),
        {each.block.number: each.told for each in shown if each.told},
        SetUpPages(
            told=f"Set-ups {first} to {last} of {len(blocks)}"
            if first != last
            else f"Set-up {first} of {len(blocks)}",
            label="Pages of set-ups",
            go_to="Go to set-up",
            links=links,
            address=address(None),
            unknown=asked.text if asked and place is None else "",
            lost="no set-up has the number",
            carried=carried,
        ),
    )


def _pages(blocks: Sequence[SetUpBlock]) -> list[list[_Slice]]:
    """The set-ups in their order, as many on a page as there is room for."""
    pages: list[list[_Slice]] = []
    room = set_ups = 0
    for block in blocks:
        count = len(block.pieces)
        for part, start in enumerate(range(0, max(count, 1), ROWS), start=1):
            end = min(start + ROWS, count)
            if end - start > room or not set_ups:
                pages.append([])
                room, set_ups = ROWS, SET_UPS
            pages[-1].append(_Slice(block, start, end, part))
            room, set_ups = room - (end - start), set_ups - 1
    return pages
