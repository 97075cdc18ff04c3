"""A stored project's quote: reckoned by today's offers, its terms kept, issued under a number for good.

Papers are set before the transaction that keeps them; it begins with a look whether all still is as it was seen.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from weakref import WeakKeyDictionary

from sqlmodel import Session

from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet
from domain.machine.ticked_time import Compared, Mark, ticked_time
from domain.machine.work_time import work_time
from domain.ordering.costs import unit_prices
from domain.ordering.needs import project_needs
from domain.problems import BadInput
from domain.quoting.document import quote_document
from domain.quoting.materials import materials_of, not_taken
from domain.quoting.of_file import planned_minutes
from domain.quoting.reckoning import Basis, Minutes, Reckoning, reckon, settle
from domain.quoting.rounding import exact
from domain.spec.project import Project
from domain.spec.quote import NO_TERMS, QuoteTerms, ShopTerms
from webapp.papers.kinds import Letterhead, Paper, QuotePaper
from webapp.papers.render import render_quote, templates_mark
from webapp.store import Store
from webapp.store import quotes as stored
from webapp.store.engine import now, today
from webapp.store.errors import StaleEdit
from webapp.store.issued import DocumentKey
from webapp.store.projects import load_project, project_version, update_quote
from webapp.store.quotes import IssuedQuote, QuoteHead
from webapp.store.shop import Shop, load_shop, update_terms
from webapp.store.stock_edition import stock_edition
from webapp.store.ticks import list_ticks
from webapp.store.tokens import Sending, once, outcome_of
from webapp.usecases.booking import change_once
from webapp.usecases.costs import prices_of_one
from webapp.usecases.days_offers import days_offers_in
from webapp.usecases.exchange import project_document
from webapp.usecases.kept import Kept
from webapp.usecases.ordering import job_of
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.revisions import NotIssuable, program_mark
from webapp.usecases.set_ups import source_of
from webapp.usecases.shop_sheet import open_sheet
from webapp.usecases.snapshots import Json, canonical
from webapp.usecases.wood_needs import planned_wood
from webapp.usecases.wood_quoted import not_of_the_shop
from webapp.wording.quote import Difference, changed_since, made_lines, reckoning_words

FORMAT = "dovetally-issued-quote"
TOO_FEW = "too few pieces are ticked off to tell"
AT_ONCE = "pieces were ticked off all at once, after the work"
TOO_MUCH = "more is ticked off than is planned by now"
_BASES_KEPT = 64


@dataclass(frozen=True, slots=True)
class Quoted:
    """A project with its quote as it stands: its own terms, the shop's usual ones, and what it takes.

    ``number`` is what the next quote of the shop gets; ``mark`` is another one for another reckoning.
    """

    project: PlannedProject
    own: QuoteTerms
    shop: Shop
    basis: Basis
    reckoning: Reckoning
    number: int
    issued: tuple[QuoteHead, ...]
    today: date

    @property
    def document(self) -> Json:
        """The quote as open JSON."""
        return quote_document(self.reckoning, self.project.head.name, self.project.head.customer)

    @property
    def mark(self) -> str:
        """What a form that issues the quote carries: it is issued as it was seen, or not at all."""
        said = {"quote": self.document, "address": self.own.address, "note": self.own.note}
        shop = {"name": self.shop.name, "address": self.shop.terms.address, "closing": self.shop.terms.closing}
        return hashlib.sha256(canonical({**said, "shop": shop}).encode()).hexdigest()[:16]

    def with_terms(self, own: QuoteTerms) -> Reckoning:
        """The same with other terms of the project's own."""
        return reckon(self.basis, settle(own, self.shop.terms))


@dataclass(frozen=True, slots=True)
class Standing:
    """An issued quote in a list: whether it still holds, and how today's reckoning differs from it.

    ``changed`` is None where the project has been deleted.
    """

    head: QuoteHead
    holds: bool
    changed: tuple[Difference, ...] | None


@dataclass(frozen=True, slots=True)
class Made:
    """A quote that is ready to be kept."""

    head: QuoteHead
    snapshot: str
    documents: Mapping[DocumentKey, bytes]


def quote_of(store: Store, project_id: int) -> Quoted:
    """The project’s quote as it stands today. Raises NotFound, Unreadable, BadInput or TakesLong."""
    project = plan_soon(store, project_id)
    basis = basis_of(store, project)
    with store.reading() as session:
        own = _of_what_is_taken(load_project(session, project_id).project.quote or NO_TERMS, basis)
        shop = load_shop(session)
        number, day = stored.next_number(session), today(session)
        issued = stored.list_quotes(session, project_id)
    return Quoted(project, own, shop, basis, reckon(basis, settle(own, shop.terms)), number, issued, day)


