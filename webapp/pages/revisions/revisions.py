"""Issued revisions: issue the next one, look at one, reprint its documents, begin again from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.project import Project
from webapp.form.carried import new_token, sent_version
from webapp.pages.printing import paper_of
from webapp.pages.revisions.changes import Changes, changes_of
from webapp.pages.shop.jobs import begun
from webapp.papers.kinds import PAPERS, DocumentKind, LabelChoices, Paper
from webapp.site import urls
from webapp.site.failures import Words, failure
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.network import address_for_others
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound, StaleEdit
from webapp.store.issued import DocumentHead
from webapp.store.revisions import RevisionHead
from webapp.usecases import revisions
from webapp.usecases.copies import copy_of_project, copy_of_revision, create_copy
from webapp.usecases.drafts import usual_paper
from webapp.usecases.jobs import Task
from webapp.usecases.long_papers import cutting_draft, draft_task, issue_task
from webapp.usecases.projects import bench
from webapp.usecases.revisions import Compared, NotIssuable, Ready, Seen
from webapp.usecases.scales import outdated_sheets
from webapp.usecases.shop import the_shop

router = APIRouter(include_in_schema=False)

PAPER_NAMES = ((Paper.A4.label, "A4, 210 × 297 mm"), (Paper.LETTER.label, "Letter, 8 1/2 × 11 in"))
USES = {
    DocumentKind.SCHEDULE: "every joint: section, slots, centres, depth, stops",
    DocumentKind.SET_UPS: "the machine's readings in the best order, and the pieces of each",
    DocumentKind.SETTING_OUT: "every piece with its lines, slots and grooves",
    DocumentKind.ASSEMBLY: "in what order the parts go together, with keys, glue and open time",
    DocumentKind.MEMBERS: "every part to be cut, by the wood it comes from",
    DocumentKind.KEYS: "keys, plugs and glue",
    DocumentKind.LABELS: "one for each part",
    DocumentKind.STRIPS: "slot centres at full size, to lay on the stock",
}


@dataclass(frozen=True, slots=True)
class AllPage:
    """Every revision of every project; ``outdated`` tells by project and number what holds no more."""

    heads: Sequence[RevisionHead]
    outdated: Mapping[tuple[int, int], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class RevisionPage:
    """A revision: its documents, and what has changed since, or against another."""

    revision: RevisionHead
    documents: Sequence[DocumentHead]
    titles: Mapping[str, str]
    against: int | None
    outdated: Mapping[tuple[int, int], tuple[str, ...]]
    others: tuple[int, ...]
    changes: Changes | None


@dataclass(frozen=True, slots=True)
class CopyPage:
    """The form that names a copy."""

    copy: Copy
    name: str
    errors: Mapping[str, str]
    token: str


@dataclass(frozen=True, slots=True)
class RevisionsPage:
    """A project's revisions, and the form that issues the next; ``ready`` is None for a project that is gone."""

    project_id: int
    name: str
    ready: Ready | None
    joints: tuple[int, int]
    reasons: tuple[str, ...]
    stale: bool
    revisions: Sequence[RevisionHead]
    outdated: Mapping[tuple[int, int], tuple[str, ...]]
    kinds: tuple[tuple[DocumentKind, str], ...]
    papers: Sequence[tuple[str, str]]
    paper: str
    token: str


@router.get(urls.all_revisions)
def show_all(request: Request) -> HTMLResponse:
    """Every issued revision of every project."""
    store: Store = request.app.state.store
    return render(request, "revisions/all.html", AllPage(revisions.list_revisions(store), _outdated(store)))


@router.get(urls.revisions)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """A project's revisions, and the form that issues the next one."""
    return _page(request, project_id)


