"""The shop: its name, how it counts, its rules, and the edition of everything it plans with."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.reading import read
from domain.spec.project import Project
from domain.spec.quote import ShopTerms
from domain.spec.rules import Rules
from webapp.store.columns import choice_in
from webapp.store.rows import claim, find
from webapp.store.specs import read_rules, read_shop_terms, rules_text, terms_text
from webapp.store.tables import ShopRow

ONE = 1
NO_TERMS = ShopTerms()


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop. ``version`` is for the form that edits it.

    ``edition`` rises with every change of sections, plugs or rules: what was worked out for one holds
    for as long as it stands. ``terms`` are what quotes usually go by.
    """

    name: str
    units: Units
    currency: str
    rules: Rules
    version: int
    edition: int
    terms: ShopTerms = NO_TERMS


def load_shop(session: Session) -> Shop:
    """The shop; a fresh one has no name and every rule at its default."""
    row = find(session, ShopRow, ONE)
    return Shop(
        name=row.name,
        units=choice_in(Units, row.units),
        currency=row.currency,
        rules=read_rules("shop", ONE, row.rules_json),
        version=row.version,
        edition=row.edition,
        terms=read_shop_terms(row.quote_json),
    )


def update_shop(session: Session, version: int, *, name: str, units: Units, currency: str, rules: Rules) -> int:
    """Change the shop; its new version. Raises StaleEdit, or BadInput with the field's name as path."""
    _check(name, currency)
    row = claim(session, ShopRow, ONE, version)
    row.name, row.units, row.currency = " ".join(name.split()), units.value, currency
    row.rules_json = rules_text(rules)
    raise_edition(session)
    return row.version


def update_terms(session: Session, version: int, terms: ShopTerms) -> int:
    """Change what quotes usually go by; the shop's new version. No plan is made of it, so its edition stays.

    Raises StaleEdit.
    """
    row = claim(session, ShopRow, ONE, version)
    row.quote_json = terms_text(terms)
    session.flush()
    return row.version


def raise_edition(session: Session) -> None:
    """Tell that what the shop plans with has changed; for the store's own use."""
    find(session, ShopRow, ONE).edition += 1
    session.flush()


def _check(name: str, currency: str | None) -> None:
    """A shop is called by the same rules as a project, except that it may have no name yet."""
    if currency is None:
        raise BadInput([Problem.of(("currency",), "missing", ProblemCode.MISSING)])
    read(Project, {"name": name if name.strip() else "-", "currency": currency})
