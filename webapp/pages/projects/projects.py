"""A project: its assemblies and totals, its own fields."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from domain.spec.project import Project
from webapp.drawings.assembly import draw_thumbnail
from webapp.drawings.model import Drawing
from webapp.form.carried import sent_version
from webapp.form.common import PROJECT_KEYS
from webapp.form.fields import AssemblyForm, Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, blank, shown
from webapp.form.filled import sent as sent_form
from webapp.form.reading import plug_chosen
from webapp.form.showing import choice_texts
from webapp.form.views import GroupView, Offers, view_groups
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.assembly_pages import LISTED, Asked, AssemblyPages, Of, Shown, page_of
from webapp.pages.projects.notes import noted_of
from webapp.pages.projects.photographs import ShownPhotograph, shown_photographs
from webapp.pages.projects.project_state import state_form
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import go_to, render
from webapp.store.photographs import Photograph
from webapp.store.projects import ProjectHead
from webapp.store.shop import Shop
from webapp.usecases import projects
from webapp.usecases.entering import last_kind
from webapp.usecases.photographs import photographs_of
from webapp.usecases.project_state import days_date
from webapp.usecases.projects import Bench, PlannedAssembly, PlannedProject
from webapp.usecases.shop import the_shop
from webapp.wording.bought import BoughtWords, fastening_words, glue_words, key_words, plug_words
from webapp.wording.job import STAGES, due_words, is_overdue
from webapp.wording.words import notes_text, sizes

router = APIRouter(include_in_schema=False)


HEAD = Group(
    "The project",
    (
        Field("name", "Name", Sort.TEXT, longest=120),
        Field("customer", "Customer", Sort.TEXT, required=False, longest=120),
        Field(
            "units",
            "Shown in",
            Sort.CHOICE,
            options=((Units.MM.value, "Millimetres"), (Units.INCH.value, "Inches and fractions")),
            hint="Either may be typed anywhere.",
        ),
        Field(
            "currency",
            "Currency",
            Sort.CURRENCY,
            required=False,
            longest=3,
            hint="Three letters, such as EUR",
            must="must be three letters, such as EUR",
        ),
    ),
)
FIRST = Group(
    "What is made first",
    (
        Field(
            "kind",
            "What is made first",
            Sort.CHOICE,
            required=False,
            options=(*((form.kind, form.title) for form in FORMS.values()), ("", "Nothing yet")),
            tiles=True,
            must="must be one of these",
        ),
    ),
)
NEW = SimpleForm((HEAD, FIRST))
EDIT = SimpleForm((HEAD, PROJECT_KEYS))


@dataclass(frozen=True, slots=True)
class AssemblyRow:
    """An assembly on its project's page. ``refused`` counts joints that cannot be made, ``weak`` others.

    Weak is what can be made, and whose keys hold less than the shop asks for.
    """

    id: int
    mark: str
    name: str
    kind: str
    quantity: int
    sizes: str
    joints: int
    keys: int
    refused: int
    weak: int
    problems: tuple[str, ...]
    notes: tuple[str, ...]
    thumbnail: Drawing | None
    noted: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ProjectPage:
    """One project: its state, its assemblies, what it needs, the kinds that can be added.

    ``stage`` and ``due`` are its state and its day in words, ``noted`` the project's own note, "" where there is
    none. ``pages`` is where a large project's other assemblies are; ``ends`` are the first's number and the
    last's.
    """

    head: ProjectHead
    state: Filled
    stage: str
    due: str
    overdue: bool
    noted: str
    no_sections: bool
    assemblies: Sequence[AssemblyRow]
    pages: AssemblyPages | None
    ends: tuple[int, ...]
    keys: Sequence[BoughtWords]
    plugs: Sequence[BoughtWords]
    fastenings: Sequence[BoughtWords]
    glue: str
    notes: Sequence[str]
    forms: Sequence[AssemblyForm]
    photographs: Sequence[ShownPhotograph]


@dataclass(frozen=True, slots=True)
class EditPage:
    """The form; ``head`` is None for a new project, which asks for what is made ``first``.

    ``groups`` are the choices of keys that it pins.
    """

    head: ProjectHead | None
    form: Filled
    groups: Sequence[GroupView]
    materials: Sequence[str]
    own: Group = HEAD
    first: Group = FIRST


@dataclass(frozen=True, slots=True)
class DeletePage:
    """The question before a project is deleted."""

    head: ProjectHead


@router.get(urls.new_project)
def new(request: Request) -> HTMLResponse:
    """The form of a new project."""
    store = request.app.state.store
    return _form(request, _new_head(the_shop(store), last_kind(store)))


@router.post(urls.new_project)
def create(request: Request, sent: OnceForm) -> Response:
    """Create the project and go to it, or show the form again as it was typed."""
    store = request.app.state.store
    typed = sent_form(NEW, Plain(), sent)
    return saved(
        request,
        typed,
        lambda: project_made(
            projects.create_project(store, sent.sending, _read_head(typed)), typed.texts.get("kind", "")
        ),
        lambda form, status: _form(request, form, status=status),
    )


@router.get(urls.project)
def show(request: Request, project_id: RowId, of: Of = "", shown: Shown = 0) -> HTMLResponse:
    """One project: its state, assemblies, totals, notes; a large one in pages."""
    store, asked = request.app.state.store, Asked(LISTED, of, shown)
    day, photographs = days_date(store), photographs_of(store, project_id)
    return kept_page(
        request,
        project_id,
        lambda project: _show(request, project, asked, day, photographs),
        also=(day, photographs),
        asked=asked,
    )


def _show(
    request: Request, project: PlannedProject, asked: Asked, day: date, photographs: tuple[Photograph, ...]
) -> HTMLResponse:
    head, notes, every = project.head, project.bench.notes, project.assemblies
    units, page = head.units, page_of(project, asked, urls.project)
    return render(
        request,
        "projects/page.html",
        ProjectPage(
            head=head,
            state=state_form(head),
            stage=STAGES[head.stage],
            due=due_words(head.due, head.stage, day),
            overdue=is_overdue(head.due, head.stage, day),
            noted=project.bench.note or "",
            no_sections=not project.bench.sections,
            assemblies=[_row(each, units, project.rules.hold_target, notes) for each in page.assemblies],
            pages=page.pages,
            ends=(every[0].stored.id, every[-1].stored.id) if every else (),
            keys=tuple(map(key_words, project.totals.keys)),
            plugs=tuple(map(plug_words, project.totals.plugs)),
            fastenings=tuple(map(fastening_words, project.totals.fastenings)),
            glue=glue_words(project.totals),
            notes=notes_text(project.notes, units) if project.assemblies else (),
            forms=tuple(FORMS.values()),
            photographs=shown_photographs(project, photographs),
        ),
        units=units,
    )


def _row(planned: PlannedAssembly, units: Units, hold_target: float, noted: Mapping[str, str]) -> AssemblyRow:
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
        weak=sum(joint.joint.quantity for joint in joints if joint.is_weak(hold_target)),
        problems=tuple(problem.text(units) for problem in planned.problems),
        notes=notes_text(takeoff.expansion.notes, units) if takeoff else (),
        thumbnail=draw_thumbnail(takeoff.expansion) if takeoff else None,
        noted=noted_of(spec.mark, noted),
    )


@router.get(urls.edit_project)
def edit(request: Request, project_id: RowId) -> HTMLResponse:
    """The form of a project's own fields and the choices of keys it pins."""
    bench = projects.bench(request.app.state.store, project_id)
    return _form(request, _shown_head(bench), bench)


