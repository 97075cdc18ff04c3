"""One assembly: its form and, beside it, what it comes to. Adding, editing, copying, moving, deleting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from domain.advice.trying import carried_out, taken_back
from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.proposals import Change
from webapp.drawings.model import Drawing
from webapp.form.carried import new_token, sent_version
from webapp.form.changing import changed
from webapp.form.differences import Difference, differences
from webapp.form.fields import AssemblyForm, Plain
from webapp.form.filled import THE_FORM, Unusable
from webapp.form.reading import read_assembly
from webapp.form.several import SIZES, sizes_field
from webapp.form.showing import spec_texts, starting_texts
from webapp.form.views import FieldView, FormView, Offers, view_field, view_form
from webapp.pages.projects.as_in import AS_IN, FILL_IN, as_in_field, filled_as_in
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.attempts import Attempt, attempt, attempt_new
from webapp.pages.projects.preview import LIVE, Preview, kind_called, pictures_of, preview_of, spec_fields
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.rendering import go_to, render
from webapp.store import Store
from webapp.store.assemblies import StoredAssembly
from webapp.store.errors import MarkTaken
from webapp.store.projects import ProjectHead
from webapp.store.rows import Step
from webapp.usecases import projects
from webapp.usecases.entering import add_assemblies, shops_woods, start_of
from webapp.usecases.json_text import sent_changes
from webapp.usecases.kept_patterns import assembly_begun
from webapp.usecases.projects import Bench
from webapp.usecases.takeoffs import assembly_takeoff
from webapp.wording.joint import changes_text

router = APIRouter(include_in_schema=False)

Pattern = Annotated[int | None, Query(ge=1, le=2**31 - 1)]
"""The number of a pattern of an assembly."""


@dataclass(frozen=True, slots=True)
class Editor:
    """A form that is open: for a new assembly (``stored`` None) or an old one.

    ``errors`` stand at the fields and in the summary above them; ``theirs`` is what somebody else changed
    meanwhile, None where nobody did.
    """

    bench: Bench
    form: AssemblyForm
    texts: dict[str, str]
    stored: StoredAssembly | None
    carried: str
    """The token of a new assembly's form, or the version that an old one's edit carries."""
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None

    @property
    def units(self) -> Units:
        """Units of plain numbers."""
        return self.bench.head.units

    @property
    def action(self) -> str:
        """Where the form is sent."""
        if self.stored is None:
            return urls.new_assembly(self.bench.head.id, self.form.kind)
        return urls.assembly(self.bench.head.id, self.stored.id)

    @property
    def previewed(self) -> str:
        """Where it is sent while one types."""
        if self.stored is None:
            return urls.new_assembly_preview(self.bench.head.id, self.form.kind)
        return urls.assembly_preview(self.bench.head.id, self.stored.id)

    @property
    def pictured(self) -> str:
        """Where it is sent for its pictorials while one types."""
        if self.stored is None:
            return urls.new_assembly_pictorials(self.bench.head.id, self.form.kind)
        return urls.assembly_pictorials(self.bench.head.id, self.stored.id)

    def view(self, woods: tuple[str, ...] = ()) -> FormView:
        """The form to show, where the stockroom has these woods."""
        offers = Offers(self.bench.sections, self.bench.plugs, woods)
        in_lines = self.form.sized if self.stored is None else ()
        shown = view_form(self.form, self.texts, self.errors, self.units, offers, in_lines)
        return replace(shown, labels={SIZES: "Sizes", **shown.labels})

    def sizes(self) -> FieldView | None:
        """The field for lines of sizes; None where there are none to list."""
        field = sizes_field(self.form, self.texts) if self.stored is None else None
        if field is None:
            return None
        return view_field(field, self.texts.get(SIZES, ""), self.errors, Plain(self.units))

    def as_in(self, store: Store) -> FieldView | None:
        """The choice of what a new form is filled from; None where there is nothing."""
        field = as_in_field(store, self.form, self.units) if self.stored is None else None
        return None if field is None else view_field(field, self.texts.get(AS_IN, ""), {}, Plain(self.units))

    def tried(self, store: Store) -> Attempt:
        """What the form comes to."""
        if self.stored is None:
            return attempt_new(store, self.form, self.texts, self.bench)
        return attempt(self.form, self.texts, self.bench)

    def refused(self, errors: Mapping[str, str]) -> Editor:
        """The same with a sentence at each of these fields; a token that is lost is made anew."""
        lost = self.stored is None and THE_FORM in errors
        return replace(self, errors=errors, carried=new_token() if lost else self.carried)

    def overtaken(self, version: int, stored: Mapping[str, str]) -> Editor:
        """The same beside the texts of what is stored now."""
        sides = (self.texts, stored)
        labels = replace(self, texts={**self.texts, **stored}).view().labels
        read = {name for side in sides for name in read_assembly(self.form, side, self.units).names.values()}
        mine, theirs = (
            {label: side.get(name, "") for name, label in labels.items() if name in read} for side in sides
        )
        return replace(self, carried=str(version), theirs=differences(mine, theirs))

    def errors_of(self, refusal: BadInput) -> Mapping[str, str]:
        """The domain's refusal at the form's fields."""
        return read_assembly(self.form, self.texts, self.units).errors(self.units, refusal.problems)


@dataclass(frozen=True, slots=True)
class EditorPage:
    """The editor, and beside it what it comes to and looks like; ``focus`` is the field to go on at."""

    head: ProjectHead
    editor: Editor
    form: FormView
    as_in: FieldView | None
    sizes: FieldView | None
    preview: Preview
    pictures: tuple[Drawing, ...]
    of: str
    focus: str


@dataclass(frozen=True, slots=True)
class DeleteAssemblyPage:
    """The question before an assembly is deleted; ``title`` is what its kind is called."""

    head: ProjectHead
    stored: StoredAssembly
    title: str


@router.get(urls.new_assembly)
def new(request: Request, project_id: RowId, kind: str, pattern: Pattern = None) -> Response:
    """The form of a new assembly: as the shop's last one of its kind, but for its sizes, or as a pattern is."""
    form, bench = kind_called(kind), _bench(request, project_id)
    store, units = request.app.state.store, bench.head.units
    if pattern is not None:
        spec = assembly_begun(store, project_id, pattern)
        form, texts = FORMS[spec.kind], spec_texts(FORMS[spec.kind], spec, units)
    else:
        start = start_of(store, project_id, kind)
        texts = starting_texts(form, units, start.mark, start.last)
    return _show(request, Editor(bench, form, texts, None, new_token()))


