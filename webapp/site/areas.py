"""The areas of the main menu, and which of them a page belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from starlette._utils import get_route_path

from webapp.site import urls
from webapp.site.urls import Address


@dataclass(frozen=True, slots=True)
class Area:
    """An area by its name in the menu: the page that this leads to, and what else lies in it, with all below."""

    name: str
    page: Address
    others: tuple[Address, ...] = ()

    def lies(self, path: str) -> bool:
        """Whether the path, without the demo's place, lies in it."""
        roots = (root.partition("/{")[0] for root in (self.page, *self.others))
        return any(path == root or path.startswith(f"{root}/") for root in roots)


AREAS = (
    Area(
        "Projects",
        urls.projects,
        (
            urls.import_project,
            urls.kept_patterns,
            urls.all_revisions,
            urls.quotes,
            urls.parts_together,
            urls.timber_together,
            urls.cutting_together,
            urls.set_ups_together,
            urls.shop_together,
            urls.the_bin,
        ),
    ),
    Area("Catalogue", urls.catalogue),
    Area("Stockroom", urls.stockroom, (urls.suppliers, urls.offer, urls.import_offers)),
    Area("Orders", urls.orders),
    Area("Test pieces", urls.trials, (urls.scales,)),
    Area("Shop settings", urls.rules, (urls.backups, urls.devices)),
    Area("Cautions", urls.cautions),
)


def area_of(path: str) -> Area | None:
    """The area that a path lies in, without the demo's place; None for a page of no area.

    What lies in two is of the later one, as offers that are brought in are: those are the stockroom's.
    """
    return next((area for area in reversed(AREAS) if area.lies(path)), None)


def area_here(request: Request) -> Area | None:
    """The area of the page that is asked for."""
    return area_of(get_route_path(request.scope))
