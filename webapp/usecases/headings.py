"""Title blocks of what is printed of several projects together, or of the shop."""

from __future__ import annotations

from collections.abc import Sequence

from domain.lengths import Units
from webapp.papers.kinds import Heading
from webapp.store import Store
from webapp.store.engine import now
from webapp.store.shop import load_shop
from webapp.usecases.drafts import DRAFT
from webapp.usecases.projects import PlannedProject

AS_IT_STANDS = "as it stands"
"""What stands for the revision on a sheet that is none of a project's."""


def heading_together(store: Store, projects: Sequence[PlannedProject], *, numbered: bool = False) -> Heading:
    """The title block of a draft of these projects together: their names, and the shop's day.

    ``numbered``: with the numbers that stand before the marks of several projects, "1 Bench, 2 Stool".
    """
    names = [project.head.name for project in projects]
    if numbered and len(names) > 1:
        names = [f"{number} {name}" for number, name in enumerate(names, start=1)]
    customers = dict.fromkeys(project.head.customer for project in projects if project.head.customer)
    return heading_of_shop(
        store, projects[0].head.units, ", ".join(names), customer=", ".join(customers), revision=DRAFT
    )


def heading_of_shop(
    store: Store, units: Units, project: str = "", *, customer: str = "", revision: str = AS_IT_STANDS
) -> Heading:
    """The title block of a sheet of the shop as it stands on this day; ``project`` is what it is for."""
    with store.reading() as session:
        shop, moment = load_shop(session).name, now(session)
    return Heading(
        project=project,
        customer=customer,
        shop=shop,
        revision=revision,
        date=moment.astimezone().strftime("%Y-%m-%d"),
        units=units,
        stamp=moment.replace(microsecond=0),
    )
