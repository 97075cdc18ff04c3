"""The web application: one factory that puts store, guards, pages and files together."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from fastapi import FastAPI
from fastapi.middleware import Middleware

from webapp import handlers
from webapp.guards import BodyCap, LastResort, OwnHost, OwnOrigin, SafeHeaders, own_hosts
from webapp.later import LaterPages
from webapp.pages import home
from webapp.pages.rendering import STATIC
from webapp.static_files import VersionedFiles

if TYPE_CHECKING:
    from webapp.store import Store

# in the order in which an address is tried
LATER = (
    "webapp.pages.projects",
    "webapp.pages.assemblies",
    "webapp.pages.schedule",
    "webapp.pages.set_ups",
    "webapp.pages.shop_mode",
    "webapp.pages.ticked_time",
    "webapp.pages.keys_to_buy",
    "webapp.pages.costs",
    "webapp.pages.exports",
    "webapp.pages.issues",
    "webapp.pages.demo",
    "webapp.pages.exchange",
    "webapp.pages.catalogue",
    "webapp.pages.sections",
    "webapp.pages.plugs",
    "webapp.pages.stockroom",
    "webapp.pages.stock_items",
    "webapp.pages.stock_count",
    "webapp.pages.project_stock",
    "webapp.pages.suppliers",
    "webapp.pages.offers",
    "webapp.pages.offer_import",
    "webapp.pages.ordering",
    "webapp.pages.orders",
    "webapp.pages.starts",
    "webapp.pages.mouldings",
    "webapp.pages.trials",
    "webapp.pages.stops",
    "webapp.pages.rules",
    "webapp.pages.cautions",
    "webapp.api",
)


def create_app(store: Store, *, port: int, also_hosts: Collection[str] = (), debug_api: bool = False) -> FastAPI:
    """The application over ``store``, answering to this computer's own names on ``port``.

    ``also_hosts`` are further exact Host values, with their port where it is not 80. ``debug_api``
    serves the API's description at /openapi.json, for tests; a released program does not.
    """
    app = FastAPI(
        title="Dovetally",
        docs_url=None,  # its page needs a network and inline script; the schema itself is enough
        redoc_url=None,
        openapi_url="/openapi.json" if debug_api else None,
        middleware=[
            Middleware(SafeHeaders),
            Middleware(OwnHost, hosts=own_hosts(port) | {host.lower() for host in also_hosts}),
            Middleware(OwnOrigin),
            Middleware(LastResort),
            Middleware(BodyCap),
        ],
    )
    app.state.store = store
    handlers.register(app)
    app.mount("/static", VersionedFiles(directory=STATIC), name="static")
    app.include_router(home.router)
    app.state.later = LaterPages(app, LATER)
    if debug_api:
        _describe(app)
    return app


def _describe(app: FastAPI) -> None:
    """Serve the interface's description; for that, every route must be there."""
    from webapp import api

    app.state.later.load()
    app.openapi = lambda: api.describe(app)  # type: ignore[method-assign]
