"""What programs are answered: documents in, documents out, from values alone, so that it may be done apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from domain.machine.document import set_ups_document
from domain.ordering.order import order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import read_order_request
from domain.takeoff.document import check_document, takeoff_document
from webapp.papers.kinds import DocumentKind, LabelChoices, Paper
from webapp.usecases.drafts import draft, heading_today
from webapp.usecases.files import Planned, is_project, plan_document, plan_several, set_up_sheet_of
from webapp.usecases.shop import Lent

Document = dict[str, Any]
"""What is answered, as it is described."""

MOST_CHECKED, MOST_TAKEN_OFF, MOST_SET_UP, MOST_PRINTED, MOST_CUT = 250, 60, 150, 12, 8
"""Assemblies of which each takes about two seconds; more are done apart."""
MOST_PACKS = 60
"""Packs on offer among which the cheapest are found soon, however suppliers' terms lie."""


def planned(lent: Lent, document: object, *, advice: bool = False) -> Planned:
    """The project of a parsed document with what the shop lends, and its takeoff. Raises BadInput."""
    return plan_document(document, lent.sections, lent.rules, lent.starts, advice=advice)


def assemblies_of(document: object) -> int:
    """How many assemblies a parsed document has, as it says: a list of projects those of all."""
    if isinstance(document, list):
        return sum(map(assemblies_of, document))
    listed = document.get("assemblies") if isinstance(document, dict) else None
    return len(listed) if isinstance(listed, list) else 0


def packs_of(document: object) -> int:
    """How many packs an order request has, as it says."""
    listed = document.get("packs") if isinstance(document, dict) else None
    return len(listed) if isinstance(listed, list) else 0


def cuts_long(document: object) -> bool:
    """Whether a cutting plan may take long: many assemblies, or many sizes of a wood."""
    from webapp.usecases.cutting_plans import FEW_BARS

    if is_project(document):
        return assemblies_of(document) > MOST_CUT
    woods = [*_listed(document, "bars"), *_listed(document, "sheets")]
    return any(len(_listed(wood, "pieces")) > FEW_BARS for wood in woods)


def _listed(document: object, name: str) -> list[Any]:
    found = document.get(name) if isinstance(document, dict) else None
    return found if isinstance(found, list) else []


def checked(lent: Lent, document: object) -> Document:
    """Which joints cannot be made."""
    return check_document(planned(lent, document)[1])


def taken_off(lent: Lent, document: object) -> Document:
    """A takeoff with advice."""
    project, takeoff = planned(lent, document, advice=True)
    return takeoff_document(takeoff, project)


def set_up(lent: Lent, documents: Sequence[object]) -> Document:
    """The set-ups of projects."""

    def plan(document: object) -> Planned:
        return planned(lent, document)

    together = plan_several(documents, plan, lambda number, _: number)
    return set_ups_document(set_up_sheet_of(together, lent.rules))


def ordered(document: object) -> Document:
    """The cheapest packs for an order request."""
    return order_document(plan_order(read_order_request(document)))


def cut(lent: Lent, document: object) -> Document:
    """The cutting plan of a request, or of a project from its own stock."""
    # the solver is loaded when it is first needed
    from domain.cut_list.of_file import asked_of_project
    from domain.cutting.document import cutting_document
    from domain.cutting.request import read_cutting_request
    from webapp.usecases.cutting_plans import asked_document, plan_now

    if not is_project(document):
        return cutting_document(plan_now(read_cutting_request(document)))
    project, takeoff = planned(lent, document)
    asked = asked_of_project(project, takeoff, lent.rules)
    return asked_document(asked, plan_now(asked.request), project)


def printed(lent: Lent, document: object, kind: DocumentKind, paper: Paper, labels: LabelChoices) -> bytes:
    """A project's document as PDF, a draft of the day."""
    project, takeoff = planned(lent, document, advice=kind is DocumentKind.SCHEDULE)
    return draft(kind, project, takeoff, heading_today(project, lent.shop), paper, labels)
