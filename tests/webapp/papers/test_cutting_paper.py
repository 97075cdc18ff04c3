"""The cutting plan on paper: what the drawing shows, what is said of it, and labels for offcuts."""

from __future__ import annotations

import re
from typing import Any

from domain.cut_list.of_file import asked_of_project
from domain.cutting.document import plan_cutting
from domain.lengths import Units
from tests.webapp.papers.paper_samples import Planned, printed, project, text_of
from webapp.drawings.cutting import draw_bar, draw_sheet
from webapp.drawings.model import Polygon, Role
from webapp.papers.kinds import DocumentKind
from webapp.wording.cutting_plan import CuttingWords, cutting_words, offcut_labels

FRAME: dict[str, Any] = {
    "kind": "mitred_frame", "mark": "A", "quantity": 4, "material": "ash", "measure": "outside",
    "width": 380, "height": 290, "stock": {"width": 44, "thickness": 19},
}  # fmt: skip
SHELVES: dict[str, Any] = {
    "kind": "carcass", "mark": "C", "material": "birch plywood", "width": 640, "height": 760, "depth": 310,
    "thickness": 18, "corner": "top_over", "shelves": [360],
}  # fmt: skip
LENGTH: dict[str, Any] = {"length": 2350, "price": 1140}
STOCK: list[dict[str, Any]] = [
    {
        "item": "ash 44 × 19",
        "nested": True,
        "trim": 7,
        "least_offcut": 180,
        "stock": [{"length": 2350, "price": 1140}],
    },
    {"item": "birch plywood 18", "trim": 12, "least_offcut": 200, "stock": [{"length": 2150, "width": 1080}]},
]


def planned(**more: Any) -> Planned:
    return project(FRAME, SHELVES, name="Landing shelves", stock=STOCK, **more)


def words(made: Planned, units: Units = Units.MM) -> CuttingWords:
    asked = asked_of_project(*made)
    return cutting_words(asked, plan_cutting(asked.request), units)


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_paper_says_what_the_plan_says_in_both_units() -> None:
    for units in Units:
        made = planned(units=units.value)
        paper = plain(text_of(printed(DocumentKind.CUTTING, made)))
        for item in words(made, units).items:
            assert item.item in paper
            assert plain(item.says) in paper
            assert plain(item.facts) in paper
            for bar in item.bars:
                assert all(plain(said) in paper for said in (bar.title, bar.pieces, bar.lengths, bar.left))
            for sheet in item.sheets:
                assert all(plain(said) in paper for said in (sheet.title, sheet.pieces, sheet.left, sheet.trim))
                assert all(f"{cut.number} {plain(cut.says)}" in paper for cut in sheet.cuts)
        labels = [*offcut_labels(words(made, units).items, units)]
        assert labels
        assert all(plain(f"{wood} {size}") in paper for wood, size in labels)


def test_every_cut_of_a_sheet_is_told_by_hand() -> None:
    (sheet,) = words(planned()).items[1].sheets
    # 2126 × 1056 between the trims, kerf 3.2
    assert sheet.trim == "Trim all four edges by 12 mm."
    assert len(sheet.cuts) >= 5
    for cut in sheet.cuts:
        assert re.fullmatch(r"(Rip|Crosscut) (the sheet|part [a-z]+) at [\d.]+ mm: .+\.", cut.says)
    told = " ".join(cut.says for cut in sheet.cuts)
    assert {mark: len(re.findall(rf"\b{mark}\b", told)) for mark in ("C1", "C2", "C3", "C4")} == {
        "C1": 2, "C2": 1, "C3": 1, "C4": 1,
    }  # fmt: skip


def areas(drawing: Any) -> list[float]:
    """Areas of the pieces drawn, mm², by the shoelace formula."""
    found = []
    for shape in drawing.shapes:
        if isinstance(shape, Polygon) and shape.role is Role.WOOD:
            corners = zip(shape.points, (*shape.points[1:], shape.points[0]), strict=True)
            found.append(abs(sum(a * d - b * c for (a, b), (c, d) in corners)) / 2)
    return sorted(found)


def test_bars_and_sheets_are_drawn_to_scale() -> None:
    made = planned()
    request = asked_of_project(*made).request
    ash, plywood = words(made).items
    for bar in ash.bars:
        drawing = draw_bar("bar", bar.laid, request.bars[0].nest_width, Units.MM)
        expected = sorted((piece.end.mm - piece.start.mm - piece.taper.mm) * 44 for piece in bar.laid.pieces)
        assert [round(area, 3) for area in areas(drawing)] == [round(area, 3) for area in expected]
    for sheet in plywood.sheets:
        drawing = draw_sheet("sheet", sheet.sawn, sheet.size, Units.MM)
        expected = sorted(piece.length.mm * piece.width.mm for _, piece in sheet.sawn.pieces)
        assert [round(area, 3) for area in areas(drawing)] == [round(area, 3) for area in expected]
        numbers = {text.words for text in drawing.texts}
        assert {str(cut.number) for cut in sheet.cuts} <= numbers


def test_a_wood_without_stock_is_said_on_paper() -> None:
    made = project(FRAME, name="No stock")
    paper = plain(text_of(printed(DocumentKind.CUTTING, made)))
    assert "There is no stock of ash 44 × 19: give the lengths or sheets that it is cut from; 16 wait." in paper