@router.post(urls.new_assembly)
def create(request: Request, project_id: RowId, kind: str, sent: OnceForm) -> Response:
    """Add the assembly, or show the form again as it was typed."""
    editor = Editor(_bench(request, project_id), kind_called(kind), spec_fields(sent), None, sent.text("token"))
    return _save(request, editor, sent)


@router.get(urls.assembly)
def edit(request: Request, project_id: RowId, assembly_id: RowId) -> Response:
    """The form of an assembly as it is stored."""
    bench, stored = _bench(request, project_id), _stored(request, project_id, assembly_id)
    form = FORMS[stored.spec.kind]
    texts = spec_texts(form, stored.spec, bench.head.units)
    return _show(request, Editor(bench, form, texts, stored, str(stored.version)))


@router.post(urls.assembly)
def save(request: Request, project_id: RowId, assembly_id: RowId, sent: OnceForm) -> Response:
    """Save the assembly, or show the form again as it was typed."""
    bench, stored = _bench(request, project_id), _stored(request, project_id, assembly_id)
    editor = Editor(bench, FORMS[stored.spec.kind], spec_fields(sent), stored, sent.text("version"))
    return _save(request, editor, sent)


@router.post(urls.duplicate_assembly)
def duplicate(request: Request, project_id: RowId, assembly_id: RowId, sent: OnceForm) -> Response:
    """Put a copy after the assembly."""
    copy = projects.duplicate_assembly(request.app.state.store, sent.sending, project_id, assembly_id)
    return go_to(request, urls.in_project(project_id, copy))


@router.post(urls.move_assembly)
def move(request: Request, project_id: RowId, assembly_id: RowId, sent: OnceForm) -> Response:
    """Swap the assembly with its neighbour."""
    step = sent.text("step")
    if step not in set(Step):
        raise BadInput([Problem.of(("step",), step, ProblemCode.NOT_THE_WORD, words_text='"up" or "down"')])
    projects.move_assembly(request.app.state.store, sent.sending, project_id, assembly_id, Step(step))
    return go_to(request, urls.in_project(project_id, assembly_id))


