"""The printed set-up sheet against the domain's: every reading, every piece, a box to tick beside every count."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from math import ceil
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from domain.lengths import Units
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet
from domain.spec.rules import Rules
from domain.trials.calibration import Calibration, Corrections, KeptCalibration
from tests.webapp.papers.paper_samples import (
    DEMOS,
    POINT,
    Planned,
    Word,
    demo,
    printed,
    project,
    text_of,
    words_of,
)
from webapp.papers.kinds import DocumentKind, Paper
from webapp.papers.set_ups import set_ups_data
from webapp.wording.cautions import CAUTIONS, PLAN, SOURCES
from webapp.wording.reading import setting
from webapp.wording.set_up import HANDS, PieceRow, SetUpBlock, sheet_view

FRAME: dict[str, Any] = {
    "kind": "mitred_frame",
    "mark": "A",
    "measure": "outside",
    "width": 400,
    "height": 300,
    "stock": {"width": 45, "thickness": 20},
}
NARROW = {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}
TICK = 3.2
"""Side of a box to tick, in mm."""


def sheet_of(planned: Planned) -> tuple[Sheet, list[Source]]:
    rules = planned[0].rules or Rules()
    sources = [Source(planned[0].name, planned[1], rules)]
    return set_up_sheet(sources, rules.change_minutes), sources


def blocks_of(planned: Planned) -> tuple[SetUpBlock, ...]:
    sheet, sources = sheet_of(planned)
    return sheet_view(sheet, sources, planned[0].units).blocks


def starts(words: list[Word], blocks: tuple[SetUpBlock, ...]) -> list[Word]:
    """Where each set-up begins: the number in its box, beside the words of the change."""
    found = []
    for block in blocks:
        first = block.change.split()[0]
        heads = [word for word in words if word.text == first]
        numbers = [
            word
            for word in words
            if word.text == str(block.number)
            and any(h.page == word.page and abs(h.top - word.top) < 4 and h.left > word.left for h in heads)
        ]
        found.append(min(numbers, key=lambda word: word.left))
    return found


def block_texts(document: bytes, blocks: tuple[SetUpBlock, ...]) -> list[str]:
    """The words of each set-up, in reading order, from its number to the next."""
    words = words_of(document)
    order = [(word.page, word.top) for word in starts(words, blocks)]
    assert order == sorted(order)
    ends = [*order[1:], next((w.page, w.top) for w in words if w.text == "Cautions")]
    texts = []
    for (page, top), end in zip(order, ends, strict=True):
        inside = [w for w in words if (page, top - 3.5) <= (w.page, w.top) < (end[0], end[1] - 3.5)]
        texts.append(" ".join(words_in_rows(inside)))
    return texts


def words_in_rows(words: list[Word]) -> Iterator[str]:
    """Row by row from the left; words of a row stand within a millimetre of each other's height."""
    row: list[Word] = []
    for word in sorted(words, key=lambda w: (w.page, w.top)):
        if row and (word.page, word.top) > (row[0].page, row[0].top + 1):
            yield from (each.text for each in sorted(row, key=lambda w: w.left))
            row = []
        row.append(word)
    yield from (each.text for each in sorted(row, key=lambda w: w.left))


HEADINGS = ["Piece", "Joint", "Slotted", "At", "Down", "L", "R"]
"""The first word of every column."""


def cells_of(row: PieceRow) -> list[str]:
    """What stands in a row, column by column."""
    hands = [f"{hand.count} {hand.pieces}" if hand.count else "–" for hand in (row.left, row.right)]
    return [f"{row.member} {row.name}", row.joint, row.place, row.at_fence, row.down, *hands]


