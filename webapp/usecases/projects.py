"""Projects as the pages need them: listed, planned, changed. The store is opened and closed in here.

Every function that changes something has committed it when it returns.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import cast
from weakref import WeakKeyDictionary

from sqlmodel import Session

from domain.notes import Note
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Plug
from domain.spec.project import MOST_ASSEMBLIES, Project
from domain.spec.rules import Rules
from domain.spec.wood import PartChange
from domain.takeoff.build import gather
from domain.takeoff.takeoff import AssemblyTakeoff, PlugCount, Totals
from webapp.store import Store
from webapp.store import assemblies as stored_assemblies
from webapp.store import projects as stored
from webapp.store.assemblies import StoredAssembly
from webapp.store.catalogue import list_plugs, list_sections
from webapp.store.engine import Life, life_of
from webapp.store.errors import NotFound
from webapp.store.ledger import release
from webapp.store.projects import ProjectHead, StoredProject
from webapp.store.rows import Step
from webapp.store.shop import load_shop
from webapp.store.tokens import Sending
from webapp.store.trials import shops_starts
from webapp.usecases.booking import book_once, change_once
from webapp.usecases.kept import Kept
from webapp.usecases.long_work import LongWork, TakesLong
from webapp.usecases.takeoffs import (
    Means,
    assembly_takeoff,
    is_planned,
    keep_plans,
    plan_apart,
)
from webapp.wording.problems import InputProblem

Edition = tuple[int, int, int, Life]
"""A project's number, its version, the catalogue's edition and the data's life: what was worked out for one holds
for it."""

_BENCHES_KEPT = 64
PLANNED_SOON = 250
"""Assemblies that are planned in about two seconds."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What the catalogue knows of prices, in whole minor units of the shop's ``currency``."""

    currency: str
    keys: Mapping[tuple[str, float], int]
    plugs: Mapping[tuple[str, float], int]

    def key(self, section: str, length: float) -> int | None:
        """One key of a section and length in mm; None where no price is known."""
        return self.keys.get((section, length))

    def plug(self, plug: PlugCount) -> int | None:
        """One plug; None where no price is known."""
        return self.plugs.get((plug.material, plug.height))


@dataclass(frozen=True, slots=True)
class Bench:
    """What an assembly of a project is planned and typed in with, apart from the assembly itself.

    ``parts`` is what was changed on the parts list, ``notes`` what was noted, both by mark; ``note`` is about
    the whole.
    """

    edition: Edition
    head: ProjectHead
    means: Means
    prices: Prices
    sections: tuple[str, ...]
    plugs: tuple[Plug, ...]
    parts: Mapping[str, PartChange]
    note: str | None
    notes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class PlannedAssembly:
    """A stored assembly with its takeoff, or with the problems that keep it from one."""

    stored: StoredAssembly
    takeoff: AssemblyTakeoff | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class PlannedProject:
    """A whole project, planned."""

    bench: Bench
    assemblies: tuple[PlannedAssembly, ...]
    totals: Totals
    notes: tuple[Note, ...]

    @property
    def head(self) -> ProjectHead:
        """The project's head."""
        return self.bench.head

    @property
    def rules(self) -> Rules:
        """The rules it is planned with."""
        return self.bench.means.rules


def edition(store: Store, project_id: int) -> Edition:
    """The project's present edition, at the price of one small query. Raises NotFound."""
    with store.reading() as session:
        return project_id, *stored.edition(session, project_id), life_of(session)


def plan(store: Store, project_id: int) -> PlannedProject:
    """The project with all its takeoffs. An assembly whose sizes clash is left out of the totals.

    Raises NotFound or Unreadable.
    """
    with store.reading() as session:
        whole = stored.load_project(session, project_id)
        bench = bench_in(session, whole)
    return _whole(whole, bench)


def plan_soon(store: Store, project_id: int) -> PlannedProject:
    """The same for somebody who waits. Raises TakesLong too where so much is to be planned that it takes long."""
    return plan_all_soon(store, (project_id,))[0]


