"""``dovetally quote``: what a project file is quoted at, as lines of text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from webapp.terminal.result_tables import Row, columns
from webapp.wording.quote import ROUNDING, minutes_rows, reckoning_words

if TYPE_CHECKING:
    from domain.lengths import Units
    from domain.quoting.reckoning import Reckoning
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff

_SUMS: Row = ("From cost to price", "", "Amount")
_MINUTES: Row = ("Minutes", "", "As planned", "As ticked")


def quote_file(project: Project, takeoff: Takeoff) -> tuple[dict[str, Any], Iterator[str], bool]:
    """The project's quote: as JSON, as lines, and whether it has a total. Raises BadInput."""
    from domain.quoting.document import quote_document
    from domain.quoting.of_file import basis_of_file
    from domain.quoting.reckoning import reckon, settle
    from domain.spec.quote import NO_TERMS, ShopTerms

    reckoning = reckon(basis_of_file(project, takeoff), settle(project.quote or NO_TERMS, ShopTerms()))
    document = quote_document(reckoning, project.name, project.customer)
    return document, quote_table(reckoning, project.name, project.units), reckoning.total is not None


def quote_table(reckoning: Reckoning, name: str, units: Units) -> Iterator[str]:
    """Materials, work, and the way from cost to price; then what is missing, if anything is."""
    words = reckoning_words(reckoning, units)
    yield name
    for part in words.parts:
        head: Row = (part.name, "", "How much", "Cost", "How it is reckoned")
        rows = [(line.what, "", line.quantity, line.amount, line.why) for line in part.lines]
        yield ""
        yield from columns([head, *rows, ("Together", "", "", part.amount, "")])
    yield ""
    yield from columns([_SUMS, *((each.what, each.why, each.amount) for each in words.sums)])
    yield ""
    yield from columns(
        [_MINUTES, *((what, "", planned, ticked) for what, planned, ticked in minutes_rows(reckoning))]
    )
    yield ""
    yield from words.notes
    yield from (f"Missing: {each.what}: {each.says}" for each in words.missing)
    yield ROUNDING
