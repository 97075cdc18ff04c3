"""Issuing a project: a numbered revision whose documents reprint byte for byte for as long as there is paper.

Documents are set before the transaction that keeps them, so that nobody waits for the compositor. The
transaction begins with a look whether all still is as it was seen: the edition, and the next number.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib.metadata import version

from sqlmodel import Session

from domain.advice.advise import advised
from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff
from webapp.papers.kinds import ISSUED, DocumentKind, Heading, LabelChoices, LabelTooSmall, Paper
from webapp.papers.render import render, templates_mark
from webapp.store import Store
from webapp.store import revisions as stored
from webapp.store.engine import now
from webapp.store.errors import NotFound, StaleEdit
from webapp.store.issued import DocumentKey
from webapp.store.projects import edition as stored_edition
from webapp.store.revisions import Revision, RevisionHead
from webapp.store.tokens import Sending, once, outcome_of
from webapp.usecases.snapshots import (
    Clashes,
    Comparison,
    Json,
    Sight,
    Standing,
    canonical,
    compare,
    look_in,
    read_snapshot,
    snapshot,
    stand,
)
from webapp.wording.problems import clash_text

Render = Callable[[DocumentKind, Project, Takeoff, Heading, Paper, LabelChoices], bytes]
DRAFT = "draft"
USUAL_LABELS = LabelChoices()


class NotIssuable(Exception):
    """The project cannot be put on paper as it is; ``reasons`` are sentences that say why."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


@dataclass(frozen=True, slots=True)
class Seen:
    """What a form to issue was made of: the project's version, the catalogue's edition, the next number."""

    version: int
    catalogue: int
    number: int


@dataclass(frozen=True, slots=True)
class Ready:
    """What the next revision would be: the project as it stands, and why it cannot be issued, if so.

    ``same``: nothing has changed since the revision before it.
    """

    seen: Seen
    standing: Standing
    reasons: tuple[str, ...]
    same: bool


