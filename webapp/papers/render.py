"""The one way in: a kind of document, a project and its takeoff to PDF bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from functools import cache

from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet
from domain.machine.work_time import WorkTime
from domain.problems import Path
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from webapp.papers.assembling import assembling_data
from webapp.papers.costs import CostsOnPaper, costs_data, costs_fields
from webapp.papers.cutting import cut_data, cutting_data
from webapp.papers.kinds import DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.labels import labels_data
from webapp.papers.lists import keys_data, members_data, parts_data
from webapp.papers.movement import movement_data
from webapp.papers.order_plan import PlanOnPaper, plan_data, plan_fields
from webapp.papers.photographs import PhotographOnPaper, photographs_data, photographs_fields
from webapp.papers.pictures import Json
from webapp.papers.quote import quote_of_file, quote_paper, render_quote
from webapp.papers.schedule import schedule_data
from webapp.papers.set_ups import set_ups_data, sheet_data
from webapp.papers.setting_out import setting_out_data
from webapp.papers.stockroom import StockOnPaper, stock_data, stock_fields
from webapp.papers.strips import strips_data
from webapp.papers.timber import timber_data, timber_fields
from webapp.papers.typesetting import DOCUMENTS, Fields, set_document
from webapp.wording.cut_list import CutListWords
from webapp.wording.timber import TimberWords

SHORT = 60
__all__ = [
    "document_data",
    "quote_of_file",
    "quote_paper",
    "render",
    "render_parts",
    "render_quote",
    "templates_mark",
]


def render(
    kind: DocumentKind,
    project: Project,
    takeoff: Takeoff,
    heading: Heading,
    paper: Paper,
    labels: LabelChoices | None = None,
) -> bytes:
    """The document as PDF/A-2b; the same input gives the same bytes.

    The project's rules are those that the takeoff was counted with; without any, the usual ones.
    ``labels`` is the size of part labels and where their QR codes lead. Raises BadInput for a
    letter that cannot be printed, LabelTooSmall, LabelSizeError.
    """
    data = document_data(kind, project, takeoff, heading, paper, labels or LabelChoices())
    return set_document(kind.value, data, heading.stamp, _fields(project, heading))


def render_parts(words: CutListWords, heading: Heading, paper: Paper) -> bytes:
    """The parts list of several projects together as PDF/A-2b, the same bytes each time.

    Raises BadInput for a letter that cannot be printed.
    """
    typed = [
        ((row.mark, "name or material"), f"{group.item} {row.name}")
        for group in words.groups
        for row in group.rows
    ]
    return _sheet(
        DocumentKind.MEMBERS.value, DocumentKind.MEMBERS.heading, parts_data(words), heading, paper, typed
    )


def render_timber(words: TimberWords, waste: str, heading: Heading, paper: Paper) -> bytes:
    """The wood to buy of one project or several as PDF/A-2b, the same bytes each time; ``waste`` in words.

    Raises BadInput for a letter that cannot be printed.
    """
    data = timber_data(words, waste, heading.units)
    return _sheet("timber", "Timber", data, heading, paper, timber_fields(words))


def render_set_ups(
    ordered: Sheet, timed: Sequence[tuple[Source, WorkTime]], heading: Heading, paper: Paper
) -> bytes:
    """The set-up sheet of several projects together as PDF/A-2b, the same bytes each time.

    Raises BadInput for a letter that cannot be printed.
    """
    kind, data = DocumentKind.SET_UPS, sheet_data(ordered, timed, heading.units, heading.corrections)
    typed = [
        ((source.takeoff.project, each.expansion.mark, "names and woods"), f"{part.name} {part.material}")
        for source, _ in timed
        for each in source.takeoff.assemblies
        for part in each.expansion.parts
    ]
    return _sheet(kind.value, kind.heading, data, heading, paper, typed)


def render_cutting(asked: Stocked, cutting: Cutting, heading: Heading, paper: Paper) -> bytes:
    """The cutting plan of several projects together as PDF/A-2b, the same bytes each time.

    Raises BadInput for a letter that cannot be printed.
    """
    kind, data = DocumentKind.CUTTING, cut_data(asked, cutting, heading.units)
    woods = [*asked.request.bars, *asked.request.sheets]
    return _sheet(kind.value, kind.heading, data, heading, paper, [(("wood",), each.item) for each in woods])


def render_costs(words: CostsOnPaper, heading: Heading, paper: Paper) -> bytes:
    """What a project costs as PDF/A-2b. Raises BadInput for a letter that cannot be printed."""
    return _sheet("costs", "What it costs", costs_data(words), heading, paper, costs_fields(words))


def render_order_plan(words: PlanOnPaper, heading: Heading, paper: Paper) -> bytes:
    """What to buy for projects together as PDF/A-2b. Raises BadInput for a letter that cannot be printed."""
    return _sheet("order-plan", "Order plan", plan_data(words), heading, paper, plan_fields(words))


def render_stock(words: StockOnPaper, heading: Heading, paper: Paper) -> bytes:
    """The stockroom's list as PDF/A-2b. Raises BadInput for a letter that cannot be printed."""
    return _sheet("stockroom", "Stockroom", stock_data(words), heading, paper, stock_fields(words))


