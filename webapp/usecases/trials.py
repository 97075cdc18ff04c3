"""The book of trials as the pages need it: written, read backwards, accepted, and laid beside a project.

Every function that changes something has committed it when it returns.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from domain.lengths import Length
from domain.planning.set_up import clamp_height
from domain.problems import BadInput, Problem
from domain.spec.assemblies import MitredFrame
from domain.spec.catalogue import CutterKind, Section
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff
from domain.trials.evidence import Start, accept, start_for
from domain.trials.mouldings import KeptMoulding, Moulding, matching
from domain.trials.trial import KeptTrial, Trial, check_against, check_trial, no_such_cutter
from webapp.store import Store
from webapp.store import trials as stored
from webapp.store.catalogue import list_sections
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.store.tokens import Sending
from webapp.store.trials import StoredStart, Withdrawal
from webapp.usecases.booking import book_once, change_once
from webapp.usecases.projects import PlannedProject
from webapp.wording.problems import InputProblem


@dataclass(frozen=True, slots=True)
class Book:
    """All that the page of trials shows; trials, starts and mouldings are in the order of their lists."""

    sections: tuple[Section, ...]
    rules: Rules
    today: str
    trials: tuple[KeptTrial, ...]
    withdrawn: tuple[tuple[KeptTrial, Withdrawal], ...]
    starts: tuple[StoredStart, ...]
    mouldings: tuple[KeptMoulding, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """What a start is asked for: a section with one of its cutters, in wood of a species and a thickness in mm."""

    section: str
    cutter: CutterKind
    species: str | None
    thickness: float


def book(store: Store) -> Book:
    """The whole book. Raises Unreadable."""
    with store.reading() as session:
        return Book(
            _sections(session),
            load_shop(session).rules,
            today(session).isoformat(),
            stored.list_trials(session),
            stored.withdrawn_trials(session),
            stored.list_starts(session, ended=True),
            stored.list_mouldings(session),
        )


def book_edition(store: Store) -> tuple[int, ...]:
    """What changes with whatever is written into the book that pages show but no plan counts on, and by the day.

    A calibration may be dated ahead: it counts from its day on, though nothing is written then.
    """
    with store.reading() as session:
        return (*stored.book_edition(session), today(session).toordinal())


def record(store: Store, sent: Sending, trial: Trial, day: str | None = None) -> int:
    """Write a trial into the book under a day (ISO 8601, today's where None), once for each form sent; its number.

    Raises BadInput, also where the catalogue has no such section, the figures cannot be of it, or the day
    is still to come.
    """

    def act(session: Session) -> tuple[int]:
        section, now = _section(session, trial.section), today(session).isoformat()
        problems = [*check_trial(trial), *check_against(trial, section)]
        if day is not None and day > now:
            problems.append(Problem.of(("day",), day, InputProblem.TOO_LATE, today_text=now))
        if problems:
            raise BadInput(problems)
        return (stored.add_trial(session, trial, day or now),)

    return book_once(store, sent, act)[0]


def one_trial(store: Store, number: int) -> tuple[KeptTrial, Withdrawal | None]:
    """A trial of the book, and its withdrawal if there was one. Raises NotFound."""
    with store.reading() as session:
        return stored.load_trial(session, number)


def withdraw(store: Store, sent: Sending, number: int, why: str) -> None:
    """Let a trial count no more. Raises NotFound."""
    change_once(store, sent, lambda session: stored.withdraw_trial(session, number, why))


def start(store: Store, stock: Stock) -> Start:
    """Where a job in such stock starts, the catalogue's figure beside it. Raises BadInput."""
    with store.reading() as session:
        return _start(session, stock)


def accept_start(store: Store, sent: Sending, stock: Stock, shown: Length, *, any_wood: bool = False) -> int:
    """Plan with the projection that was ``shown`` from now on, once for each form sent; the start's number.

    Raises BadInput where the trials do not tell the snug projection, or say something else by now.
    """

    def act(session: Session) -> tuple[int]:
        start = accept(_start(session, stock), today(session).isoformat(), any_wood=any_wood)
        if start.projection != shown:
            say = start.projection.mm
            raise BadInput([Problem.of(("projection",), shown.mm, InputProblem.TRIALS_SAY_OTHER, projection=say)])
        return (stored.add_start(session, start),)

    return book_once(store, sent, act)[0]


def end_start(store: Store, sent: Sending, number: int) -> None:
    """Plan with the catalogue's projection again. Raises NotFound."""
    change_once(store, sent, lambda session: stored.end_start(session, number))


def keep_moulding(store: Store, sent: Sending, moulding: Moulding) -> int:
    """Keep a moulding with its readings, once for each form sent; its number. Raises BadInput."""
    return book_once(store, sent, lambda session: (stored.add_moulding(session, moulding),))[0]


def drop_moulding(store: Store, sent: Sending, number: int) -> None:
    """Keep a moulding no longer. Raises NotFound."""
    change_once(store, sent, lambda session: stored.delete_moulding(session, number))


@dataclass(frozen=True, slots=True)
class Beside:
    """What the book has to say about a project's set-ups; the plan is not changed by it.

    ``starts`` are for every section, cutter, wood and thickness of the plan that there are trials of,
    ``mouldings`` for every assembly's mark that has some of the same stock, the newest first.
    """

    starts: Mapping[Stock, Start]
    mouldings: Mapping[str, tuple[KeptMoulding, ...]]


def beside(store: Store, project: PlannedProject) -> Beside:
    """Starts and mouldings to show beside the project's set-ups. Raises Unreadable."""
    with store.reading() as session:
        trials, kept = stored.list_trials(session), stored.list_mouldings(session)
        shops = _sections(session)
    # a section of the project's own may be another key than the shop's of that name, which the trials are of
    sections = {section.name: section for section in project.bench.means.sections if section in shops}
    starts: dict[Stock, Start] = {}
    looked_at: set[Stock] = set()
    mouldings = {}
    for each in project.assemblies:
        spec = each.stored.spec
        if each.takeoff is not None:
            for stock in _stocks(each.takeoff, spec.material, sections):
                if stock in looked_at:
                    continue
                looked_at.add(stock)
                found = start_for(
                    sections[stock.section], stock.cutter, stock.species, stock.thickness, trials, project.rules
                )
                if found.evidence:
                    starts[stock] = found
        if isinstance(spec, MitredFrame):
            same = matching(spec.stock, 90 - 180 / spec.sides, kept)
            if same:
                mouldings[spec.mark] = same
    return Beside(starts, mouldings)


def _stocks(takeoff: AssemblyTakeoff, species: str | None, sections: Container[str]) -> Iterator[Stock]:
    for joint in takeoff.joints:
        plan = joint.plan
        if plan is not None and plan.section.name in sections:
            yield Stock(plan.section.name, plan.cutter.kind, species, round(clamp_height(joint), 3))


def _start(session: Session, stock: Stock) -> Start:
    section = _section(session, stock.section)
    if section.tip(stock.cutter) is None:
        raise BadInput([no_such_cutter(stock.cutter, section)])
    trials = stored.list_trials(session, section=stock.section, cutter=stock.cutter)
    rules = load_shop(session).rules
    return start_for(section, stock.cutter, stock.species, stock.thickness, trials, rules)


def _sections(session: Session) -> tuple[Section, ...]:
    return tuple(each.section for each in list_sections(session))


def _section(session: Session, name: str) -> Section:
    sections = {section.name: section for section in _sections(session)}
    if name not in sections:
        there = ", ".join(sections) or "none yet"
        raise BadInput([Problem.of(("section",), name, InputProblem.UNKNOWN_SECTION, there_text=there)])
    return sections[name]
