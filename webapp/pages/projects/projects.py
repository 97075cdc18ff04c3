"""A project: its assemblies and totals, its own fields."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from domain.problems import BadInput
from webapp.drawings.assembly import draw_thumbnail
from webapp.drawings.model import Drawing
from webapp.form.showing import choice_texts
from webapp.form.values import new_token, sent_version
from webapp.form.views import GroupView, Offers, view_groups
from webapp.pages.projects.kinds.all_kinds import FORMS
from webapp.pages.projects.project_form import GROUPS, read_project_keys
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import go_to, render
from webapp.store.errors import StaleEdit
from webapp.store.projects import ProjectHead
from webapp.usecases import projects
from webapp.usecases.projects import Bench, HeadTexts, PlannedAssembly
from webapp.wording.bought import glue_words, key_words, plug_words
from webapp.wording.words import notes_text, sizes

router = APIRouter(include_in_schema=False)

UNITS = ((Units.MM.value, "Millimetres"), (Units.INCH.value, "Inches and fractions"))
LABELS = {"name": "Name", "customer": "Customer", "units": "Units", "currency": "Currency", "": "The project"}
_CURRENCY = "must be three letters, such as EUR"


@dataclass(frozen=True, slots=True)
class AssemblyRow:
    """An assembly on its project's page. ``refused`` counts joints that cannot be made."""

    id: int
    mark: str
    name: str
    kind: str
    quantity: int
    sizes: str
    joints: int
    keys: int
    refused: int
    problems: tuple[str, ...]
    notes: tuple[str, ...]
    thumbnail: Drawing | None


@router.get(urls.new_project)
def new(request: Request) -> HTMLResponse:
    """The form of a new project."""
    return _head_form(request, projects.shops_head(request.app.state.store), token=new_token())


@router.post(urls.new_project)
def create(request: Request, sent: Form) -> Response:
    """Create the project and go to it, or show the form again as it was typed."""
    head, token = _head(sent), sent.text("token")
    try:
        project_id = projects.create_project(request.app.state.store, token, head)
    except BadInput as refusal:
        errors = _errors(refusal)
        return _head_form(request, head, token=new_token(), errors=errors, status=422)
    return go_to(request, urls.project(project_id))


@router.get(urls.project)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """One project: assemblies, totals, notes."""
    project = projects.plan(request.app.state.store, project_id)
    units = project.head.units
    return render(
        request,
        "projects/page.html",
        units=units,
        head=project.head,
        assemblies=[_row(each, units) for each in project.assemblies],
        keys=tuple(map(key_words, project.totals.keys)),
        plugs=tuple(map(plug_words, project.totals.plugs)),
        glue=glue_words(project.totals),
        notes=notes_text(project.notes, units) if project.assemblies else (),
        forms=tuple(FORMS.values()),
        token=new_token(),
    )


def _row(planned: PlannedAssembly, units: Units) -> AssemblyRow:
    spec, takeoff = planned.stored.spec, planned.takeoff
    title = FORMS[spec.kind].title
    joints = takeoff.joints if takeoff else ()
    return AssemblyRow(
        id=planned.stored.id,
        mark=spec.mark,
        name=spec.name or title,
        kind=title if spec.name and spec.name.casefold() != title.casefold() else "",
        quantity=spec.quantity,
        sizes=sizes(spec, units),
        joints=sum(joint.joint.quantity for joint in joints),
        keys=sum(joint.joint.quantity * len(slot.keys) for joint in joints for slot in joint.slots),
        refused=sum(joint.joint.quantity for joint in joints if joint.plan is None),
        problems=tuple(problem.text(units) for problem in planned.problems),
        notes=notes_text(takeoff.expansion.notes, units) if takeoff else (),
        thumbnail=draw_thumbnail(takeoff.expansion) if takeoff else None,
    )


@router.get(urls.edit_project)
def edit(request: Request, project_id: RowId) -> HTMLResponse:
    """The form of a project's own fields and the choices of keys it pins."""
    bench = projects.bench(request.app.state.store, project_id)
    keys = choice_texts("keys", bench.means.choices, bench.head.units)
    return _head_form(request, _texts(bench.head), bench=bench, keys=keys, version=bench.head.version)


@router.post(urls.edit_project)
def save(request: Request, project_id: RowId, sent: Form) -> Response:
    """Save the project's own fields, or show the form again as it was typed."""
    store, typed, version = request.app.state.store, _head(sent), sent_version(sent.text("version"))
    bench, keys = projects.bench(store, project_id), sent.values()
    # plain numbers are what the form said they were when it was opened, also where the units change
    reading = read_project_keys(keys, bench.head.units)
    try:
        if reading.spec is None:
            raise BadInput(reading.problems)
        projects.save_head(store, project_id, version, typed, reading.spec.keys)
    except BadInput as refusal:
        errors = {**_errors(refusal), **reading.errors(bench.head.units)}
        return _head_form(request, typed, bench=bench, keys=keys, version=version, errors=errors, status=422)
    except StaleEdit:
        bench = projects.bench(store, project_id)
        saved, version = _texts(bench.head), bench.head.version
        return _head_form(request, typed, bench=bench, keys=keys, version=version, saved=saved, status=409)
    return go_to(request, urls.project(project_id))


@router.get(urls.delete_project)
def ask_delete(request: Request, project_id: RowId) -> HTMLResponse:
    """Ask before the project is deleted."""
    return render(request, "projects/delete.html", head=projects.bench(request.app.state.store, project_id).head)


@router.post(urls.delete_project)
def delete(request: Request, project_id: RowId, sent: Form) -> Response:
    """Delete the project as it was when it was asked for."""
    projects.delete_project(request.app.state.store, project_id, sent_version(sent.text("version")))
    return go_to(request, urls.projects())


def _head(sent: SentForm) -> HeadTexts:
    return HeadTexts(*(sent.text(name) for name in ("name", "customer", "units", "currency")))


def _texts(head: ProjectHead) -> HeadTexts:
    return HeadTexts(head.name, head.customer or "", head.units.value, head.currency or "")


def _errors(refusal: BadInput) -> dict[str, str]:
    found: dict[str, str] = {}
    for problem in refusal.problems:
        name = str(problem.path[0]) if problem.path else ""
        if name == "keys":
            continue  # told at its own field
        name = name if name in LABELS else ""
        found.setdefault(name, _CURRENCY if name == "currency" else problem.text())
    return found


def _head_form(
    request: Request,
    texts: HeadTexts,
    *,
    bench: Bench | None = None,
    keys: dict[str, str] | None = None,
    token: str | None = None,
    version: int | None = None,
    errors: Mapping[str, str] | None = None,
    saved: HeadTexts | None = None,
    status: int = 200,
) -> HTMLResponse:
    """The form: of a new project with a ``token``, of the bench's project with the ``version`` it edits.

    ``keys`` are the texts of the choices it pins, ``saved`` is what somebody else saved meanwhile.
    """
    errors, labels = errors or {}, LABELS
    groups: tuple[GroupView, ...] = ()
    if bench is not None:
        offers = Offers(bench.sections, bench.plug_materials)
        groups, more = view_groups(GROUPS, keys or {}, errors, bench.head.units, offers)
        labels = {**more, **LABELS}
    return render(
        request,
        "projects/edit.html",
        fragment="projects/_edit.html",
        status=status,
        head=bench.head if bench else None,
        texts=texts,
        token=token,
        version=version,
        errors=errors,
        saved=saved,
        labels=labels,
        groups=groups,
        materials=bench.plug_materials if bench else (),
        unit_options=UNITS,
    )