def _of_what_is_taken(own: QuoteTerms, basis: Basis) -> QuoteTerms:
    """The terms without prices typed for what the project takes no more: nobody has to take them out."""
    gone = not_taken(basis.materials, own.prices)
    return own.model_copy(update={"prices": tuple(each for each in own.prices if each.item not in gone)})


_BASES: WeakKeyDictionary[Store, Kept[Basis]] = WeakKeyDictionary()


def basis_of(store: Store, project: PlannedProject) -> Basis:
    """What the project takes by today's offers; kept for as long as nothing that it rests on has changed."""
    with store.reading() as session:
        ticks = list_ticks(session, project.head.id)
        last = max((tick.number for tick in ticks), default=0)
        key = (project.bench.edition, stock_edition(session), today(session), last)
    kept = _BASES.setdefault(store, Kept(_BASES_KEPT))
    found = kept.get(key)
    if found is None:
        found = _basis(store, project)
        kept.put(key, found)
    return found


def _basis(store: Store, project: PlannedProject) -> Basis:
    woods = planned_wood(store, (project,), bare_shelf=True) if project.assemblies else None
    needs = {item: need.total for item, need in project_needs(job_of(project)).items()}
    items = {**needs, **(woods.items if woods else {})}
    with store.reading() as session:
        offers = days_offers_in(session, today(session), project.bench.prices.currency)
    prices = unit_prices(offers.packs, prices_of_one(items, project.bench.prices))
    other = not_of_the_shop(woods.woods) if woods else ()
    return Basis(
        currency=project.bench.prices.currency,
        materials=(*other, *materials_of(items, prices)),
        minutes=_minutes(store, project),
        assemblies=len(project.assemblies),
        clashes=tuple(each.stored.spec.mark for each in project.assemblies if each.takeoff is None),
        not_made=sum(
            joint.joint.quantity
            for each in project.assemblies
            if each.takeoff is not None
            for joint in each.takeoff.joints
            if joint.plan is None
        ),
    )


def _minutes(store: Store, project: PlannedProject) -> Minutes:
    source = source_of(project)
    if not any(joint.plan for each in source.takeoff.assemblies for joint in each.joints):
        return Minutes(why=TOO_FEW)
    _, sheet, state = open_sheet(store, [project.head.id])
    marks = [Mark(tick.set_up, tick.piece, tick.count, tick.at.timestamp() / 60) for tick in state.ticks]
    return minutes_of(source, sheet, marks)


def minutes_of(source: Source, sheet: Sheet, marks: list[Mark]) -> Minutes:
    """Minutes as planned, and as ticked: what can be compared as it was ticked, all else as planned."""
    planned = planned_minutes(work_time(source, sheet), TOO_FEW)
    found = ticked_time(sheet, marks, source.rules)
    changing = found.changing if found.changing.telling else Compared()
    told = found.milling + changing
    if not told.steps:
        at_once = any(each.milling.at_once for each in found.lines)
        return Minutes(planned.setting_up, planned.milling, planned.driving, None, AT_ONCE if at_once else TOO_FEW)
    rest = planned.at_the_machine - exact(round(told.planned, 6))
    if rest < 0:
        return Minutes(planned.setting_up, planned.milling, planned.driving, None, TOO_MUCH)
    ticked = rest + exact(round(told.ticked, 6))
    return Minutes(planned.setting_up, planned.milling, planned.driving, ticked)


def save_terms(store: Store, sent: Sending, project_id: int, version: int, terms: QuoteTerms) -> None:
    """Keep the project's terms, once for each form sent. Raises NotFound, StaleEdit or BadInput."""
    change_once(store, sent, lambda session: _saved(session, project_id, version, terms))


def _saved(session: Session, project_id: int, version: int, terms: QuoteTerms) -> None:
    update_quote(session, project_id, version, None if terms == NO_TERMS else terms)


def save_shop_terms(store: Store, sent: Sending, version: int, terms: ShopTerms) -> None:
    """Keep what quotes usually go by, once for each form sent. Raises StaleEdit or BadInput."""

    def act(session: Session) -> None:
        update_terms(session, version, terms)

    change_once(store, sent, act)


def draft(store: Store, project_id: int, kind: QuotePaper, paper: Paper) -> bytes:
    """A paper of the quote as it stands, marked as a draft and not kept. Raises NotIssuable or BadInput."""
    quoted = quote_of(store, project_id)
    with store.reading() as session:
        moment = now(session)
    _check(quoted)
    return render_quote(kind, quoted.reckoning, letterhead(quoted, "", moment), paper)


def letterhead(quoted: Quoted, number: str, moment: datetime) -> Letterhead:
    """Whose quote it is and to whom; ``moment`` is when it is issued, by the shop's own day."""
    head, day = quoted.project.head, moment.astimezone().date()
    assemblies = quoted.project.assemblies
    return Letterhead(
        project=head.name,
        customer=head.customer or "",
        address=quoted.own.address,
        shop=quoted.shop.name,
        shop_address=quoted.shop.terms.address,
        number=number,
        date=day.isoformat(),
        valid_until=quoted.reckoning.valid_until(day).isoformat(),
        units=head.units,
        stamp=moment.replace(microsecond=0),
        work=made_lines(
            [each.stored.spec for each in assemblies],
            [each.takeoff for each in assemblies if each.takeoff is not None],
            head.units,
        ),
        note=quoted.own.note,
        closing=quoted.shop.terms.closing,
    )


