"""How pages are filled, read back from the PDFs with poppler: headings stay with what they head, set-ups whole.

What begins a block is known from what the template was given; how high a block is, from where it stands.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from domain.lengths import Units
from tests.webapp.papers.paper_samples import DEMOS, Planned, demo, printed, project, words_of
from webapp.papers.assembling import assembling_data
from webapp.papers.kinds import DocumentKind, Paper
from webapp.papers.set_ups import set_ups_data
from webapp.papers.setting_out import setting_out_data

TOP, FOOT = 13.0, 17.0
"""The margins, mm."""
HEIGHTS = {Paper.A4: 297.0, Paper.LETTER: 279.4}
TOLERANCE = 9.0
"""What stands between two blocks, and below the last word of a table or drawing, mm."""
CARCASS = {"kind": "carcass", "mark": "A", "width": 900, "height": 1400, "depth": 380, "thickness": 19}
BUSY = CARCASS | {"corner": "top_between", "shelves": [200 + 200 * row for row in range(5)], "partitions": [430]}
KINDS = (DocumentKind.SETTING_OUT, DocumentKind.SET_UPS, DocumentKind.ASSEMBLY)


@dataclass(frozen=True)
class PaperLine:
    """A line of words: where it stands on its page (mm from above), and whether it begins a block or heads one."""

    page: int
    top: float
    low: float
    text: str
    heads: bool


def sample(name: str) -> Planned:
    return project(BUSY) if name == "busy" else demo(name)


def headings(kind: DocumentKind, planned: Planned) -> tuple[str, ...]:
    """The beginnings of lines that head what follows them."""
    found: set[str] = set()
    if kind is DocumentKind.SET_UPS:
        blocks = set_ups_data(*planned, Units.MM)["set_ups"]
        # a long one goes on in a second line, its number between the two
        named = (
            each for block in blocks for each in (f"{block['number']} {block['change']}", block["change"][:24])
        )
        return (*named, "Cautions")
    data: dict[str, Any]
    if kind is DocumentKind.ASSEMBLY:
        data = assembling_data(*planned, Units.MM)
        found = {f"{each['title']} " for one in data["assemblies"] for each in one["steps"]}
        found |= {note for one in data["assemblies"] for note in one["notes"]}
    else:
        data = setting_out_data(planned[1], Units.MM)
        for piece in (piece for one in data["assemblies"] for piece in one["pieces"]):
            found |= {f"{plain(piece['pieces'])} {piece['name']} ", plain(piece["said"])}
            found |= {view["name"].capitalize() for view in piece["views"]}
    return (*(found - {""}), *(f"{one['mark']} · {one['name']}" for one in data["assemblies"]))


def plain(text: str) -> str:
    return " ".join(text.split())


@cache
def lines(kind: DocumentKind, name: str, paper: Paper) -> tuple[PaperLine, ...]:
    """Every line of a document but for its foot."""
    planned = sample(name)
    heads = headings(kind, planned)
    words = [word for word in words_of(printed(kind, planned, paper)) if word.low < HEIGHTS[paper] - FOOT]
    found: list[PaperLine] = []
    for page in range(max(word.page for word in words) + 1):
        here = sorted((word for word in words if word.page == page), key=lambda word: (round(word.low), word.left))
        while here:
            level = [word for word in here if abs(word.low - here[0].low) < 1.0]
            here = [word for word in here if word not in level]
            text = " ".join(word.text for word in sorted(level, key=lambda word: word.left))
            heads_here = text.startswith(heads)
            found.append(PaperLine(page, min(w.top for w in level), max(w.low for w in level), text, heads_here))
    return tuple(found)


def pages(kind: DocumentKind, name: str, paper: Paper) -> list[list[PaperLine]]:
    found = lines(kind, name, paper)
    return [[line for line in found if line.page == page] for page in range(found[-1].page + 1)]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", [*DEMOS, "busy"])
@pytest.mark.parametrize("kind", KINDS)
def test_no_heading_stands_at_a_page_s_foot(kind: DocumentKind, name: str, paper: Paper) -> None:
    headed = False
    for page in pages(kind, name, paper):
        headed |= any(line.heads for line in page)
        assert not page[-1].heads, page[-1]
    assert headed


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", [*DEMOS, "busy"])
def test_what_goes_on_overleaf_says_what_piece_it_is(name: str, paper: Paper) -> None:
    pieces = {
        plain(piece["pieces"])
        for one in setting_out_data(sample(name)[1], Units.MM)["assemblies"]
        for piece in one["pieces"]
    }
    assemblies = {one["mark"] for one in setting_out_data(sample(name)[1], Units.MM)["assemblies"]}
    for page in pages(DocumentKind.SETTING_OUT, name, paper)[1:]:
        assert page[0].text.startswith((*pieces, *(f"{mark} ·" for mark in assemblies))), page[0]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", [*DEMOS, "busy"])
def test_a_set_up_that_fits_a_page_is_on_one(name: str, paper: Paper) -> None:
    found = lines(DocumentKind.SET_UPS, name, paper)
    heads = [index for index, line in enumerate(found) if line.heads]
    assert len(heads) == len(set_ups_data(*sample(name), Units.MM)["set_ups"]) + 1
    for start, end in pairwise(heads):
        here = found[start:end]
        on = [[line for line in here if line.page == page] for page in {line.page for line in here}]
        tall = sum(max(line.low for line in some) - min(line.top for line in some) for some in on)
        assert len(on) == 1 or tall > HEIGHTS[paper] - TOP - FOOT - TOLERANCE, here[0]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", [*DEMOS, "busy"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_left_only_where_the_next_block_does_not_fit(
    kind: DocumentKind, name: str, paper: Paper
) -> None:
    found = pages(kind, name, paper)
    low = HEIGHTS[paper] - FOOT
    for page, after in pairwise(found):
        room = low - page[-1].low
        assert block_height(after) > room - TOLERANCE, (page[-1], after[0])
        assert room < (low - TOP) / 2 or block_height(after) > room


def block_height(page: list[PaperLine]) -> float:
    """How high the first block of a page is, headings and all, mm."""
    starts = [line for line in page if line.heads]
    # headings that follow each other are one with the block
    first = 0
    for index, line in enumerate(page[1:], 1):
        if not line.heads:
            break
        first = index
    later = next((line for line in page[first + 1 :] if line in starts), None)
    return (later.top if later else page[-1].low) - TOP


def test_a_cutter_s_tip_is_not_parted_from_its_unit() -> None:
    for name in DEMOS:
        for page in pages(DocumentKind.SET_UPS, name, Paper.A4):
            assert not any(re.match(r"(mm |in )?tip\b", line.text) for line in page)
