"""The main menu marks the area that a page lies in, on every page that lies in one."""

from __future__ import annotations

from importlib import import_module

from fastapi.routing import APIRoute

from tests.client import TestClient
from tests.webapp.pages.reading import soup
from webapp.app import LATER
from webapp.pages.projects import home
from webapp.site import urls
from webapp.site.areas import AREAS, area_of

OF_NONE = {
    # of the whole program
    urls.home, urls.glossary, urls.look, urls.health, urls.patterns, urls.pair, urls.demo_afresh,
    # work under way, of whatever page began it; what asks after a form; files and what programs ask for
    urls.job, urls.end_job, urls.job_result, urls.sent_form, urls.export_offers,
    urls.api_check, urls.api_takeoff, urls.api_setups, urls.api_order, urls.api_cutting, urls.api_quote,
    urls.api_print, urls.api_description,
    # leads on to what was undone
    urls.undo_edit,
}  # fmt: skip


def test_every_page_lies_in_an_area_or_is_known_to_lie_in_none() -> None:
    modules = [home, *(import_module(name) for name in LATER)]
    routes = {route.path for module in modules for route in module.router.routes if isinstance(route, APIRoute)}
    assert {path for path in routes if area_of(path) is None} == set(map(str, OF_NONE))
    assert {area.name for path in routes if (area := area_of(path)) is not None} == {area.name for area in AREAS}


def test_the_menu_marks_it_in_the_demo_too(client: TestClient) -> None:
    for path, name in (
        (urls.kept_patterns(), "Projects"), (urls.the_bin(), "Projects"), (urls.import_offers(), "Stockroom"),
        (urls.suppliers(), "Stockroom"), (urls.scales(), "Test pieces"), (urls.backups(), "Shop settings"),
        (urls.way_in(), "Projects"), (urls.demo + urls.kept_patterns(), "Projects"), (urls.glossary(), ""),
    ):  # fmt: skip
        marked = soup(client.get(path)).select("header nav [aria-current=page]")
        assert [link.get_text() for link in marked] == ([name] if name else []), path
