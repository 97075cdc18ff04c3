"""Photographs of a project, its assemblies and its joints: looked at, added, removed, each served as a picture."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response
from fastapi.responses import HTMLResponse

from webapp.form.fields import Field, Options, Plain, Sort, form_of
from webapp.form.filled import Filled, blank, sent, shown
from webapp.pages.printing import pdf_answer
from webapp.pages.projects.exports import SANDBOX
from webapp.papers.kinds import Paper
from webapp.papers.photographs import PhotographOnPaper
from webapp.papers.render import render_photographs
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import Form, OnceForm, RowId, SentBefore
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.errors import NotFound
from webapp.store.photographs import LONGEST_CAPTION, MOST_PHOTOGRAPHS, Photograph
from webapp.store.projects import ProjectHead
from webapp.usecases import photographs as keeping
from webapp.usecases.booking import sent_before
from webapp.usecases.headings import heading_together
from webapp.usecases.pictures import SMALL_SIDE, judged, received
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.wording.job import about_words, gone_words, photograph_words

router = APIRouter(include_in_schema=False)

PHOTOGRAPH = form_of(
    Field("photograph", "Photograph", Sort.TEXT, required=False),
    Field("mark", "Photograph of", Sort.TEXT, required=False, longest=40),
    Field("caption", "Caption", Sort.TEXT, required=False, longest=LONGEST_CAPTION),
)
DESCRIBED = form_of(PHOTOGRAPH.field("mark"), PHOTOGRAPH.field("caption"))
"""What is changed of one that is kept."""
THE_PROJECT = "."
"""What the list of places has for the project itself: no assembly's mark."""
MOST_PLACES = 300
"""A list of more is not looked through: then the joints are left out, but for one that was asked for."""
Mark = Annotated[str, Query(max_length=40)]
Sum = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


@dataclass(frozen=True, slots=True)
class ShownPhotograph:
    """A photograph on a page: where its pictures are, and the small one's size in pixels.

    ``alt`` says what it shows, ``about`` of what it is.
    """

    id: int
    about: str
    caption: str
    alt: str
    address: str
    small: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class PhotographsPage:
    """A project's photographs and the form that adds one; ``full`` where there may be no more.

    ``places`` are what it may be of.
    """

    head: ProjectHead
    form: Filled
    places: Options
    photographs: Sequence[ShownPhotograph]
    full: bool
    most: int


@dataclass(frozen=True, slots=True)
class PhotographPage:
    """The form of one photograph: its caption, and which of ``places`` it is of."""

    head: ProjectHead
    form: Filled
    places: Options
    photograph: ShownPhotograph


def shown_photographs(project: PlannedProject, photographs: Iterable[Photograph]) -> tuple[ShownPhotograph, ...]:
    """These photographs of a project as its pages show them; what one is of may be no longer there."""
    places = {"", *_marks(project)}
    return tuple(replace(_shown(project.head.id, each), about=_about(each, places)) for each in photographs)


def photographs_by_mark(
    project_id: int, photographs: Iterable[Photograph]
) -> Mapping[str, tuple[ShownPhotograph, ...]]:
    """The same by the mark of the assembly or joint that they are of, "" being the project's own."""
    found: dict[str, tuple[ShownPhotograph, ...]] = {}
    for each in photographs:
        found[each.mark] = (*found.get(each.mark, ()), _shown(project_id, each))
    return found


def _about(one: Photograph, places: Collection[str]) -> str:
    """What it is of, which may be none of the project's places any more."""
    return about_words(one.mark) if one.mark in places else gone_words(one.mark)


def _shown(project_id: int, one: Photograph) -> ShownPhotograph:
    share = min(1, SMALL_SIDE / max(one.width, one.height))
    return ShownPhotograph(
        one.id,
        about_words(one.mark),
        one.caption,
        photograph_words(one.mark, one.caption),
        urls.photograph(project_id, one.sha256),
        urls.small_photograph(project_id, one.sha256),
        max(1, round(one.width * share)),
        max(1, round(one.height * share)),
    )


@router.get(urls.photographs)
def show(request: Request, project_id: RowId, mark: Mark = "") -> HTMLResponse:
    """The project's photographs, and the form that adds one."""
    return _page(request, project_id, blank(PHOTOGRAPH, Plain(), mark=mark or THE_PROJECT))


@router.post(urls.photographs)
def add(request: Request, project_id: RowId, form: Form) -> Response:
    """Keep a photograph once it has been judged, or show the form again."""
    store, file = request.app.state.store, form.file("photograph")
    typed = sent(PHOTOGRAPH, Plain(), form)

    def act() -> str:
        values = typed.values()
        values.check()
        data = b"" if file is None else received(file.file)
        sending = keeping.with_picture(form.sending, data)
        kept = sent_before(store, sending)
        if kept is not None:
            raise SentBefore(kept)
        mark, caption = values["mark"] or "", values["caption"] or ""
        number = keeping.add_photograph(
            store, sending, project_id, "" if mark == THE_PROJECT else mark, caption, judged(data)
        )
        return urls.photographs(project_id, at=f"photograph-{number}")

    return saved(request, typed, act, lambda again, status: _page(request, project_id, again, status=status))


