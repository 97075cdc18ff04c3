"""Patterns: what is kept of a project or of an assembly to begin the next one from; kept, named, begun from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from domain.spec.project import Project
from webapp.form.carried import sent_version
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, blank, shown
from webapp.form.filled import sent as sent_form
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.site.editing import Told, saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.errors import NameTaken
from webapp.store.patterns import PatternHead, StoredPattern
from webapp.store.projects import ProjectHead
from webapp.usecases import kept_patterns as patterns
from webapp.usecases.kept_patterns import ToKeep
from webapp.usecases.projects import bench
from webapp.wording.backups import moment_words
from webapp.wording.words import sizes

router = APIRouter(include_in_schema=False)

_LONGEST = 120
PATTERN = form_of(Field("name", "Name", Sort.TEXT, hint="As the shop calls it.", longest=_LONGEST))
BEGUN = form_of(
    Field("name", "Name of the new project", Sort.TEXT, longest=_LONGEST),
    Field("customer", "Customer", Sort.TEXT, required=False, longest=_LONGEST),
)
Number = Annotated[int | None, Query(ge=1, le=2**31 - 1)]


@dataclass(frozen=True, slots=True)
class PatternLine:
    """A pattern in the list: what it is in words, and where one begins from it."""

    id: int
    version: int
    name: str
    what: str
    made_from: str
    when: str
    begin: str


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """Every pattern, or those that an assembly of the project ``within`` may begin from."""

    lines: Sequence[PatternLine]
    within: ProjectHead | None


@dataclass(frozen=True, slots=True)
class KeepPage:
    """The form that names a new pattern; ``what`` it is made of, ``assembly`` its number, "" for the whole."""

    head: ProjectHead
    form: Filled
    what: str
    assembly: str


@dataclass(frozen=True, slots=True)
class PatternPage:
    """The form that renames a pattern."""

    head: PatternHead
    form: Filled


@dataclass(frozen=True, slots=True)
class BeginPage:
    """The form of a project that begins from a pattern, of so many assemblies."""

    head: PatternHead
    form: Filled
    assemblies: int


@router.get(urls.kept_patterns)
def show_all(request: Request, project: Number = None) -> HTMLResponse:
    """The patterns that are kept; for a project those of assemblies, to begin one of its own."""
    store = request.app.state.store
    within = None if project is None else bench(store, project).head
    assemblies = {each.head.id: each for each in patterns.kept_assemblies(store)}
    heads = [each.head for each in assemblies.values()] if within else patterns.kept(store)
    lines = [_line(head, assemblies.get(head.id), within) for head in heads]
    return render(request, "projects/kept_patterns.html", PatternsPage(lines, within))


def _line(head: PatternHead, pattern: StoredPattern | None, within: ProjectHead | None) -> PatternLine:
    what, begin = "A project", urls.begin_from_pattern(head.id)
    if pattern is not None:
        (spec,) = pattern.project.assemblies
        units = within.units if within else pattern.project.units
        what = f"{FORMS[spec.kind].title}, {sizes(spec, units)}"
        if within is not None:
            begin = urls.new_assembly(within.id, spec.kind, pattern=head.id)
    return PatternLine(
        head.id, head.version, head.name, what, head.made_from, moment_words(head.created)[:10], begin
    )


@router.get(urls.keep_pattern)
def ask_to_keep(request: Request, project_id: RowId, assembly: Number = None) -> HTMLResponse:
    """The form that names a pattern of the project, or of one of its assemblies."""
    found = patterns.to_keep(request.app.state.store, project_id, assembly)
    spec = found.assembly
    name = found.project.head.name if spec is None else spec.name or FORMS[spec.kind].title
    return _keep_form(request, found, blank(PATTERN, Plain(), name=name))


@router.post(urls.keep_pattern)
def keep(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Keep the pattern and show it among the others."""
    store = request.app.state.store
    number = sent_version(sent.text("assembly")) if sent.text("assembly") else None
    found = patterns.to_keep(store, project_id, number)
    typed = sent_form(PATTERN, Plain(), sent)

    def act() -> str:
        made = patterns.keep(store, sent.sending, found, _name(typed))
        return urls.kept_patterns(at=f"pattern-{made}")

    return saved(request, typed, act, lambda form, status: _keep_form(request, found, form, status), told=_TAKEN)


