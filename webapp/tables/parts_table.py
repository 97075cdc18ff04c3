"""The parts list as a table: a row for every part, by wood, of one project or several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from domain.cut_list.listing import CutList
from domain.cut_list.part import CutPart
from domain.lengths import Mm, Units
from webapp.tables.table import Cell, Column, Kind, Table, length, lengths, texts
from webapp.usecases.parts_list import parts_list
from webapp.usecases.projects import PlannedAssembly, PlannedProject
from webapp.wording.cut_list import CUT, CutRow, cut_list_words
from webapp.wording.parts import saw

HEADING = "Parts list"


@dataclass(frozen=True, slots=True)
class _Row:
    """A part with its words, and the item it is cut from."""

    item: str
    part: CutPart
    words: CutRow


def parts_table(projects: Sequence[PlannedProject]) -> Table:
    """Every part of these projects, in the units of the first; an assembly whose sizes clash says so last."""
    units = projects[0].head.units
    listed = parts_list(projects)
    columns = _columns(units, several=len(projects) > 1)
    rows = [_cells(row, listed, units) for row in _rows(listed, units)]
    for words in cut_list_words(listed, units).lost:
        rows.append(_said(columns, {"Part": words.mark, "Notes": f"No part has this mark now. {words.text}"}))
    for project in projects:
        rows += [
            _said(columns, {"Project": project.head.name, **_clash(each, units)})
            for each in project.assemblies
            if each.takeoff is None
        ]
    return Table(HEADING, units, columns, tuple(rows))


def _columns(units: Units, *, several: bool) -> tuple[Column, ...]:
    return (
        *texts(CUT, *(("Project",) if several else ()), "Assembly", "Assembly name", "Part", "Name", "What"),
        Column("How many", Kind.COUNT),
        *texts("Cut from"),
        *lengths(units, "Rough length", "Rough width", "Rough thickness"),
        *lengths(units, "Length", "Width", "Thickness", "Room"),
        Column("Saw, end 1", Kind.NUMBER, "°"),
        Column("Saw, end 2", Kind.NUMBER, "°"),
        *lengths(units, "Short side length"),
        *texts("Grain", "Material", "Species", "Joints", "Changed", "Notes"),
    )


def _rows(listed: CutList, units: Units) -> list[_Row]:
    worded = cut_list_words(listed, units).groups
    return [
        _Row(group.item, part, words)
        for group, said in zip(listed.groups, worded, strict=True)
        for part, words in zip(group.parts, said.rows, strict=True)
    ]


def _cells(row: _Row, listed: CutList, units: Units) -> tuple[Cell, ...]:
    part, words = row.part, row.words
    several = len(listed.projects) > 1
    saws: tuple[Cell, ...] = (None, None) if part.is_panel else tuple(map(saw, part.ends))
    sizes = [(each.length, each.width, each.thickness) for each in (part.rough, part.finished)]
    warning = (words.warning,) if words.warning else ()
    note = (words.note,) if words.note else ()
    return (
        None,
        *((listed.projects[part.source],) if several else ()),
        part.assembly,
        part.assembly_name,
        words.mark,
        part.name,
        "panel" if part.is_panel else "member",
        part.quantity,
        row.item,
        *(_length(each, units) for three in sizes for each in three),
        _length(part.room, units),
        *saws,
        _length(part.short_length, units),
        words.grain,
        part.material,
        part.species,
        words.joints or None,
        "; ".join(words.changes) or None,
        " ".join((*words.said, *warning, *note)) or None,
    )


def _length(mm: Mm | None, units: Units) -> float | None:
    return None if mm is None else length(mm, units)


def _clash(planned: PlannedAssembly, units: Units) -> dict[str, Cell]:
    problems = "; ".join(problem.text(units) for problem in planned.problems)
    spec = planned.stored.spec
    return {"Assembly": spec.mark, "Assembly name": spec.name, "Notes": f"Its sizes clash: {problems}."}


def _said(columns: Sequence[Column], said: dict[str, Cell]) -> tuple[Cell, ...]:
    return tuple(said.get(column.heading) for column in columns)
