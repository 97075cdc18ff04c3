"""What an assembly's form comes to while somebody types in it: read, planned and drawn, nothing saved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse

from domain.takeoff.counting import count
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.model import Drawing
from webapp.drawings.pictorial import pictorials
from webapp.drawings.through import draw_sections
from webapp.form.fields import AssemblyForm
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.attempts import Attempt, TriedLine, attempt, attempt_new
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.kept_pages import kept_preview
from webapp.site.rendering import render
from webapp.usecases.projects import Bench, bench, bench_of
from webapp.wording.joint import JointWords, joint_words
from webapp.wording.words import keys_text, notes_text, sizes

router = APIRouter(include_in_schema=False)

LIVE = "live"
"""What the pictorials of a form that is open are called on its page."""
_NOT_SPEC = frozenset({"token", "version", "change", "advice", "next"})


@dataclass(frozen=True, slots=True)
class LineWords:
    """A line of sizes in words: the assembly that it makes, or what is ``wrong`` in it.

    ``refused`` counts joints that cannot be made. A line whose assembly waits for what all share has no size yet.
    """

    number: int
    text: str
    wrong: str
    mark: str = ""
    quantity: int = 0
    name: str = ""
    size: str = ""
    keys: str = ""
    refused: int = 0


@dataclass(frozen=True, slots=True)
class Preview:
    """What the form comes to: drawings and joints, or how many places need another look.

    ``sections`` show what the elevation or plan in ``drawing`` looks past.

    ``errors`` has their sentences by field, ``labels`` what those are called, ``offers`` a text that works there;
    ``waits`` the labels of fields that are only empty so far, ``keys``
    the keys used, in words. ``lines`` are its lines of sizes where there are several: drawing and joints are those
    of the first that comes to something, under ``mark``.
    """

    drawing: Drawing | None
    joints: tuple[JointWords, ...]
    keys: tuple[str, ...]
    notes: tuple[str, ...]
    errors: Mapping[str, str]
    waits: tuple[str, ...] = ()
    lines: tuple[LineWords, ...] = ()
    mark: str = ""
    sections: tuple[Drawing, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    offers: Mapping[str, str] = field(default_factory=dict)


def preview_of(tried: Attempt, bench: Bench) -> Preview:
    """What an attempt comes to, to be shown."""
    units = bench.head.units
    lines = tuple(_line_words(line, bench) for line in tried.lines) if len(tried.lines) > 1 else ()
    errors = {name: words for name, words in tried.errors.items() if name not in tried.waits}
    waits = tuple(tried.waits.values())
    if tried.takeoff is None or tried.spec is None:
        offers = {name: text for name, text in tried.offers.items() if name in errors}
        return Preview(None, (), (), (), errors, waits, lines, labels=tried.labels, offers=offers)
    every = [line.takeoff for line in tried.lines if line.takeoff is not None] or [tried.takeoff]
    totals = count(every, bench.means.rules)
    return Preview(
        draw_assembly(tried.takeoff.expansion, units),
        tuple(joint_words(joint, units) for joint in tried.takeoff.joints),
        keys_text(totals.keys),
        notes_text(tried.takeoff.expansion.notes, units),
        errors,
        waits,
        lines,
        tried.spec.mark,
        draw_sections(tried.spec, tried.takeoff.expansion, units),
    )


def _line_words(line: TriedLine, bench: Bench) -> LineWords:
    spec, takeoff = line.spec, line.takeoff
    if spec is None or takeoff is None:
        return LineWords(line.number, line.text, line.wrong)
    return LineWords(
        line.number,
        line.text,
        line.wrong,
        spec.mark,
        spec.quantity,
        spec.name or "",
        sizes(spec, bench.head.units),
        ", ".join(keys_text(count([takeoff], bench.means.rules).keys)),
        sum(joint.joint.quantity for joint in takeoff.joints if joint.plan is None),
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
    return _show(request, _new(request, project_id, kind), sent)


@router.post(urls.assembly_preview)
def preview(request: Request, project_id: RowId, assembly_id: RowId, sent: Form) -> HTMLResponse:
    """What the form of an assembly comes to."""
    return _show(request, _old(request, project_id, assembly_id), sent)


@router.post(urls.new_assembly_pictorials)
def pictorials_new(request: Request, project_id: RowId, kind: str, sent: Form) -> HTMLResponse:
    """What the form of a new assembly looks like."""
    return _show_pictorials(request, _new(request, project_id, kind), sent)


@router.post(urls.assembly_pictorials)
def pictorials_shown(request: Request, project_id: RowId, assembly_id: RowId, sent: Form) -> HTMLResponse:
    """What the form of an assembly looks like."""
    return _show_pictorials(request, _old(request, project_id, assembly_id), sent)


@dataclass(frozen=True, slots=True)
class _Open:
    """A form that is open, and what it is tried with; ``of`` tells what is kept for it from what for others."""

    bench: Bench
    form: AssemblyForm
    of: str
    trial: Callable[[Mapping[str, str]], Attempt]


def _new(request: Request, project_id: int, kind: str) -> _Open:
    store, form = request.app.state.store, kind_called(kind)
    found = bench(store, project_id)
    return _Open(found, form, f"new {kind}", lambda texts: attempt_new(store, form, texts, found))


def _old(request: Request, project_id: int, assembly_id: int) -> _Open:
    found, kind = bench_of(request.app.state.store, project_id, assembly_id)
    form = FORMS[kind]
    return _Open(found, form, kind, lambda texts: attempt(form, texts, found))


def _show(request: Request, open_form: _Open, sent: SentForm) -> HTMLResponse:
    texts, bench = spec_fields(sent), open_form.bench

    def show() -> HTMLResponse:
        preview = preview_of(open_form.trial(texts), bench)
        return render(request, "projects/_preview.html", PreviewPart(preview), units=bench.head.units)

    return kept_preview(request, bench, open_form.of, texts, show)


def _show_pictorials(request: Request, open_form: _Open, sent: SentForm) -> HTMLResponse:
    texts, bench = spec_fields(sent), open_form.bench

    def show() -> HTMLResponse:
        pictures = pictures_of(open_form.trial(texts), bench)
        return render(request, "projects/_pictorials.html", PictorialsPart(pictures, LIVE), units=bench.head.units)

    return kept_preview(request, bench, f"pictorials of {open_form.of}", texts, show)


def spec_fields(sent: SentForm) -> dict[str, str]:
    """Of the form that was sent, what says how the assembly is made."""
    return {name: text for name, text in sent.values().items() if name not in _NOT_SPEC}


def kind_called(kind: str) -> AssemblyForm:
    """The form of a kind of assembly; 404 for what is none."""
    form = FORMS.get(kind)
    if form is None:
        raise HTTPException(404)
    return form