def plan_all_soon(store: Store, numbers: Iterable[int]) -> tuple[PlannedProject, ...]:
    """Several projects, each once, in their order. Raises as ``plan_soon``, BadInput for too many assemblies."""
    seen: list[tuple[StoredProject, Bench]] = []
    count = 0
    with store.reading() as session:
        for number in dict.fromkeys(numbers):
            whole = stored.load_project(session, number)
            count += len(whole.assemblies)
            if count > MOST_ASSEMBLIES:
                most = Problem.of(("projects",), count, InputProblem.ASSEMBLIES_AT_ONCE, most_n=MOST_ASSEMBLIES)
                raise BadInput([most])
            seen.append((whole, bench_in(session, whole)))
    _plan_or_wait(seen)
    return tuple(_whole(whole, bench) for whole, bench in seen)


def _plan_or_wait(seen: Iterable[tuple[StoredProject, Bench]]) -> None:
    """Plan what is not planned yet, as many as are planned soon. Raises TakesLong for what is left."""
    left: list[tuple[Assembly, Means]] = []
    made = 0
    for whole, bench in seen:
        for each in whole.assemblies:
            if is_planned(each.spec, bench.means):
                continue
            if made < PLANNED_SOON:
                # one whose sizes clash is refused at once
                made += planned(each, bench.means).takeoff is not None
            else:
                left.append((each.spec, bench.means))
    if left:
        wanted = tuple(left)
        same = "plans", tuple(bench.edition for _, bench in seen)
        raise TakesLong(
            LongWork(
                f"Planning {len(left)} assemblies",
                plan_apart,
                (wanted,),
                lambda result: keep_plans(wanted, cast("list[AssemblyTakeoff | None]", result)),
                same,
            )
        )


def _whole(whole: StoredProject, bench: Bench) -> PlannedProject:
    assemblies = tuple(planned(assembly, bench.means) for assembly in whole.assemblies)
    good = tuple(each.takeoff for each in assemblies if each.takeoff is not None)
    takeoff = gather(whole.head.name, good, bench.means.rules)
    notes = takeoff.notes if good or not assemblies else ()
    return PlannedProject(bench, assemblies, takeoff.totals, notes)


def planned(assembly: StoredAssembly, means: Means) -> PlannedAssembly:
    """The assembly with its takeoff, or with what keeps it from one."""
    try:
        return PlannedAssembly(assembly, assembly_takeoff(assembly.spec, means))
    except BadInput as refusal:
        return PlannedAssembly(assembly, None, refusal.problems)


_BENCHES: WeakKeyDictionary[Store, Kept[Bench]] = WeakKeyDictionary()


def bench(store: Store, project_id: int) -> Bench:
    """What an assembly of the project is planned with; kept while the project and the shop stand.

    Raises NotFound or Unreadable.
    """
    with store.reading() as session:
        return _kept_bench(store, session, (project_id, *stored.edition(session, project_id), life_of(session)))


def bench_of(store: Store, project_id: int, assembly_id: int) -> tuple[Bench, str]:
    """The same, and the kind of one of its assemblies, at the price of one query.

    Raises NotFound or Unreadable.
    """
    with store.reading() as session:
        version, shops, kind = stored.edition_of(session, project_id, assembly_id)
        return _kept_bench(store, session, (project_id, version, shops, life_of(session))), kind


def _kept_bench(store: Store, session: Session, edition: Edition) -> Bench:
    kept = _BENCHES.setdefault(store, Kept(_BENCHES_KEPT))
    found = kept.get(edition)
    if found is None:
        found = bench_in(session, stored.load_project(session, edition[0]))
        kept.put(edition, found)
    return found