@router.post(urls.revisions)
def issue(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Issue the next revision and go to it; or say why it cannot be issued."""
    store: Store = request.app.state.store
    seen = Seen(*(sent_version(sent.text(name)) for name in ("version", "catalogue", "number")))
    paper = paper_of(sent.text("paper"))
    try:
        labels = _labels(request, project_id)
        task = issue_task(
            store,
            sent.sending,
            project_id,
            seen,
            paper,
            labels,
            led=lambda number: urls.revision(project_id, number),
            back=urls.revisions(project_id),
        )
        if task is not None:
            return begun(request, task)
        number = revisions.issue(store, sent.sending, project_id, seen, paper, labels=labels)
    except StaleEdit:
        return _page(request, project_id, paper=paper, stale=True, status=409)
    except NotIssuable as refusal:
        return _page(request, project_id, paper=paper, reasons=refusal.reasons, status=422)
    return go_to(request, urls.revision(project_id, number))


@router.get(urls.revision)
def show_one(
    request: Request, project_id: RowId, number: RowId, against: Annotated[int | None, Query()] = None
) -> HTMLResponse:
    """A revision: its documents, and what has changed since, or between it and the revision ``against``."""
    store: Store = request.app.state.store
    revision = revisions.load_revision(store, project_id, number)
    compared: Compared | None
    if against is None:
        compared = revisions.compare_with_now(store, project_id, number)
    else:
        compared = revisions.compare_with_other(store, project_id, number, against)
    order = {kind.value: place for place, kind in enumerate(DocumentKind)}
    return render(
        request,
        "revisions/revision.html",
        RevisionPage(
            revision=revision.head,
            documents=sorted(revision.documents, key=lambda document: order.get(document.kind, len(order))),
            titles={kind.value: kind.heading for kind in DocumentKind},
            against=against,
            outdated=_outdated(store, project_id),
            others=tuple(
                head.number for head in revisions.revisions_of(store, project_id).heads if head.number != number
            ),
            changes=None if compared is None else changes_of(compared),
        ),
    )


@router.get(urls.revision_document)
def reprint(request: Request, project_id: RowId, number: RowId, kind: DocumentKind, paper: str) -> Response:
    """A document just as it was issued, for download."""
    if paper not in PAPERS:
        raise NotFound(f"paper in revision {number}:", paper)
    body = revisions.reprint(request.app.state.store, project_id, number, kind, PAPERS[paper])
    return _pdf(body, "attachment", f"project-{project_id}-revision-{number}-{kind.value}-{paper.lower()}.pdf")


@router.get(urls.draft)
def draft(request: Request, project_id: RowId, kind: DocumentKind, paper: str = "") -> Response:
    """A document of the project as it stands, marked as a draft; it is not kept.

    Where no paper is named, it is the usual one of the project's units.
    """
    store: Store = request.app.state.store
    size = paper_of(paper) if paper else usual_paper(bench(store, project_id).head.units)
    labels = _labels(request, project_id)
    name = f"project-{project_id}-draft-{kind.value}-{size.label.lower()}.pdf"
    task: Task | Callable[[], bytes] | None
    if kind is DocumentKind.CUTTING:
        task = cutting_draft(store, project_id, size, name, urls.cutting(project_id))
    else:
        task = draft_task(store, project_id, kind, size, labels, name, urls.revisions(project_id))
    if isinstance(task, Task):
        return begun(request, task)
    try:
        body = task() if task is not None else revisions.draft(store, project_id, kind, size, labels=labels)
    except NotIssuable as refusal:
        return failure(request, 422, Words("It cannot be printed yet", str(refusal)))
    return _pdf(body, "inline", name)


@router.get(urls.duplicate_project)
def ask_duplicate_project(request: Request, project_id: RowId) -> HTMLResponse:
    """The form that names a copy of the project."""
    return _copy_form(request, _project_copy(request, project_id))


@router.post(urls.duplicate_project)
def duplicate_project(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Make the copy and go to it."""
    return _copied(request, _project_copy(request, project_id), sent)


@router.get(urls.duplicate_revision)
def ask_duplicate_issue(request: Request, project_id: RowId, number: RowId) -> HTMLResponse:
    """The form that names a new project made as the revision was."""
    return _copy_form(request, _revision_copy(request, project_id, number))


@router.post(urls.duplicate_revision)
def duplicate_revision(request: Request, project_id: RowId, number: RowId, sent: OnceForm) -> Response:
    """Make the new project and go to it."""
    return _copied(request, _revision_copy(request, project_id, number), sent)


@dataclass(frozen=True, slots=True)
class Copy:
    """What would be copied: the new project, the revision it comes from (if any), and the way back.

    ``original`` is the project whose photographs come along.
    """

    project: Project
    number: int | None
    address: str
    back: str
    original: int | None = None


def _project_copy(request: Request, project_id: int) -> Copy:
    copy = copy_of_project(request.app.state.store, project_id)
    return Copy(copy, None, urls.duplicate_project(project_id), urls.project(project_id), project_id)


def _revision_copy(request: Request, project_id: int, number: int) -> Copy:
    copy = copy_of_revision(request.app.state.store, project_id, number)
    return Copy(copy, number, urls.duplicate_revision(project_id, number), urls.revision(project_id, number))


def _copied(request: Request, copy: Copy, sent: SentForm) -> Response:
    try:
        store, name = request.app.state.store, sent.text("name")
        project_id = create_copy(store, sent.sending, copy.project, name, copy.original)
    except BadInput as refusal:
        problem = refusal.problems[0]
        if problem.path != ("name",):
            raise
        return _copy_form(request, copy, name=sent.text("name"), error=problem.text())
    return go_to(request, urls.project(project_id))


def _copy_form(request: Request, copy: Copy, *, name: str | None = None, error: str | None = None) -> HTMLResponse:
    return render(
        request,
        "revisions/duplicate.html",
        CopyPage(
            copy=copy,
            name=copy.project.name if name is None else name,
            errors={"name": error} if error else {},
            token=new_token(),
        ),
        status=422 if error else 200,
        headers=MAIN_ONLY,
    )


def _page(
    request: Request,
    project_id: int,
    *,
    paper: Paper | None = None,
    reasons: Sequence[str] = (),
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    found = revisions.revisions_of(request.app.state.store, project_id)
    ready = found.ready
    if ready is None:
        name, units = found.heads[0].project_name, Units.MM
    else:
        name, units = ready.standing.project.name, ready.standing.project.units
        paper = paper or usual_paper(units)
    return render(
        request,
        "revisions/revisions.html",
        RevisionsPage(
            project_id=project_id,
            name=name,
            ready=ready,
            joints=_joints(ready),
            reasons=tuple(reasons or (ready.reasons if ready else ())),
            stale=stale,
            revisions=found.heads,
            outdated=_outdated(request.app.state.store, project_id),
            kinds=tuple(USES.items()),
            papers=PAPER_NAMES,
            paper=paper.label if paper else "",
            token=new_token(),
        ),
        status=status,
        units=units,
    )


def _outdated(store: Store, project_id: int | None = None) -> dict[tuple[int, int], tuple[str, ...]]:
    """Why set-up sheets no longer hold, in the shop's units, by project and revision."""
    found = outdated_sheets(store, project_id)
    if not found:
        return {}
    units = the_shop(store).units
    return {
        (each.head.project_id, each.head.number): tuple(change.text(units) for change in each.changes)
        for each in found
    }


def _joints(ready: revisions.Ready | None) -> tuple[int, int]:
    """How many joints there are, and how many of them cannot be made."""
    plans = [joint for each in ready.standing.takeoff.assemblies for joint in each.joints] if ready else []
    return (
        sum(joint.joint.quantity for joint in plans),
        sum(joint.joint.quantity for joint in plans if joint.plan is None),
    )


def _labels(request: Request, project_id: int) -> LabelChoices:
    """Labels whose codes lead to the part on the schedule, at an address that whoever scans them can open."""
    base = address_for_others(request.app.state.network, request.scope) or str(request.base_url)
    return LabelChoices(address=urls.parts_from(base, project_id))


def _pdf(body: bytes, disposition: str, file_name: str) -> Response:
    """A PDF under a name that is made of our own words and numbers: RFC 6266's simple form is enough."""
    headers = {"Content-Disposition": f'{disposition}; filename="{file_name}"'}
    return Response(body, media_type="application/pdf", headers=headers)