@router.post(urls.carry_out)
def carry_out(request: Request, project_id: RowId, assembly_id: RowId, sent: OnceForm) -> Response:
    """Carry out a change that was proposed for one of the assembly's joints: an edit like any other."""
    bench, stored = _bench(request, project_id), _stored(request, project_id, assembly_id)
    changes = sent_changes(sent.text("changes"))
    form, spec = FORMS[stored.spec.kind], carried_out(stored.spec, changes)
    texts = spec_texts(form, spec, bench.head.units)
    editor = Editor(bench, form, texts, stored, sent.text("version"))

    def act() -> str:
        store = request.app.state.store
        assembly_takeoff(spec, bench.means)  # refuses sizes that clash
        projects.save_assembly(store, sent.sending, project_id, assembly_id, sent_version(editor.carried), spec)
        back = changes_text(taken_back(stored.spec, changes))
        mark = sent.text("joint")
        return urls.schedule(project_id, at=f"joint-{mark}", changed=assembly_id, joint=mark, back=back)

    return saved(
        request,
        editor,
        act,
        lambda editor, status: _show(request, editor, status=status),
        told={MarkTaken: lambda taken: {"mark": str(taken)}},
        stored=lambda: _stored_texts(request, editor),
    )


@router.get(urls.delete_assembly)
def ask_delete(request: Request, project_id: RowId, assembly_id: RowId) -> Response:
    """Ask before the assembly is deleted."""
    bench, stored = _bench(request, project_id), _stored(request, project_id, assembly_id)
    return render(
        request,
        "projects/delete_assembly.html",
        DeleteAssemblyPage(bench.head, stored, FORMS[stored.spec.kind].title),
        units=bench.head.units,
    )


@router.post(urls.delete_assembly)
def delete(request: Request, project_id: RowId, assembly_id: RowId, sent: OnceForm) -> Response:
    """Delete the assembly as it was when it was asked for."""
    version = sent_version(sent.text("version"))
    projects.delete_assembly(request.app.state.store, sent.sending, project_id, assembly_id, version)
    return go_to(request, urls.project(project_id))


def _save(request: Request, editor: Editor, sent: SentForm) -> Response:
    change = sent.text("change")
    if change == FILL_IN:
        texts = filled_as_in(request.app.state.store, editor.form, editor.texts, editor.units)
        return _show(request, replace(editor, texts=texts))
    if change:
        texts, focus = changed(editor.form, editor.texts, change)
        return _show(request, replace(editor, texts=texts), focus=focus)
    advice = sent.text("advice")
    if advice:
        editor = _as_advised(request.app.state.store, editor, sent_changes(advice))
    return saved(
        request,
        editor,
        lambda: _saved(request.app.state.store, editor, sent),
        lambda editor, status: _show(request, editor, status=status),
        told={MarkTaken: lambda taken: {"mark": str(taken)}},
        stored=lambda: _stored_texts(request, editor),
    )


def _as_advised(store: Store, editor: Editor, changes: tuple[Change, ...]) -> Editor:
    """The form as it was typed with changes that were proposed for it; as it is where it cannot be read."""
    specs = editor.tried(store).specs
    if len(specs) != 1:
        return editor
    (spec,) = specs
    return replace(editor, texts=spec_texts(editor.form, carried_out(spec, changes), editor.units))


def _saved(store: Store, editor: Editor, sent: SentForm) -> str:
    """Plan the assembly, save it, and go to it in its project, or on to the next of its kind."""
    tried, project_id = editor.tried(store), editor.bench.head.id
    if tried.spec is None or tried.errors:
        raise Unusable(tried.errors)
    if editor.stored is None:
        first = add_assemblies(store, sent.sending, project_id, tried.specs)[0]
        on = urls.new_assembly(project_id, editor.form.kind) if sent.text("next") else ""
        return on or urls.in_project(project_id, first)
    number = editor.stored.id
    projects.save_assembly(store, sent.sending, project_id, number, sent_version(editor.carried), tried.spec)
    return urls.in_project(project_id, number)


def _stored_texts(request: Request, editor: Editor) -> dict[str, str]:
    assert editor.stored is not None  # a new assembly has no version to be stale
    theirs = _stored(request, editor.bench.head.id, editor.stored.id)
    return spec_texts(editor.form, theirs.spec, editor.units)


def _show(request: Request, editor: Editor, *, focus: str = "", status: int = 200) -> Response:
    """The editor; ``focus`` is the field to go on at."""
    tried = editor.tried(request.app.state.store)
    return render(
        request,
        "projects/assembly.html",
        EditorPage(
            editor.bench.head,
            editor,
            editor.view(shops_woods(request.app.state.store)),
            editor.as_in(request.app.state.store),
            editor.sizes(),
            preview_of(tried, editor.bench),
            pictures_of(tried, editor.bench),
            LIVE,
            focus,
        ),
        fragment="projects/_editor.html",
        status=status,
        units=editor.units,
    )


def _bench(request: Request, project_id: int) -> Bench:
    return projects.bench(request.app.state.store, project_id)


def _stored(request: Request, project_id: int, assembly_id: int) -> StoredAssembly:
    return projects.assembly(request.app.state.store, project_id, assembly_id)