@router.get(urls.describe_photograph)
def edit(request: Request, project_id: RowId, number: RowId) -> HTMLResponse:
    """The form of a photograph that is kept."""
    project, one = _one(request, project_id, number)
    return _described_page(request, project, one, _described(project, one))


@router.post(urls.describe_photograph)
def describe(request: Request, project_id: RowId, number: RowId, form: OnceForm) -> Response:
    """Keep the caption and what it is of, and go back to the photographs; or show the form again."""
    store = request.app.state.store
    project, one = _one(request, project_id, number)
    typed = sent(DESCRIBED, Plain(), form, edits=True)

    def act() -> str:
        values = typed.values()
        values.check()
        mark = "" if values["mark"] in {None, THE_PROJECT} else values["mark"]
        keeping.describe_photograph(
            store, form.sending, project_id, typed.version or 0, number, mark, values["caption"] or ""
        )
        return urls.photographs(project_id, at=f"photograph-{number}")

    return saved(
        request,
        typed,
        act,
        lambda again, status: _described_page(request, project, one, again, status=status),
        stored=lambda: _described(*_one(request, project_id, number)).texts,
    )


def _one(request: Request, project_id: int, number: int) -> tuple[PlannedProject, Photograph]:
    store = request.app.state.store
    project = plan_soon(store, project_id)
    return project, keeping.photograph(store, project_id, number)


def _described(project: PlannedProject, one: Photograph) -> Filled:
    return shown(
        DESCRIBED, Plain(), {"mark": one.mark or THE_PROJECT, "caption": one.caption}, project.head.version
    )


def _described_page(
    request: Request, project: PlannedProject, one: Photograph, form: Filled, *, status: int = 200
) -> HTMLResponse:
    (photograph,) = shown_photographs(project, [one])
    return render(
        request,
        "projects/photograph.html",
        PhotographPage(project.head, form, _places(project, one.mark), photograph),
        status=status,
        headers=MAIN_ONLY,
    )


@router.post(urls.remove_photograph)
def remove(request: Request, project_id: RowId, number: RowId, form: OnceForm) -> Response:
    """Remove a photograph; the page that follows offers to undo it."""
    keeping.remove_photograph(request.app.state.store, form.sending, project_id, number)
    return go_to(request, urls.photographs(project_id))


@router.get(urls.photographs_paper)
def show_paper(request: Request, project_id: RowId, paper: str = "") -> Response:
    """The photographs as PDF: the project's own, then those of every assembly with its joints."""
    store = request.app.state.store
    project = plan_soon(store, project_id)
    found = keeping.with_bytes(store, project_id)
    if not found:
        raise NotFound("photographs", project_id)
    places = ("", *_marks(project))
    ordered = sorted(found, key=lambda each: places.index(each[0].mark) if each[0].mark in places else len(places))
    printed = tuple(
        PhotographOnPaper(one.mark, _about(one, places), one.caption, one.width, one.height, body)
        for one, body in ordered
    )

    def set_on(size: Paper) -> bytes:
        return render_photographs(printed, heading_together(store, (project,)), size)

    return pdf_answer(request, f"project-{project_id}-photographs", project.head.units, paper, set_on)


@router.get(urls.photograph)
def picture(request: Request, project_id: RowId, sum_of_it: Sum) -> Response:
    """A photograph as it is kept."""
    return _jpeg(keeping.picture_bytes(request.app.state.store, project_id, sum_of_it))


@router.get(urls.small_photograph)
def small_picture(request: Request, project_id: RowId, sum_of_it: Sum) -> Response:
    """The small one of a photograph."""
    return _jpeg(keeping.picture_bytes(request.app.state.store, project_id, sum_of_it, small=True))


def _jpeg(body: bytes) -> Response:
    # its address has the sum of its bytes, so that another picture never stands there
    headers = {"Content-Security-Policy": SANDBOX, "Cache-Control": "private, max-age=31536000, immutable"}
    return Response(body, media_type="image/jpeg", headers=headers)


def _page(request: Request, project_id: int, form: Filled, *, status: int = 200) -> HTMLResponse:
    store = request.app.state.store
    project, found = plan_soon(store, project_id), keeping.photographs_of(store, project_id)
    return render(
        request,
        "projects/photographs.html",
        PhotographsPage(
            project.head,
            form,
            _places(project, form.texts.get("mark", "")),
            shown_photographs(project, found),
            len(found) >= MOST_PHOTOGRAPHS,
            MOST_PHOTOGRAPHS,
        ),
        status=status,
        headers=MAIN_ONLY,
    )


def _places(project: PlannedProject, asked: str) -> Options:
    """What a photograph may be of: the project, its assemblies and their joints."""
    every = tuple(_marks(project))
    few = every if len(every) <= MOST_PLACES else tuple(mark for mark in every if "-" not in mark or mark == asked)
    gone = ((asked, gone_words(asked)),) if asked not in {"", THE_PROJECT, *every} else ()
    return ((THE_PROJECT, "the project"), *((mark, about_words(mark)) for mark in few), *gone)


def _marks(project: PlannedProject) -> Iterator[str]:
    for planned in project.assemblies:
        yield planned.stored.spec.mark
        for joint in planned.takeoff.joints if planned.takeoff else ():
            yield joint.joint.mark