def columns_of(document: bytes) -> list[list[str]]:
    """Of every set-up's table, each column from top to bottom, whatever line a word came to stand on."""
    words = words_of(document)
    tables: list[list[list[Word]]] = []
    for heading in sorted((w for w in words if w.text == "Slotted"), key=lambda w: (w.page, w.top)):
        page = [word for word in words if word.page == heading.page]
        lefts = [w.left for name in HEADINGS for w in page if w.text == name and abs(w.top - heading.top) < 1]
        assert len(lefts) == len(HEADINGS)
        # the table ends where the words below it begin, at the next set-up, or at the foot
        below = [w.top for w in page if w.top > heading.top + 1 and (w.text in {"picture", "Change", "Cautions"})]
        end = min([*below, max(w.top for w in page)]) - 1
        if heading.top < min(w.top for w in page if w.text == "Slotted") + 1 and not any(
            w.text in {"Set", "Change"} and w.top < heading.top for w in page
        ):
            # the heading of a table that goes on from the page before
            table = tables[-1]
        else:
            table = [[] for _ in HEADINGS]
            tables.append(table)
        for word in page:
            if heading.top + 1 < word.top < end:
                table[sum(left < word.left + 0.5 for left in lefts) - 1].append(word)
    return [[" ".join(w.text for w in sorted(column, key=reading_order)) for column in table] for table in tables]


def reading_order(word: Word) -> tuple[int, float, float]:
    return (word.page, round(word.top, 1), word.left)


def boxes_of(document: bytes) -> Iterator[int]:
    """The page of every square that has the size of a box to tick."""
    reader = PdfReader(BytesIO(document))
    for number, page in enumerate(reader.pages):
        path: list[tuple[float, float]] = []
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator in {b"m", b"l"}:
                path.append((float(operands[0]), float(operands[1])))
            elif operator == b"re":
                width, height = abs(float(operands[2])), abs(float(operands[3]))
                path += [(0.0, 0.0), (width, height)]
            elif operator in {b"S", b"s", b"B", b"f", b"n", b"f*"}:
                if path and operator in {b"S", b"s"}:
                    sizes = [(max(each) - min(each)) * POINT for each in zip(*path, strict=True)]
                    if all(abs(size - TICK) < 0.01 for size in sizes):
                        yield number
                path = []


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", DEMOS)
class TestTheDemos:
    def test_every_set_up_has_every_reading_and_every_piece(self, name: str, paper: Paper) -> None:
        planned = demo(name)
        blocks = blocks_of(planned)
        document = printed(DocumentKind.SET_UPS, planned, paper)
        flowing = text_of(document)
        assert columns_of(document) == [
            [" ".join(cells).replace("\xa0", " ") for cells in zip(*map(cells_of, block.pieces), strict=True)]
            for block in blocks
        ]
        for block, text in zip(blocks, block_texts(document, blocks), strict=True):
            assert block.change in flowing
            assert f"{block.left} left (L) {block.right} right (R) {block.minutes}" in text
            for reading in block.readings[1:]:
                # the pictures stand on the same lines
                assert reading.name in text
                assert reading.value in text
            for part in block.readings[0].value.replace(",", "").split():
                assert part in text

    def test_readings_stand_on_the_pictures_too(self, name: str, paper: Paper) -> None:
        planned = demo(name)
        units = planned[0].units
        sheet, _ = sheet_of(planned)
        blocks = blocks_of(planned)
        texts = block_texts(printed(DocumentKind.SET_UPS, planned, paper), blocks)
        for line, text in zip(sheet.lines, texts, strict=True):
            set_up = line.work.set_up
            for label, mm, fine in (
                ("fence", set_up.fence_reading, False),
                ("projection", set_up.projection, True),
                ("stop", set_up.depth_stop, False),
                ("clamp", set_up.clamp_height, False),
            ):
                figure = setting(mm, units, fine=fine).removesuffix(f" {units.value}")
                sign = "″" if units is Units.INCH else ""
                # once for each hand
                on_pictures = text.replace("Depth stop", "")
                assert on_pictures.count(f"{label} {figure}{sign}") == 2

    def test_every_count_has_its_box(self, name: str, paper: Paper) -> None:
        planned = demo(name)
        blocks = blocks_of(planned)
        counts = sum(
            bool(hand.count) for block in blocks for piece in block.pieces for hand in (piece.left, piece.right)
        )
        # and one for the test piece of each
        assert len(list(boxes_of(printed(DocumentKind.SET_UPS, planned, paper)))) == counts + len(blocks)

    def test_set_ups_share_pages(self, name: str, paper: Paper) -> None:
        planned = demo(name)
        document = printed(DocumentKind.SET_UPS, planned, paper)
        # one that fits a page is never parted, which may take a page more than two to each would
        assert len(PdfReader(BytesIO(document)).pages) <= ceil(len(blocks_of(planned)) / 2) + 3

    def test_a_set_up_keeps_its_first_piece_by_it(self, name: str, paper: Paper) -> None:
        planned = demo(name)
        words = words_of(printed(DocumentKind.SET_UPS, planned, paper))
        blocks = blocks_of(planned)
        for block, start in zip(blocks, starts(words, blocks), strict=True):
            mark = block.pieces[0].member
            assert any(word.text == mark and word.page == start.page and word.top > start.top for word in words)