@router.post(urls.edit_project)
def save(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Save the project's own fields, or show the form again as it was typed."""
    store = request.app.state.store
    bench = projects.bench(store, project_id)
    # plain numbers are what the form said they were when it was opened, also where the units change
    typed = sent_form(EDIT, Plain(bench.head.units), sent, edits=True)

    def act() -> str:
        projects.save_head(store, sent.sending, project_id, typed.version or 0, _read_head(typed))
        return urls.project(project_id)

    return saved(
        request,
        typed,
        act,
        lambda form, status: _form(request, form, bench, status=status),
        stored=lambda: _shown_head(projects.bench(store, project_id)).texts,
    )


@router.get(urls.delete_project)
def ask_delete(request: Request, project_id: RowId) -> HTMLResponse:
    """Ask before the project is deleted."""
    head = projects.bench(request.app.state.store, project_id).head
    return render(request, "projects/delete.html", DeletePage(head))


@router.post(urls.delete_project)
def delete(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Delete the project as it was when it was asked for."""
    version = sent_version(sent.text("version"))
    projects.delete_project(request.app.state.store, sent.sending, project_id, version)
    return go_to(request, urls.projects())


def project_made(project_id: int, kind: str) -> str:
    """Where a new project leads: to the form of what is made first, to the project where nothing is yet."""
    return urls.new_assembly(project_id, kind) if kind in FORMS else urls.project(project_id)


def _new_head(shop: Shop, kind: str) -> Filled:
    """The form of a new project, in the shop's units and currency, for the kind that was entered last."""
    return blank(NEW, Plain(shop.units), units=shop.units.value, currency=shop.currency, kind=kind)


def _shown_head(bench: Bench) -> Filled:
    """The form of a project that is there."""
    head = bench.head
    filled = shown(EDIT, Plain(head.units), head, head.version)
    return replace(filled, texts={**filled.texts, **choice_texts("keys", bench.means.choices, head.units)})


def _read_head(filled: Filled) -> Project:
    """The project without its assemblies. Raises Unusable."""
    values = filled.values()
    head = {name: value for name, value in values.data.items() if name != "kind"}
    return values.made(Project, {**head, "keys": plug_chosen(head.get("keys", {}))})


def _form(request: Request, form: Filled, bench: Bench | None = None, *, status: int = 200) -> HTMLResponse:
    """The form: of a new project, or of the bench's."""
    groups: tuple[GroupView, ...] = ()
    offers = Offers(bench.sections, bench.plugs) if bench is not None else Offers((), ())
    if bench is not None:
        groups, _ = view_groups((PROJECT_KEYS,), form.texts, form.errors, form.plain.units, offers)
    return render(
        request,
        "projects/edit.html",
        EditPage(bench.head if bench else None, form, groups, offers.materials),
        fragment="projects/_edit.html",
        status=status,
    )
