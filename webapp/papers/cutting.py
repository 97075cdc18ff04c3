"""The cutting plan on paper: every bar and sheet drawn, its cuts in order, labels for the offcuts to keep."""

from __future__ import annotations

from domain.cut_list.of_file import asked_of_project
from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting, plan_cutting
from domain.cutting.request import BarItem, SheetItem
from domain.lengths import Units
from domain.spec.project import Project
from domain.takeoff.takeoff import Takeoff
from webapp.drawings.cutting import draw_bar, draw_sheet
from webapp.drawings.model import Drawing
from webapp.papers.pictures import Json, picture
from webapp.wording.cutting_plan import (
    ABOUT,
    ABOUT_SHEETS,
    HEADINGS,
    BarWords,
    ItemWords,
    SheetWords,
    cutting_words,
    offcut_labels,
)
from webapp.wording.saw_cautions import SAW


def cutting_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the cutting plan's template sets: the project's parts cut from the stock that it names."""
    asked = asked_of_project(project, takeoff)
    return cut_data(asked, plan_cutting(asked.request), units)


def cut_data(asked: Stocked, cutting: Cutting, units: Units) -> Json:
    """The same of a plan that is made, of one project or several."""
    words = cutting_words(asked, cutting, units)
    items: tuple[BarItem | SheetItem, ...] = (*asked.request.bars, *asked.request.sheets)
    return {
        "care": " ".join(SAW),
        "about": [ABOUT, *([ABOUT_SHEETS] if asked.request.sheets else [])],
        "headings": list(HEADINGS),
        "total": words.total,
        "items": [_item(item, said, units) for item, said in zip(items, words.items, strict=True)],
        "labels": [[wood, size] for wood, size in offcut_labels(words.items, units)],
    }


def _item(item: BarItem | SheetItem, said: ItemWords, units: Units) -> Json:
    width = item.nest_width if isinstance(item, BarItem) else None
    return {
        "item": said.item,
        "says": said.says,
        "facts": said.facts,
        "missing": [*said.remarks, *said.missing],
        "bars": [_bar(row, draw_bar(f"{said.item}: {row.title}", row.laid, width, units)) for row in said.bars],
        "sheets": [
            _sheet(row, draw_sheet(f"{said.item}: {row.title}", row.sawn, row.size, units)) for row in said.sheets
        ],
    }


def _bar(row: BarWords, drawing: Drawing) -> Json:
    return {
        "title": row.title,
        "drawing": picture(drawing),
        "pieces": row.pieces,
        "lengths": row.lengths,
        "left": row.left,
    }


def _sheet(row: SheetWords, drawing: Drawing) -> Json:
    return {
        "title": row.title,
        "drawing": picture(drawing),
        "pieces": row.pieces,
        "left": row.left,
        "trim": row.trim,
        "cuts": [cut.says for cut in row.cuts],
    }
