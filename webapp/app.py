"""The web application: one factory that puts store, guards, pages and files together."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from fastapi import FastAPI
from fastapi.middleware import Middleware

from webapp import api, handlers
from webapp.guards import BodyCap, LastResort, OwnHost, OwnOrigin, SafeHeaders, own_hosts
from webapp.pages import (
    assemblies,
    catalogue,
    cautions,
    demo,
    exchange,
    home,
    keys_to_buy,
    plugs,
    projects,
    rules,
    schedule,
    sections,
)
from webapp.pages.rendering import STATIC
from webapp.static_files import VersionedFiles

if TYPE_CHECKING:
    from webapp.store import Store

# in the order in which an address is tried
ROUTERS = (
    home.router,
    projects.router,
    assemblies.router,
    schedule.router,
    keys_to_buy.router,
    demo.router,
    exchange.router,
    catalogue.router,
    sections.router,
    plugs.router,
    rules.router,
    cautions.router,
    api.router,
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
    if debug_api:
        app.openapi = lambda: api.describe(app)  # type: ignore[method-assign]
    handlers.register(app)
    app.mount("/static", VersionedFiles(directory=STATIC), name="static")
    for router in ROUTERS:
        app.include_router(router)
    return app