def bench_in(session: Session, whole: stored.StoredProject) -> Bench:
    """What the loaded project's assemblies are planned with, as the session sees the shop."""
    shop, catalogue, plugs = load_shop(session), list_sections(session), list_plugs(session)
    sections = [each.section for each in catalogue]
    means = Means.of(whole.project, sections, shop.rules, shops_starts(session))
    prices = Prices(
        shop.currency,
        MappingProxyType(
            {
                (each.section.name, length.mm): price
                for each in catalogue
                for length, price in each.prices.items()
                if price is not None
            }
        ),
        MappingProxyType(
            {(each.plug.material, each.plug.height.mm): each.price for each in plugs if each.price is not None}
        ),
    )
    names = tuple(section.name for section in means.sections)
    edition = (whole.head.id, whole.head.version, shop.edition, life_of(session))
    return Bench(
        edition,
        whole.head,
        means,
        prices,
        names,
        tuple(each.plug for each in plugs),
        MappingProxyType(whole.project.parts or {}),
        whole.project.note,
        MappingProxyType(whole.project.notes or {}),
    )


def assembly(store: Store, project_id: int, assembly_id: int) -> StoredAssembly:
    """An assembly of that project. Raises NotFound, also where it is another project's."""
    with store.reading() as session:
        return _of(session, project_id, assembly_id)


def _of(session: Session, project_id: int, assembly_id: int) -> StoredAssembly:
    found = stored_assemblies.load_assembly(session, assembly_id)
    if found.project_id != project_id:
        raise NotFound("assembly", assembly_id)
    return found


def create_project(store: Store, sent: Sending, project: Project) -> int:
    """A new project, once for each form sent; its number. Raises BadInput."""
    return _once(store, sent, lambda session: stored.create_project(session, project))


def save_head(store: Store, sent: Sending, project_id: int, version: int, head: Project) -> None:
    """Change the project's own fields and pinned choices to those of ``head``. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        now = stored.update_head(
            session,
            project_id,
            version,
            name=head.name,
            customer=head.customer,
            units=head.units,
            currency=head.currency,
        )
        stored.update_choices(session, project_id, now, head.keys)

    change_once(store, sent, act)


def save_rules(store: Store, sent: Sending, project_id: int, version: int, rules: Rules | None) -> None:
    """Give the project rules of its own, or with None the shop's again. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        stored.update_rules(session, project_id, version, rules)

    change_once(store, sent, act)


def delete_project(store: Store, sent: Sending, project_id: int, version: int) -> None:
    """Delete the project with its assemblies; what it has reserved is free again. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        stored.delete_project(session, project_id, version)
        release(session, project_id)

    change_once(store, sent, act)


def save_assembly(
    store: Store, sent: Sending, project_id: int, assembly_id: int, version: int, spec: Assembly
) -> None:
    """Put ``spec`` in the place of the assembly's. Raises NotFound, StaleEdit, MarkTaken or BadInput."""

    def act(session: Session) -> None:
        _of(session, project_id, assembly_id)
        stored_assemblies.update_assembly(session, assembly_id, version, spec)

    change_once(store, sent, act)


def duplicate_assembly(store: Store, sent: Sending, project_id: int, assembly_id: int) -> int:
    """A copy right after the assembly, once for each form sent; the copy's number. Raises NotFound."""

    def act(session: Session) -> int:
        _of(session, project_id, assembly_id)
        return stored_assemblies.duplicate_assembly(session, assembly_id)

    return _once(store, sent, act)


def move_assembly(store: Store, sent: Sending, project_id: int, assembly_id: int, step: Step) -> None:
    """Swap the assembly with its neighbour, once for each form sent. Raises NotFound."""

    def act(session: Session) -> tuple[int, ...]:
        _of(session, project_id, assembly_id)
        stored_assemblies.move_assembly(session, assembly_id, step)
        return ()

    book_once(store, sent, act)


def delete_assembly(store: Store, sent: Sending, project_id: int, assembly_id: int, version: int) -> None:
    """Delete the assembly. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        _of(session, project_id, assembly_id)
        stored_assemblies.delete_assembly(session, assembly_id, version)

    change_once(store, sent, act)


def _once(store: Store, sent: Sending, act: Callable[[Session], int]) -> int:
    return book_once(store, sent, lambda session: (act(session),))[0]