@router.get(urls.kept_pattern)
def show(request: Request, pattern_id: RowId) -> HTMLResponse:
    """The form that renames a pattern."""
    head = patterns.head_of(request.app.state.store, pattern_id)
    return _name_form(request, head, _shown(head))


@router.post(urls.kept_pattern)
def rename(request: Request, pattern_id: RowId, sent: OnceForm) -> Response:
    """Call the pattern otherwise."""
    store = request.app.state.store
    head = patterns.head_of(store, pattern_id)
    typed = sent_form(PATTERN, Plain(), sent, edits=True)

    def act() -> str:
        patterns.rename(store, sent.sending, pattern_id, typed.version or 0, _name(typed))
        return urls.kept_patterns(at=f"pattern-{pattern_id}")

    return saved(
        request,
        typed,
        act,
        lambda form, status: _name_form(request, head, form, status),
        told=_TAKEN,
        stored=lambda: _shown(patterns.head_of(store, pattern_id)).texts,
    )


@router.post(urls.delete_pattern)
def delete(request: Request, pattern_id: RowId, sent: OnceForm) -> Response:
    """Keep the pattern no longer."""
    version = sent_version(sent.text("version"))
    patterns.delete(request.app.state.store, sent.sending, pattern_id, version)
    return go_to(request, urls.kept_patterns())


@router.get(urls.begin_from_pattern)
def ask_to_begin(request: Request, pattern_id: RowId) -> HTMLResponse:
    """The form that names the new project."""
    found = patterns.pattern(request.app.state.store, pattern_id)
    return _begin_form(request, found, blank(BEGUN, Plain(), name=found.head.name))


@router.post(urls.begin_from_pattern)
def begin(request: Request, pattern_id: RowId, sent: OnceForm) -> Response:
    """Make the new project and go to it."""
    store = request.app.state.store
    found = patterns.pattern(store, pattern_id)
    typed = sent_form(BEGUN, Plain(), sent)

    def act() -> str:
        head = typed.values().made(Project)
        return urls.project(patterns.begin_project(store, sent.sending, found, head.name, head.customer))

    return saved(request, typed, act, lambda form, status: _begin_form(request, found, form, status))


_TAKEN: Told = {NameTaken: lambda taken: {"name": str(taken)}}


def _name(typed: Filled) -> str:
    """The name. Raises Unusable."""
    return typed.values().made(Project).name


def _shown(head: PatternHead) -> Filled:
    return shown(PATTERN, Plain(), head, head.version)


def _keep_form(request: Request, found: ToKeep, form: Filled, status: int = 200) -> HTMLResponse:
    head, spec = found.project.head, found.assembly
    what = "the whole project"
    if spec is not None:
        what = f"{spec.mark}, {FORMS[spec.kind].title.lower()}, {sizes(spec, head.units)}"
    number = "" if found.assembly_id is None else str(found.assembly_id)
    return render(
        request, "projects/keep_pattern.html", KeepPage(head, form, what, number), status=status, headers=MAIN_ONLY
    )


def _name_form(request: Request, head: PatternHead, form: Filled, status: int = 200) -> HTMLResponse:
    return render(request, "projects/kept_pattern.html", PatternPage(head, form), status=status, headers=MAIN_ONLY)


def _begin_form(request: Request, found: StoredPattern, form: Filled, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "projects/begin_from_pattern.html",
        BeginPage(found.head, form, len(found.project.assemblies)),
        status=status,
        headers=MAIN_ONLY,
    )