def test_what_it_comes_to_and_what_hands_are_stand_before_the_first_set_up() -> None:
    text = text_of(printed(DocumentKind.SET_UPS, demo("frame-set")))
    # as the page's, read by hand in test_set_up_pages.py
    assert "6 set-ups for 120 slots, 48.5 min of changing. No order takes less." in text
    assert "setting up 48.5 min, milling 62 min, driving keys 15.5 min, together 126 min (2 h 6 min)." in text
    assert text.count(HANDS) == 1
    assert text.index(HANDS) < text.index("Set all six values")


def test_a_scale_that_is_out_is_set_alike_in_list_and_drawing() -> None:
    planned = project(FRAME)
    checked = Calibration.model_validate({"scale": "fence", "reading": 20, "measured": 20.3, "day": "2026-03-02"})
    corrections = Corrections((KeptCalibration(1, "2026-03-02T08:00:00.000000Z", checked),), "2026-03-03")
    data = set_ups_data(planned[0], planned[1], Units.MM, corrections)
    assert data["set_ups"]
    for block in data["set_ups"]:
        (reading,) = [row["value"] for row in block["readings"] if row["name"] == "Fence reading"]
        figure = reading.removeprefix("set ").removesuffix(" mm")
        assert reading == f"set {figure} mm"
        for picture in block["pictures"]:
            assert f">fence {figure}<" in picture["svg"]


def test_the_cautions_cite_their_sources_and_defer_to_the_manual() -> None:
    text = text_of(printed(DocumentKind.SET_UPS, demo("keepsake-box")))
    assert PLAN in text
    assert "The machine's manual, the rules where you work and licensed practice come first" in text
    for group in CAUTIONS:
        assert all(caution.loud in text for caution in group.cautions)
    for source in SOURCES:
        assert source.rule in text


def test_what_the_machine_cannot_do_stands_at_its_set_up() -> None:
    planned = demo("hall-cabinet")
    blocks = blocks_of(planned)
    texts = block_texts(printed(DocumentKind.SET_UPS, planned), blocks)
    noted = [index for index, block in enumerate(blocks) if block.notes]
    assert noted
    for index in noted:
        assert (
            "B5, mid stile: 130 mm long, less than the 150 mm that is held by hand, and slotted in both ends."
            in texts[index]
        )


def test_joints_that_cannot_be_made_are_named() -> None:
    text = text_of(printed(DocumentKind.SET_UPS, project(FRAME, NARROW)))
    assert "Not on this sheet, for they cannot be made as they stand: B-J1." in text
    assert "Set all six values" in text
    alone = text_of(printed(DocumentKind.SET_UPS, project(NARROW)))
    assert "cannot be made as they stand: B-J1." in alone
    assert "There are no slots to mill." in alone


def test_several_test_joints_are_asked_for() -> None:
    text = text_of(printed(DocumentKind.SET_UPS, project(FRAME, rules={"test_joints": 3})))
    assert "Run the test pieces of this set-up first, 3 left and 3 right" in text


def test_a_stop_set_with_another_cutter_is_read_off_its_own_scale() -> None:
    # section 14's cutter is 14.06; a scale set with 18 reads 16.5 + (18 − 14.06) / 2 = 18.47
    text = text_of(printed(DocumentKind.SET_UPS, project(FRAME, rules={"scale_tip_diameter": 18})))
    assert "stop 18.47" in text
    assert "18.47 mm" in text