def issue(store: Store, sent: Sending, project_id: int, number: int, mark: str, paper: Paper) -> int:
    """Issue the project's quote as it was seen, once for each form sent; its number.

    Raises NotFound, StaleEdit where figures, words or the next number have moved on since, or NotIssuable.
    """
    with store.reading() as session:
        earlier = outcome_of(session, sent)
        moment = now(session)
    if earlier is not None:
        return int(earlier)
    quoted = quote_of(store, project_id)
    version = quoted.project.head.version
    if (quoted.number, quoted.mark) != (number, mark):
        raise StaleEdit("project", project_id, version)
    made = make(quoted, number, moment, paper)

    def act(session: Session) -> str:
        if (project_version(session, project_id), stored.next_number(session)) != (version, number):
            raise StaleEdit("project", project_id, version)
        stored.add_quote(session, made.head, made.snapshot, made.documents)
        return str(number)

    with store.writing() as session:
        outcome, _ = once(session, sent, lambda: act(session))
    return int(outcome)


def make(quoted: Quoted, number: int, moment: datetime, paper: Paper) -> Made:
    """The quote set on paper under its number. Raises NotIssuable."""
    _check(quoted)
    head = letterhead(quoted, str(number), moment)
    try:
        documents = {
            (kind.value, paper.label): render_quote(kind, quoted.reckoning, head, paper) for kind in QuotePaper
        }
    except BadInput as refusal:
        raise NotIssuable(*(f"{problem}." for problem in refusal.problems)) from None
    total = quoted.reckoning.total
    assert total is not None
    project = quoted.project.head
    return Made(
        QuoteHead(
            number=number,
            project_id=project.id,
            project_name=project.name,
            customer=project.customer,
            currency=quoted.reckoning.currency,
            total=total,
            issued_at=moment,
            valid_until=date.fromisoformat(head.valid_until),
            program=program_mark(),
            templates=templates_mark(),
        ),
        canonical(_snapshot(quoted, head)),
        documents,
    )


def _snapshot(quoted: Quoted, head: Letterhead) -> Json:
    """All that the quote is made of, whole in itself."""
    specs = tuple(each.stored.spec for each in quoted.project.assemblies)
    means = quoted.project.bench.means
    project = quoted.project.bench.head
    spec = Project(
        name=project.name,
        customer=project.customer,
        units=project.units,
        currency=project.currency,
        sections=means.sections or None,
        rules=means.rules,
        quote=quoted.own,
        keys=means.choices,
        assemblies=specs,
    )
    return {
        "format": FORMAT,
        "version": 1,
        "number": int(head.number),
        "date": head.date,
        "valid_until": head.valid_until,
        "shop": {"name": head.shop, "address": list(head.shop_address), "closing": list(head.closing)},
        "quote": quoted.document,
        "project": project_document(spec),
    }


def _check(quoted: Quoted) -> None:
    missing = reckoning_words(quoted.reckoning, quoted.project.head.units).missing
    if missing:
        raise NotIssuable(*(f"{each.what}: {each.says}." for each in missing))


def standings(store: Store, quoted: Quoted) -> tuple[Standing, ...]:
    """The project's issued quotes, the last first, each against today's reckoning. Raises DamagedQuote."""
    return tuple(
        Standing(head, quoted.today <= head.valid_until, _changed(store, head, quoted)) for head in quoted.issued
    )


def _changed(store: Store, head: QuoteHead, quoted: Quoted) -> tuple[Difference, ...]:
    return changed_since(read_snapshot(load_quote(store, head.number))["quote"], quoted.document)


def list_quotes(store: Store) -> tuple[tuple[QuoteHead, bool], ...]:
    """Every issued quote of every project, the last first, and whether it still holds."""
    with store.reading() as session:
        day = today(session)
        return tuple((head, day <= head.valid_until) for head in stored.list_quotes(session))


def load_quote(store: Store, number: int) -> IssuedQuote:
    """One issued quote. Raises NotFound or DamagedQuote."""
    with store.reading() as session:
        return stored.load_quote(session, number)


def reprint(store: Store, number: int, kind: QuotePaper, paper: Paper) -> bytes:
    """A paper's bytes just as they were issued. Raises NotFound or DamagedQuote."""
    with store.reading() as session:
        return stored.load_document(session, number, kind.value, paper.label)


def read_snapshot(issued: IssuedQuote) -> Json:
    """What an issued quote was made of."""
    found: Json = json.loads(issued.snapshot)
    return found
