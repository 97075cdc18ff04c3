"""What an assembly's form comes to while somebody types in it: read, planned and drawn, nothing saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.takeoff.counting import count
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.model import Drawing
from webapp.drawings.pictorial import pictorials
from webapp.form.fields import AssemblyForm
from webapp.form.reading import Reading, read_assembly
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.kept_pages import kept_preview
from webapp.site.rendering import render
from webapp.usecases.projects import Bench, bench, bench_of
from webapp.usecases.takeoffs import advised_takeoff, assembly_takeoff
from webapp.wording.joint import JointWords, joint_words
from webapp.wording.words import keys_text, notes_text

router = APIRouter(include_in_schema=False)

LIVE = "live"
"""What the pictorials of a form that is open are called on its page."""
_NOT_SPEC = frozenset({"token", "version", "change", "advice"})


@dataclass(frozen=True, slots=True)
class Attempt:
    """A form read and planned: a spec and its takeoff, or what is wrong."""

    spec: Assembly | None
    takeoff: AssemblyTakeoff | None
    reading: Reading
    clashes: tuple[Problem, ...] = ()

    def errors(self, units: Units) -> dict[str, str]:
        """Sentences by field."""
        return self.reading.errors(units, self.clashes)


def attempt(form: AssemblyForm, texts: Mapping[str, str], bench: Bench) -> Attempt:
    """Read the form and plan what it says."""
    reading = read_assembly(form, texts, bench.head.units)
    if reading.spec is None:
        return Attempt(None, None, reading)
    try:
        takeoff = assembly_takeoff(reading.spec, bench.means)
        if not takeoff.makeable:
            takeoff = advised_takeoff(reading.spec, bench.means, bench.head.units)
        return Attempt(reading.spec, takeoff, reading)
    except BadInput as clash:
        return Attempt(None, None, reading, clash.problems)


@dataclass(frozen=True, slots=True)
class Preview:
    """What the form comes to: a drawing and joints, or how many places need another look.

    ``errors`` has their sentences by field, ``keys`` the keys used, in words.
    """

    drawing: Drawing | None
    joints: tuple[JointWords, ...]
    keys: tuple[str, ...]
    notes: tuple[str, ...]
    errors: Mapping[str, str]


def preview_of(tried: Attempt, bench: Bench) -> Preview:
    """What an attempt comes to, to be shown."""
    units = bench.head.units
    if tried.takeoff is None:
        return Preview(None, (), (), (), tried.errors(units))
    totals = count([tried.takeoff], bench.means.rules)
    return Preview(
        draw_assembly(tried.takeoff.expansion, units),
        tuple(joint_words(joint, units) for joint in tried.takeoff.joints),
        keys_text(totals.keys),
        notes_text(tried.takeoff.expansion.notes, units),
        {},
    )


def pictures_of(tried: Attempt, bench: Bench) -> tuple[Drawing, ...]:
    """What an attempt looks like, together and apart; none where it comes to nothing."""
    if tried.spec is None or tried.takeoff is None:
        return ()
    return pictorials(tried.spec, tried.takeoff, bench.head.units)


@dataclass(frozen=True, slots=True)
class PreviewPart:
    """What the live preview brings."""

    preview: Preview


@dataclass(frozen=True, slots=True)
class PictorialsPart:
    """The pictorials that follow the preview more slowly; ``of`` tells them from others on the page."""

    pictures: tuple[Drawing, ...]
    of: str


@router.post(urls.new_assembly_preview)
def preview_new(request: Request, project_id: RowId, kind: str, sent: Form) -> HTMLResponse:
    """What the form of a new assembly comes to."""
    return _show(request, bench(request.app.state.store, project_id), kind_called(kind), sent)


@router.post(urls.assembly_preview)
def preview(request: Request, project_id: RowId, assembly_id: RowId, sent: Form) -> HTMLResponse:
    """What the form of an assembly comes to."""
    found, kind = bench_of(request.app.state.store, project_id, assembly_id)
    return _show(request, found, FORMS[kind], sent)


@router.post(urls.new_assembly_pictorials)
def pictorials_new(request: Request, project_id: RowId, kind: str, sent: Form) -> HTMLResponse:
    """What the form of a new assembly looks like."""
    return _show_pictorials(request, bench(request.app.state.store, project_id), kind_called(kind), sent)


@router.post(urls.assembly_pictorials)
def pictorials_shown(request: Request, project_id: RowId, assembly_id: RowId, sent: Form) -> HTMLResponse:
    """What the form of an assembly looks like."""
    found, kind = bench_of(request.app.state.store, project_id, assembly_id)
    return _show_pictorials(request, found, FORMS[kind], sent)


def _show(request: Request, bench: Bench, form: AssemblyForm, sent: SentForm) -> HTMLResponse:
    texts = spec_fields(sent)

    def show() -> HTMLResponse:
        preview = preview_of(attempt(form, texts, bench), bench)
        return render(request, "projects/_preview.html", PreviewPart(preview), units=bench.head.units)

    return kept_preview(request, bench, form.kind, texts, show)


def _show_pictorials(request: Request, bench: Bench, form: AssemblyForm, sent: SentForm) -> HTMLResponse:
    texts = spec_fields(sent)

    def show() -> HTMLResponse:
        pictures = pictures_of(attempt(form, texts, bench), bench)
        return render(request, "projects/_pictorials.html", PictorialsPart(pictures, LIVE), units=bench.head.units)

    return kept_preview(request, bench, f"pictorials of {form.kind}", texts, show)


def spec_fields(sent: SentForm) -> dict[str, str]:
    """Of the form that was sent, what says how the assembly is made."""
    return {name: text for name, text in sent.values().items() if name not in _NOT_SPEC}


def kind_called(kind: str) -> AssemblyForm:
    """The form of a kind of assembly; 404 for what is none."""
    form = FORMS.get(kind)
    if form is None:
        raise HTTPException(404)
    return form
