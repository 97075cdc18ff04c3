"""The set-up sheet on paper: what the page shows, with a box to tick beside every count."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from domain.lengths import Units
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet
from domain.machine.work_time import WorkTime, work_time
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from domain.trials.calibration import Corrections
from webapp.drawings.model import Drawing
from webapp.drawings.set_up import sheet_pictures
from webapp.papers.pictures import Json, picture
from webapp.wording.cautions import ABOUT_SOURCES, CAUTIONS, PLAN, SOURCES
from webapp.wording.set_up import HANDS, TIMES, Handed, SetUpBlock, saved_text, sheet_view, times_text
from webapp.wording.words import notes_text


def set_ups_data(project: Project, takeoff: Takeoff, units: Units, corrections: Corrections | None = None) -> Json:
    """What the set-up sheet's template sets; the project's rules are those that it was planned with.

    Scales that are out are set right with ``corrections``.
    """
    rules = project.rules or Rules()
    source = Source(project.name, takeoff, rules)
    ordered = set_up_sheet([source], rules.change_minutes)
    timed = [(source, work_time(source, ordered))]
    return sheet_data(ordered, timed, units, corrections) | {"notes": list(notes_text(takeoff.notes, units))}


def sheet_data(
    ordered: Sheet, timed: Sequence[tuple[Source, WorkTime]], units: Units, corrections: Corrections | None
) -> Json:
    """The same of a sheet that is put in order, of one project or several, each with its time by itself."""
    sources = [source for source, _ in timed]
    sheet = sheet_view(ordered, sources, units, corrections)
    pictures = sheet_pictures(ordered, sources, units, corrections)
    return {
        "set_ups": [_set_up(block, pictures[block.number].values()) for block in sheet.blocks],
        "slots": sum(line.work.passes for line in ordered.lines),
        "minutes": sheet.minutes,
        "certainty": sheet.certainty,
        "saved": saved_text(ordered, [time for _, time in timed]),
        "times": [{"name": source.takeoff.project, "minutes": list(times_text(time))} for source, time in timed],
        "time_names": list(TIMES),
        "hands": HANDS,
        "unmade": list(sheet.unmade),
        "plan": PLAN,
        "cautions": [
            {
                "title": group.title,
                "items": [
                    {"loud": one.loud, "rest": one.rest, "source": str(one.source.number) if one.source else ""}
                    for one in group.cautions
                ],
            }
            for group in CAUTIONS
        ],
        "sources": [{"number": str(one.number), "rule": one.rule, "says": one.says} for one in SOURCES],
        "about_sources": ABOUT_SOURCES,
        "notes": [],
    }


def _set_up(block: SetUpBlock, pictures: Iterable[Drawing]) -> Json:
    return {
        "number": str(block.number),
        "change": block.change,
        "minutes": block.minutes,
        "left": str(block.left),
        "right": str(block.right),
        "readings": [
            {
                "name": row.name,
                "value": f"set {row.set_to}" if row.set_to else row.value,
                "changed": row.changed,
                "said": row.said,
            }
            for row in block.readings
        ],
        "test": block.test.sentence,
        "pieces": [
            {
                "member": row.member,
                "name": row.name,
                "project": row.project,
                "joint": row.joint,
                "place": row.place,
                "at_fence": row.at_fence,
                "down": row.down,
                "left": _handed(row.left),
                "right": _handed(row.right),
            }
            for row in block.pieces
        ],
        "lie": block.lie,
        "notes": list(block.notes),
        "pictures": [picture(drawing) for drawing in pictures],
    }


def _handed(found: Handed) -> Json:
    return {"count": str(found.count or ""), "pieces": found.pieces}
