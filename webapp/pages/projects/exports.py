"""Plain files of a project: its tables as spreadsheets and CSV, a joint's mating face at full size."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

from fastapi import APIRouter, Request
from fastapi.responses import Response

from webapp.drawings.full_size import draw_full_size
from webapp.drawings.svg import svg_file
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.tables.csv import write_csv
from webapp.tables.project_tables import TableName, table
from webapp.tables.table import Table
from webapp.usecases.advised import with_advice_soon
from webapp.usecases.projects import plan_soon

router = APIRouter(include_in_schema=False)

SANDBOX = "sandbox; default-src 'none'"
"""For a picture that may be opened by itself: it runs nothing, loads nothing, and is nobody's origin."""


class TableFile(StrEnum):
    """The kinds of file that a table is written as; the value is their ending."""

    XLSX = "xlsx"
    CSV = "csv"


MEDIA_TYPES = {
    TableFile.XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    TableFile.CSV: "text/csv; charset=utf-8; header=present",
}


@router.get(urls.table)
def show_table(request: Request, project_id: RowId, name: str, ending: str) -> Response:
    """A table of the project as it stands."""
    if name not in list(TableName) or ending not in list(TableFile):
        raise NotFound("table", f"{name}.{ending}")
    kind = TableFile(ending)
    store: Store = request.app.state.store
    project = plan_soon(store, project_id)
    project = with_advice_soon(project) if name == TableName.SCHEDULE else project
    body = written(table(TableName(name), project), kind)
    return download(body, MEDIA_TYPES[kind], f"project-{project_id}-{name}.{kind}")


def table_answer(name: str, ending: str, table: Callable[[], Table]) -> Response:
    """The table as a file, a spreadsheet or CSV, called "``name``.xlsx". Raises NotFound for another ending."""
    if ending not in list(TableFile):
        raise NotFound("table", f"{name}.{ending}")
    kind = TableFile(ending)
    return download(written(table(), kind), MEDIA_TYPES[kind], f"{name}.{kind}")


def written(table: Table, kind: TableFile) -> bytes:
    """The table as a file of that kind."""
    if kind is TableFile.CSV:
        return write_csv(table)
    # loaded when first asked for: it takes as long as several pages
    from webapp.tables.xlsx import write_xlsx

    return write_xlsx(table)


@router.get(urls.face)
def show_face(request: Request, project_id: RowId, joint: str) -> Response:
    """A joint's mating face at full size, as SVG in millimetres."""
    store: Store = request.app.state.store
    project = plan_soon(store, project_id)
    for assembly in project.assemblies:
        for planned in assembly.takeoff.joints if assembly.takeoff else ():
            if planned.joint.mark == joint:
                drawing = draw_full_size(planned, project.head.units)
                body = svg_file(drawing)
                name = f"project-{project_id}-{joint}.svg"
                answer = download(body.encode(), "image/svg+xml", name)
                answer.headers["Content-Security-Policy"] = SANDBOX
                return answer
    raise NotFound("joint", joint)


def download(body: bytes, media_type: str, file_name: str) -> Response:
    """A file under a name of ours: numbers, our own words and a mark of plain letters, as RFC 6266 likes it."""
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return Response(body, media_type=media_type, headers=headers)