def render_photographs(photographs: Sequence[PhotographOnPaper], heading: Heading, paper: Paper) -> bytes:
    """A project's photographs as PDF/A-2b, the same bytes each time.

    Raises BadInput for a letter that cannot be printed.
    """
    data, fields = photographs_data(photographs), photographs_fields(photographs)
    return _sheet("photographs", "Photographs", data, heading, paper, fields)


def _sheet(template: str, title: str, data: Json, heading: Heading, paper: Paper, typed: Fields) -> bytes:
    """What is printed of several projects or of the shop; ``typed`` is where its texts were."""
    head = {"paper": paper.typst, "title": title, "heading": _heading(heading)}
    fields = [(("the shop's name",), heading.shop), (("the projects' names",), heading.project), *typed]
    return set_document(template, head | data, heading.stamp, fields)


def _fields(project: Project, heading: Heading) -> Iterator[tuple[Path, str]]:
    """Where the texts of a project's documents were typed."""
    yield ("the shop's name",), heading.shop
    yield ("customer",), heading.customer
    yield ("name",), heading.project
    yield from _typed((), project.model_dump(mode="json", exclude={"name", "customer"}))


def _typed(path: Path, value: object) -> Iterator[tuple[Path, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _typed((*path, name), inner)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _typed((*path, index), inner)


def document_data(
    kind: DocumentKind, project: Project, takeoff: Takeoff, heading: Heading, paper: Paper, labels: LabelChoices
) -> Json:
    """All that the document's template sets, as JSON-ready values; drawings as SVG text."""
    body = _body(kind, project, takeoff, heading, paper, labels)
    return {"paper": paper.typst, "title": kind.heading, "heading": _heading(heading), **body}


def _body(
    kind: DocumentKind, project: Project, takeoff: Takeoff, heading: Heading, paper: Paper, labels: LabelChoices
) -> Json:
    units = heading.units
    match kind:
        case DocumentKind.SCHEDULE:
            return schedule_data(project, takeoff, units)
        case DocumentKind.SET_UPS:
            return set_ups_data(project, takeoff, units, heading.corrections)
        case DocumentKind.SETTING_OUT:
            return setting_out_data(takeoff, units)
        case DocumentKind.ASSEMBLY:
            return assembling_data(project, takeoff, units)
        case DocumentKind.MEMBERS:
            return members_data(project, takeoff, units)
        case DocumentKind.CUTTING:
            return cutting_data(project, takeoff, units)
        case DocumentKind.KEYS:
            return keys_data(takeoff, project.rules or Rules(), units)
        case DocumentKind.LABELS:
            return labels_data(takeoff, heading.project, units, paper, labels, project.rules or Rules())
        case DocumentKind.STRIPS:
            return strips_data(takeoff, units, paper)
        case DocumentKind.MOVEMENT:
            return movement_data(project, takeoff, units)


def _heading(heading: Heading) -> Json:
    project = heading.project
    return {
        "project": project,
        "short": project if len(project) <= SHORT else project[: SHORT - 1] + "…",
        "customer": heading.customer,
        "shop": heading.shop,
        "revision": heading.revision,
        "date": heading.date,
        "units": "millimetres" if heading.units.value == "mm" else "inches",
        "unit": heading.units.value,
    }


@cache
def templates_mark() -> str:
    """The hash of everything that documents are set with: their templates and fonts."""
    digest = hashlib.sha256()
    for path in sorted(path for path in DOCUMENTS.rglob("*") if path.is_file()):
        body = path.read_bytes()
        digest.update(f"{path.relative_to(DOCUMENTS).as_posix()} {len(body)}\n".encode() + body)
    return digest.hexdigest()
