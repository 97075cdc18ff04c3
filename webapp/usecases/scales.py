"""The machine's scales: calibrations written down, settings corrected by them, set-up sheets that they outdate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from sqlmodel import Session

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.catalogue import CutterKind, Section
from domain.trials.calibration import (
    FENCE,
    Calibration,
    Change,
    Corrections,
    Figure,
    KeptCalibration,
    Scale,
    changed_since,
    in_force,
)
from domain.trials.trial import no_such_cutter
from webapp.papers.kinds import DocumentKind
from webapp.store import Store
from webapp.store.calibrations import add_calibration, list_calibrations
from webapp.store.catalogue import list_sections
from webapp.store.columns import moment_text
from webapp.store.engine import life_of, today
from webapp.store.revisions import RevisionHead, load_revision, revisions_with
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once
from webapp.usecases.kept import Kept
from webapp.usecases.snapshots import read_snapshot
from webapp.wording.problems import InputProblem

MOST_KEPT = 10_000
_FIGURES: WeakKeyDictionary[Store, Kept[tuple[Figure, ...]]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Scales:
    """All that the page of scales shows. ``in_force`` has the fence and every cutter of the catalogue.

    ``calibrations`` are all there were, the newest first.
    """

    today: str
    in_force: Mapping[Figure, KeptCalibration | None]
    calibrations: tuple[KeptCalibration, ...]


def load_scales(store: Store) -> Scales:
    """The machine's scales as they stand today."""
    with store.reading() as session:
        kept, day = list_calibrations(session), today(session).isoformat()
        sections = tuple(each.section for each in list_sections(session))
    figures = [FENCE, *(figure for section in sections for figure in _cutters(section))]
    return Scales(day, {figure: in_force(kept, figure, day) for figure in figures}, kept)


def calibrate(store: Store, sent: Sending, calibration: Calibration) -> int:
    """Write a calibration down, once for each form sent; its number.

    Raises BadInput, also for a cutter that the catalogue does not have and a day that is still to come.
    """

    def act(session: Session) -> tuple[int]:
        problems = [*_unknown_cutter(session, calibration)]
        day = today(session).isoformat()
        if calibration.day > day:
            problems.append(Problem.of(("day",), calibration.day, InputProblem.TOO_LATE, today_text=day))
        if problems:
            raise BadInput(problems)
        return (add_calibration(session, calibration),)

    return book_once(store, sent, act)[0]


def corrections(store: Store) -> Corrections:
    """What today's settings are corrected by."""
    with store.reading() as session:
        return Corrections(list_calibrations(session), today(session).isoformat())


@dataclass(frozen=True, slots=True)
class OutdatedSheet:
    """An issued revision whose set-up sheet no longer holds, and what changed since."""

    head: RevisionHead
    changes: tuple[Change, ...]


def outdated_sheets(store: Store, project_id: int | None = None) -> tuple[OutdatedSheet, ...]:
    """The issued set-up sheets, of one project or of all, that calibrations have outdated; the last issued first.

    Raises DamagedRevision.
    """
    with store.reading() as session:
        kept, day = list_calibrations(session), today(session).isoformat()
        newest = max((each.booked for each in kept), default="")
        found = []
        for head in revisions_with(session, DocumentKind.SET_UPS, project_id):
            issued = moment_text(head.issued_at)
            if issued < newest:
                issued_on = head.issued_at.astimezone().date().isoformat()
                changes = changed_since(kept, _figures_in(store, session, head), issued, issued_on, day)
                found += [OutdatedSheet(head, changes)] if changes else []
    return tuple(found)


def _figures_in(store: Store, session: Session, head: RevisionHead) -> tuple[Figure, ...]:
    """The scales that a revision's slots are set with; it never changes in one life."""
    figures = _FIGURES.setdefault(store, Kept(MOST_KEPT))
    key = (head.project_id, head.number, life_of(session))
    known = figures.get(key)
    if known is None:
        known = figures_of(read_snapshot(load_revision(session, head.project_id, head.number).snapshot))
        figures.put(key, known)
    return known


def figures_of(snapshot: Mapping[str, Any]) -> tuple[Figure, ...]:
    """The scales that a snapshot's slots are set with: the fence, and the depth scale for each of its cutters."""
    used = dict.fromkeys(
        Figure(Scale.DEPTH, joint["section"], CutterKind(joint["cutter"]))
        for assembly in snapshot["takeoff"]["assemblies"]
        for joint in assembly["joints"]
        if joint["section"] is not None
    )
    return (FENCE, *used) if used else ()


def _cutters(section: Section) -> tuple[Figure, ...]:
    kinds = (kind for kind in CutterKind if section.tip(kind) is not None)
    return tuple(Figure(Scale.DEPTH, section.name, kind) for kind in kinds)


def _unknown_cutter(session: Session, calibration: Calibration) -> tuple[Problem, ...]:
    if calibration.scale is Scale.FENCE or calibration.section is None or calibration.cutter is None:
        return ()
    sections = {each.section.name: each.section for each in list_sections(session)}
    section = sections.get(calibration.section)
    if section is None:
        there = ", ".join(sections) or "none yet"
        return (Problem.of(("section",), calibration.section, ProblemCode.NO_SUCH_SECTION, there_text=there),)
    if section.tip(calibration.cutter) is None:
        return (no_such_cutter(calibration.cutter, section),)
    return ()