@dataclass(frozen=True, slots=True)
class Revisions:
    """A project's revisions, the last first; ``ready`` is None where the project has been deleted."""

    ready: Ready | None
    heads: tuple[RevisionHead, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """How a revision differs from the project now, or from another revision; ``units`` are its own.

    ``clashes`` are assemblies of the project that cannot be taken off now; they are left out of it.
    """

    units: Units
    comparison: Comparison
    clashes: Clashes


@dataclass(frozen=True, slots=True)
class Asked:
    """The next revision, asked for: its number and moment, and the project as it was seen then."""

    number: int
    moment: datetime
    sight: Sight


@dataclass(frozen=True, slots=True)
class Made:
    """A revision that is ready to be kept."""

    head: RevisionHead
    snapshot: str
    documents: Mapping[DocumentKey, bytes]


def list_revisions(store: Store) -> tuple[RevisionHead, ...]:
    """Every revision of every project, the one issued last first."""
    with store.reading() as session:
        return stored.list_revisions(session)


def revisions_of(store: Store, project_id: int) -> Revisions:
    """The project's revisions and what the next one would be. Raises NotFound where there is neither."""
    with store.reading() as session:
        heads = stored.list_revisions(session, project_id)
        try:
            sight = look_in(session, project_id)
        except NotFound:
            if not heads:
                raise
            return Revisions(None, heads)
        last = canonical(_snapshot(session, project_id, heads[0].number)) if heads else None
    standing = stand(sight)
    seen = Seen(*standing.edition, heads[0].number + 1 if heads else 1)
    return Revisions(Ready(seen, standing, _reasons(standing), last == canonical(snapshot(standing))), heads)


def issue(
    store: Store,
    sent: Sending,
    project_id: int,
    seen: Seen,
    paper: Paper,
    render: Render = render,
    labels: LabelChoices = USUAL_LABELS,
) -> int:
    """Issue the project on ``paper`` as it was ``seen``, once for each form sent; the revision's number.

    Raises NotFound, StaleEdit where the project, the catalogue or the next number has moved on since,
    or NotIssuable.
    """
    asked = ask(store, sent, project_id, seen)
    if isinstance(asked, int):
        return asked
    return keep(store, sent, project_id, seen, make(asked, paper, render, labels))


def ask(store: Store, sent: Sending, project_id: int, seen: Seen) -> Asked | int:
    """The next revision as it would be made now; its number where this form issued it. Raises as ``issue``."""
    with store.reading() as session:
        earlier = outcome_of(session, sent)
        if earlier is not None:
            return int(earlier)
        _check_seen(session, project_id, seen)
        return Asked(seen.number, now(session), look_in(session, project_id))


def keep(store: Store, sent: Sending, project_id: int, seen: Seen, made: Made) -> int:
    """Keep what was made of what ``ask`` saw, once for each form sent; its number. Raises StaleEdit."""

    def act(session: Session) -> str:
        _check_seen(session, project_id, seen)
        stored.add_revision(session, made.head, made.snapshot, made.documents)
        return str(seen.number)

    with store.writing() as session:
        outcome, _ = once(session, sent, lambda: act(session))
    return int(outcome)


def make(
    asked: Asked,
    paper: Paper,
    render: Render = render,
    labels: LabelChoices = USUAL_LABELS,
    begun: Callable[[DocumentKind], None] = lambda kind: None,
) -> Made:
    """The revision set on paper under its number; ``begun`` is told of each document before it is set.

    This may take long, and needs no store: in a transaction it would hold every writer up. Raises NotIssuable.
    """
    number, moment = asked.number, asked.moment
    standing = stand(asked.sight)
    heading = _heading(standing, str(number), moment)
    head = RevisionHead(
        project_id=asked.sight.whole.head.id,
        number=number,
        project_name=standing.project.name,
        customer=standing.project.customer,
        issued_at=moment,
        program=program_mark(),
        templates=templates_mark(),
    )
    documents = {}
    for kind in ISSUED:
        begun(kind)
        documents[kind.value, paper.label] = _document(kind, standing, heading, paper, render, labels)
    return Made(head, canonical(snapshot(standing)), documents)


def load_revision(store: Store, project_id: int, number: int) -> Revision:
    """One revision. Raises NotFound or DamagedRevision."""
    with store.reading() as session:
        return stored.load_revision(session, project_id, number)


def reprint(store: Store, project_id: int, number: int, kind: DocumentKind, paper: Paper) -> bytes:
    """The document's bytes just as they were issued. Raises NotFound or DamagedRevision."""
    with store.reading() as session:
        return stored.load_document(session, project_id, number, kind.value, paper.label)


def draft(
    store: Store,
    project_id: int,
    kind: DocumentKind,
    paper: Paper,
    render: Render = render,
    labels: LabelChoices = USUAL_LABELS,
) -> bytes:
    """A document of the project as it stands, marked as a draft and not kept. Raises NotFound or NotIssuable."""
    with store.reading() as session:
        sight, moment = look_in(session, project_id), now(session)
    return draft_of(sight, moment, kind, paper, render, labels)


def draft_of(
    sight: Sight,
    moment: datetime,
    kind: DocumentKind,
    paper: Paper,
    render: Render = render,
    labels: LabelChoices = USUAL_LABELS,
) -> bytes:
    """The draft of a project as it was seen; this may take long, and needs no store. Raises NotIssuable."""
    standing = stand(sight)
    return _document(kind, standing, _heading(standing, DRAFT, moment), paper, render, labels)


def compare_with_now(store: Store, project_id: int, number: int) -> Compared | None:
    """How the revision differs from the project as it stands now; None where that has been deleted.

    Raises NotFound or DamagedRevision.
    """
    with store.reading() as session:
        before = _snapshot(session, project_id, number)
        try:
            sight = look_in(session, project_id)
        except NotFound:
            return None
    standing = stand(sight)
    # through text, so that both sides went the same way
    after: Json = json.loads(canonical(snapshot(standing)))
    found = compare(_without(before, standing.clashes), after)
    return Compared(_units(before), found, standing.clashes)


def compare_with_other(store: Store, project_id: int, number: int, other: int) -> Compared:
    """How the revision ``other`` differs from the revision ``number``. Raises NotFound or DamagedRevision."""
    with store.reading() as session:
        before, after = (_snapshot(session, project_id, each) for each in (number, other))
    return Compared(_units(before), compare(before, after), {})


@cache
def program_mark() -> str:
    """The program and the compositor that a revision is issued with."""
    return f"dovetally {version('dovetally')}, typst {version('typst')}"


def _check_seen(session: Session, project_id: int, seen: Seen) -> None:
    edition = stored_edition(session, project_id)
    if seen != Seen(*edition, stored.next_number(session, project_id)):
        raise StaleEdit("project", project_id, edition[0])


def _heading(standing: Standing, revision: str, moment: datetime) -> Heading:
    project = standing.project
    return Heading(
        project=project.name,
        customer=project.customer or "",
        shop=standing.shop,
        revision=revision,
        date=moment.astimezone().strftime("%Y-%m-%d"),  # the shop's own day
        units=project.units,
        stamp=moment.replace(microsecond=0),
        corrections=standing.corrections,
    )


def _document(
    kind: DocumentKind,
    standing: Standing,
    heading: Heading,
    paper: Paper,
    render: Render,
    labels: LabelChoices,
) -> bytes:
    reasons = _reasons(standing)
    if reasons:
        raise NotIssuable(*reasons)
    try:
        return render(kind, standing.project, _takeoff_for(kind, standing), heading, paper, labels)
    except BadInput as refusal:
        raise NotIssuable(*(f"{kind.heading}: {problem}." for problem in refusal.problems)) from None
    except LabelTooSmall as refusal:
        raise NotIssuable(f"{kind.heading}: {refusal}") from None


def _takeoff_for(kind: DocumentKind, standing: Standing) -> Takeoff:
    """The takeoff, with advice at its joints where the document shows them."""
    if kind is not DocumentKind.SCHEDULE:
        return standing.takeoff
    project = standing.project
    return advised(project, standing.takeoff, project.sections or (), project.rules or Rules())


def _reasons(standing: Standing) -> tuple[str, ...]:
    """Why the project cannot be put on paper; nothing where it can."""
    if not standing.project.assemblies:
        return ("There is no assembly in it yet.",)
    return tuple(
        f"The sizes of {mark} clash: {clash_text(why, standing.project.units)}."
        for mark, why in standing.clashes.items()
    )


def _snapshot(session: Session, project_id: int, number: int) -> Json:
    return read_snapshot(stored.load_revision(session, project_id, number).snapshot)


def _units(document: Json) -> Units:
    return Units(document["project"]["units"])


def _without(document: Json, marks: Container[str]) -> Json:
    """The snapshot without these assemblies: they are not gone, they cannot be taken off now."""
    takeoff = document["takeoff"]
    assemblies = [assembly for assembly in takeoff["assemblies"] if assembly["mark"] not in marks]
    return document | {"takeoff": takeoff | {"assemblies": assemblies}}
