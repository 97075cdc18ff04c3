"""Part labels on the sheet: every piece once, in its own place, with everything that belongs on it."""

from __future__ import annotations

from typing import Any

import pytest
import segno

from domain.machine.document import set_ups_document
from domain.machine.set_ups import Source
from domain.machine.sheet import set_up_sheet
from domain.parts import Side
from domain.spec.rules import ChangeMinutes, Rules
from domain.takeoff.pieces import pieces
from domain.takeoff.takeoff import Takeoff
from tests.webapp.papers.paper_samples import DEMOS, Word, demo, printed, project, size_of, text_of, words_of
from webapp.drawings.qr import qr_svg
from webapp.papers.kinds import DocumentKind, LabelChoices, LabelSizeError, LabelTooSmall, Paper, label_sheet
from webapp.papers.labels import labels_data

SIZES = [(Paper.A4, (63.0, 42.0)), (Paper.LETTER, (90.0, 45.0)), (Paper.A4, (50.0, 40.0))]
CROWDED: dict[str, Any] = {
    "kind": "carcass",
    "mark": "A",
    "width": 800,
    "height": 2400,
    "depth": 350,
    "thickness": 18,
    "corner": "top_between",
    "shelves": [300, 500, 700, 900, 1100, 1300, 1500, 1700, 1900, 2100],
}


def cells(document: bytes, paper: Paper, width: float, height: float) -> list[str]:
    """The words of every label in its own place on the sheet, in reading order of the labels."""
    sheet = label_sheet(paper, width, height)
    found: dict[tuple[int, int, int], list[Word]] = {}
    for word in words_of(document):
        column, row = int((word.left - sheet.left) // width), int((word.top - sheet.top) // height)
        if 0 <= row < sheet.rows:
            assert 0 <= column < sheet.columns
            right, low = sheet.left + (column + 1) * width, sheet.top + (row + 1) * height
            assert word.right <= right + 0.1, word
            assert word.low <= low + 0.1, word
            found.setdefault((word.page, row, column), []).append(word)
    return [" ".join(word.text for word in found[place]) for place in sorted(found)]


@pytest.mark.parametrize(("paper", "size"), SIZES)
@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_has_its_label_with_its_joints_and_partners(
    name: str, paper: Paper, size: tuple[float, float]
) -> None:
    planned = demo(name)
    document = printed(DocumentKind.LABELS, planned, paper, LabelChoices(*size))
    labels = cells(document, paper, *size)
    wanted = [piece for assembly in planned[1].assemblies for piece in pieces(assembly.expansion)]
    assert len(labels) == len(wanted)
    hands = letters(planned[1])
    for label, piece in zip(labels, wanted, strict=True):
        assert label.startswith(str(piece.name))
        assert piece.part.name in label
        assert (piece.part.material or "") in label
        for side in (Side.LEFT, Side.RIGHT):
            assert (f"{side} {piece.part.name} as one looks at the front" in label) == (piece.stands is side)
        # a piece has no hand of its own: it has one at every joint
        assert "hand" not in label
        for one in piece.joints:
            where = (str(piece.name), one.joint.mark, one.spot.surface.value)
            assert f"{one.joint.mark} {one.number}/{one.total} to {one.partner} {hands[where]}" in label


def letters(takeoff: Takeoff) -> dict[tuple[str, str, str], str]:
    """The hands that the set-up sheet mills a piece with, by piece, joint and side to the machine."""
    sheet = set_up_sheet([Source("1", takeoff, Rules())], ChangeMinutes())
    found: dict[tuple[str, str, str], set[str]] = {}
    for line in set_ups_document(sheet)["setups"]:
        for each in line["pieces"]:
            found.setdefault((each["piece"], each["joint"], each["to_machine"]), set()).add(each["hand"])
    return {place: " and ".join(sorted(hands)) for place, hands in found.items()}


def test_labels_are_on_the_paper_that_was_asked_for() -> None:
    (size,) = size_of(printed(DocumentKind.LABELS, demo("keepsake-box"), Paper.LETTER))
    assert size == pytest.approx((215.9, 279.4), abs=0.01)


def test_a_piece_with_many_joints_still_has_them_all_or_is_refused() -> None:
    planned = project(CROWDED)
    with pytest.raises(LabelTooSmall, match="part A1 needs"):
        printed(DocumentKind.LABELS, planned, labels=LabelChoices(50, 28))
    label = cells(printed(DocumentKind.LABELS, planned, labels=LabelChoices(90, 65)), Paper.A4, 90, 65)[0]
    assert all(f"A-J{number} " in label for number in (1, 2, 3))
    assert label.count("mm from the bottom") == 10


def test_long_marks_and_names_stay_on_their_label() -> None:
    word = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbau"
    frame = {"kind": "mitred_frame", "mark": "ABCDEFGHIJKL", "measure": "outside", "width": 400, "height": 300}
    planned = project(frame | {"stock": {"width": 45, "thickness": 20}, "material": word, "name": word}, name=word)
    labels = cells(printed(DocumentKind.LABELS, planned), Paper.A4, 63, 42)
    assert len(labels) == 4
    assert all(label.replace(" ", "").count(word) == 3 for label in labels)


@pytest.mark.parametrize(("width", "height"), [(49.9, 42), (63, 20), (200, 42), (63, 290), (float("nan"), 42)])
def test_a_label_that_no_sheet_can_carry_is_refused(width: float, height: float) -> None:
    with pytest.raises(LabelSizeError, match="at least 50 × 28 and at most 190 × 277 mm"):
        label_sheet(Paper.A4, width, height)


@pytest.mark.parametrize("paper", Paper)
def test_sheets_hold_as_many_labels_as_fit_and_stand_in_the_middle(paper: Paper) -> None:
    for width in (50.0, 63.0, 95.0, paper.width - 20):
        for height in (28.0, 42.0, 90.0, paper.height - 20):
            sheet = label_sheet(paper, width, height)
            assert sheet.left >= 10 - 1e-9
            assert sheet.top >= 10 - 1e-9
            assert sheet.left * 2 + sheet.columns * width == pytest.approx(paper.width, abs=0.01)
            assert sheet.top * 2 + sheet.rows * height == pytest.approx(paper.height, abs=0.01)
            assert sheet.left < 10 + width / 2
            assert sheet.top < 10 + height / 2


def test_codes_lead_to_the_part_or_name_it() -> None:
    planned = demo("keepsake-box")
    units = planned[0].units
    bare = labels_data(planned[1], "Keepsake box", units, Paper.A4, LabelChoices(), Rules())
    led = labels_data(
        planned[1], "Keepsake box", units, Paper.A4, LabelChoices(address="http://shop.local/parts/"), Rules()
    )
    assert bare["codes"]["A1"] == qr_svg("dovetally:Keepsake box/A1")
    assert led["codes"]["A1"] == qr_svg("http://shop.local/parts/A1")
    # a quiet zone of four modules on every side (ISO/IEC 18004)
    version = segno.make("http://shop.local/parts/A1", micro=False, error="m").symbol_size(border=4)[0]
    assert f'width="{version}"' in led["codes"]["A1"]


def test_the_foot_counts_the_pages() -> None:
    text = text_of(printed(DocumentKind.LABELS, demo("frame-set")))
    assert "Part labels · Botanical frame set · revision 7 · 2026-03-02 · millimetres" in text
    assert "page 1 of 3" in text
    assert "page 3 of 3" in text
