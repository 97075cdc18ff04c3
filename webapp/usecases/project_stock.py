"""A project and the stock: what it needs and has, what is short for it, and its states from plan to built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zlib import crc32

from sqlmodel import Session

from domain.ordering.items import Item
from domain.ordering.needs import Job, project_needs
from domain.spec.job import Stage
from webapp.store import Store, ledger
from webapp.store.balances import NO_CLAIM, Balance, Claim, balances, claims_of
from webapp.store.projects import ProjectHead
from webapp.store.stages import StagedProject, set_stage, staged_projects
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.wood_needs import wood_needs


@dataclass(frozen=True, slots=True)
class StockLine:
    """An item of a project. ``balance`` is None for one that the stockroom does not have yet."""

    item: Item
    needs: int
    claim: Claim
    balance: Balance | None
    stage: Stage

    @property
    def still(self) -> int:
        """What the project still needs, beyond what was used; 0 once it is built."""
        return 0 if self.stage.is_done else max(0, self.needs - self.claim.used)

    @property
    def for_it(self) -> int:
        """What is on hand that no other project has reserved."""
        if self.balance is None:
            return 0
        return max(0, self.balance.on_hand - (self.balance.reserved - self.claim.reserved))

    @property
    def short(self) -> int:
        """What is missing on the shelf for what it still needs, what is on order aside."""
        return max(0, self.still - self.for_it)

    @property
    def moved(self) -> int:
        """By how much it needs more (or fewer, below 0) than was reserved for, in a project going ahead."""
        return self.needs - self.claim.needed if self.stage is Stage.GOING_AHEAD else 0


@dataclass(frozen=True, slots=True)
class ShortElsewhere:
    """An item of this project of which others have reserved more than is left."""

    item: Item
    missing: int
    projects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProjectStock:
    """A project's stock page. ``clashes``: some assemblies could not be planned, so their needs are unknown.

    ``edition`` is that of the catalogue and rules that the needs were worked out with, and of the wood: what lies
    there and is sold decides how it is cut.
    """

    head: ProjectHead
    edition: int
    lines: tuple[StockLine, ...]
    elsewhere: tuple[ShortElsewhere, ...]
    clashes: bool

    @property
    def stage(self) -> Stage:
        """How far the project has come."""
        return self.head.stage

    @property
    def needs(self) -> dict[Item, int]:
        """What is to be reserved for it in all."""
        return {line.item: line.needs for line in self.lines if line.needs}

    @property
    def moved(self) -> tuple[StockLine, ...]:
        """Lines whose need has changed since they were reserved."""
        return tuple(line for line in self.lines if line.moved)


def project_stock(store: Store, project_id: int) -> ProjectStock:
    """The project's needs against the stock of this moment. Raises NotFound, Unreadable or TakesLong."""
    project = plan_soon(store, project_id)
    wood = wood_needs(store, (project,)).items
    needs = {**needs_of(project), **wood}
    with store.reading() as session:
        claims = claims_of(session, project_id)
        shelves = {balance.item: balance for balance in balances(session)}
        projects = staged_projects(session)
    items = sorted({*needs, *(item for item, claim in claims.items() if claim != NO_CLAIM)}, key=lambda i: i.order)
    lines = tuple(
        StockLine(item, needs.get(item, 0), claims.get(item, NO_CLAIM), shelves.get(item), project.head.stage)
        for item in items
    )
    elsewhere = (_elsewhere(line, project_id, projects) for line in lines)
    return ProjectStock(
        head=project.head,
        edition=_edition(project.bench.edition[2], wood),
        lines=lines,
        elsewhere=tuple(each for each in elsewhere if each is not None),
        clashes=any(each.takeoff is None for each in project.assemblies),
    )


def _edition(shop: int, wood: Mapping[Item, int]) -> int:
    """The shop's edition; with wood, a number that is another one for another plan of it."""
    if not wood:
        return shop
    told = "; ".join(f"{count} {item.name}" for item, count in wood.items())
    return crc32(f"{shop}: {told}".encode()) % 10**9


def needs_of(project: PlannedProject) -> dict[Item, int]:
    """What a project needs of keys, plugs and glue: used, tests, spares; an assembly that clashes is left out."""
    good = tuple(each.takeoff for each in project.assemblies if each.takeoff is not None)
    needs = project_needs(Job(project.head.name, good, project.rules))
    return {item: need.total for item, need in needs.items()}


def _elsewhere(line: StockLine, project_id: int, projects: Mapping[int, StagedProject]) -> ShortElsewhere | None:
    if line.balance is None:
        return None
    others = {
        number: claim for number, claim in line.balance.claims.items() if claim.reserved and number != project_id
    }
    missing = max(0, sum(claim.reserved for claim in others.values()) - line.balance.on_hand)
    if not missing or not line.claim.used:
        return None
    names = (projects[number].name for number in sorted(others) if number in projects)
    return ShortElsewhere(line.item, missing, tuple(names))


def go_ahead(store: Store, sent: Sending, project_id: int, version: int, needs: Mapping[Item, int]) -> Numbers:
    """Reserve what the project needs in all; what it has used already is not reserved again.

    For a project that goes ahead already, this brings its claims to the new needs. Returns the
    movements' numbers. Raises NotFound, StaleEdit or BadInput.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.GOING_AHEAD)
        return ledger.reserve(session, project_id, needs)

    return book_once(store, sent, act)


def built(
    store: Store, sent: Sending, project_id: int, version: int, used: Mapping[Item, int], note: str = ""
) -> Numbers:
    """Book what was used beyond what is booked already, and let go of the rest; all of it or nothing.

    Items with 0 are left out. Returns the movements' numbers. Raises NotFound, StaleEdit, NotEnough
    or BadInput.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.BUILT)
        taken = tuple(
            ledger.use(session, project_id, item, quantity, note)
            for item, quantity in used.items()
            if quantity != 0
        )
        return taken + ledger.release(session, project_id)

    return book_once(store, sent, act)


def back_to_planned(store: Store, sent: Sending, project_id: int, version: int) -> Numbers:
    """Let go of what the project has reserved; what it has used stays booked.

    Returns the movements' numbers. Raises NotFound or StaleEdit.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.PLANNED)
        return ledger.release(session, project_id)

    return book_once(store, sent, act)
