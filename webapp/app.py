"""The web application: one factory that puts store, guards, pages and files together."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from fastapi import FastAPI, Request, Response
from fastapi.middleware import Middleware
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware

from webapp.pages.projects import home
from webapp.site import failures, urls
from webapp.site.demo_place import DemoPlace
from webapp.site.door import Door
from webapp.site.gate import Gate
from webapp.site.guards import BodyCap, LastResort, OwnHost, OwnOrigin, SafeHeaders, own_hosts
from webapp.site.incoming import SentBefore
from webapp.site.later import LaterPages
from webapp.site.network import Network
from webapp.site.patience import BodyInTime
from webapp.site.rendering import STATIC, VersionedFiles
from webapp.site.undo_offer import UndoOffer
from webapp.store.tokens import SentOtherwise
from webapp.usecases.jobs import Jobs
from webapp.usecases.long_work import TakesLong
from webapp.usecases.pairing import Pairing
from webapp.usecases.places import NoPlace, Places, TooMuchWork

if TYPE_CHECKING:
    from webapp.store import Store

PACKED = (
    *DEFAULT_EXCLUDED_CONTENT_TYPES,
    "application/pdf",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
)
"""What is packed in itself already, beside what Starlette knows."""

# in the order in which an address is tried: what is asked for with every key press comes first
LATER = (
    "webapp.pages.projects.preview",
    "webapp.pages.projects.projects",
    "webapp.pages.projects.project_state",
    "webapp.pages.projects.notes",
    "webapp.pages.projects.photographs",
    "webapp.pages.projects.assemblies",
    "webapp.pages.projects.rule_change",
    "webapp.pages.projects.schedule",
    "webapp.pages.projects.setting_out",
    "webapp.pages.projects.assembly_sheet",
    "webapp.pages.projects.table",
    "webapp.pages.projects.list_import",
    "webapp.pages.projects.kept_patterns",
    "webapp.pages.timber.parts_list",
    "webapp.pages.timber.part_change",
    "webapp.pages.timber.cutting",
    "webapp.pages.timber.cutting_stock",
    "webapp.pages.machine.set_ups",
    "webapp.pages.machine.at_machine",
    "webapp.pages.machine.ticked_time",
    "webapp.pages.projects.keys_to_buy",
    "webapp.pages.projects.movement",
    "webapp.pages.orders.costs",
    "webapp.pages.projects.exports",
    "webapp.pages.quotes.quote",
    "webapp.pages.quotes.issued",
    "webapp.pages.quotes.shop_terms",
    "webapp.pages.revisions.revisions",
    "webapp.pages.past.bin",
    "webapp.pages.past.history",
    "webapp.pages.projects.demo",
    "webapp.pages.projects.exchange",
    "webapp.pages.catalogue.catalogue",
    "webapp.pages.catalogue.sections",
    "webapp.pages.catalogue.plugs",
    "webapp.pages.stock.stockroom",
    "webapp.pages.timber.timber",
    "webapp.pages.stock.new_wood",
    "webapp.pages.stock.stock_items",
    "webapp.pages.stock.stock_count",
    "webapp.pages.stock.project_stock",
    "webapp.pages.stock.suppliers",
    "webapp.pages.stock.offers",
    "webapp.pages.stock.offer_import",
    "webapp.pages.orders.ordering",
    "webapp.pages.orders.orders",
    "webapp.pages.trials.starts",
    "webapp.pages.trials.mouldings",
    "webapp.pages.trials.trials",
    "webapp.pages.trials.scales",
    "webapp.pages.shop.look",
    "webapp.pages.shop.rules",
    "webapp.pages.shop.backups",
    "webapp.pages.shop.health",
    "webapp.pages.shop.jobs",
    "webapp.pages.shop.devices",
    "webapp.pages.shop.pair",
    "webapp.pages.shop.cautions",
    "webapp.pages.shop.glossary",
    "webapp.pages.shop.sent_forms",
    "webapp.pages.shop.patterns",
    "webapp.api.routes",
)


def create_app(
    store: Store,
    *,
    port: int,
    also_hosts: Collection[str] = (),
    scheme: str = "http",
    network: Network | None = None,
    door: Door | None = None,
    guarded: bool = False,
) -> FastAPI:
    """The application over ``store``, answering to this computer's own names on ``port``.

    ``also_hosts`` are further exact Host values, with their port where it is not the scheme's own. Other devices
    may come in where a ``network`` says under which names; where there is None, every request is taken for the
    computer's own, so nothing but 127.0.0.1 may be listened to. Where there is a ``door``, that can be changed
    from the page of devices. ``guarded`` is the demo's application: its requests have passed the shop's guards.
    """
    guards = [
        Middleware(SafeHeaders, on_network=network is not None),
        Middleware(
            OwnHost,
            hosts=own_hosts(port, scheme) | {host.lower() for host in also_hosts},
            network=network,
        ),
        Middleware(LastResort),
        Middleware(Gate, on_network=network is not None, unpaired=_unpaired),
        Middleware(OwnOrigin),
        # a drawing is text and packs to a tenth; the quickest level will do
        Middleware(GZipMiddleware, minimum_size=1_000, compresslevel=1, exclude_content_types=PACKED),
        Middleware(UndoOffer, offered=_undo_offered),
        Middleware(BodyInTime),
        Middleware(BodyCap),
    ]
    within = [Middleware(LastResort), Middleware(UndoOffer, offered=_undo_offered)]
    app = FastAPI(
        title="Dovetally",
        docs_url=None,  # its page needs a network and inline script; the description itself is enough
        redoc_url=None,
        openapi_url=None,  # what is open to programs is described at /api/openapi.json
        middleware=within if guarded else guards,
    )
    app.state.store = store
    app.state.jobs = Jobs()
    app.state.places = Places()
    app.state.network = network
    app.state.door = door
    app.state.pairing = Pairing()
    failures.register(app)
    app.add_exception_handler(SentBefore, _sent_again)
    app.add_exception_handler(SentOtherwise, _sent_otherwise)
    app.add_exception_handler(TakesLong, _long_work_first)
    app.add_exception_handler(NoPlace, failures.no_place)
    app.add_exception_handler(TooMuchWork, failures.too_much_work)
    app.mount(urls.static_files, VersionedFiles(directory=STATIC), name="static")
    app.include_router(home.router)
    if not guarded:
        app.state.demo_place = _demo_place(app, port)
        app.mount(urls.demo, app.state.demo_place)
    app.state.later = LaterPages(app, LATER)
    return app


def _undo_offered(request: Request, token: str) -> str:
    from webapp.pages.past.bin import undo_offered

    return undo_offered(request, token)


def _demo_place(app: FastAPI, port: int) -> DemoPlace:
    # the demo is loaded when somebody comes in
    def store_of() -> Store:
        from webapp.usecases.demo import demo_file, open_demo

        return open_demo(demo_file(app.state.store))

    def throw_away() -> None:
        from webapp.usecases.demo import demo_file, throw_demo_away

        throw_demo_away(demo_file(app.state.store))

    return DemoPlace(store_of, lambda demo: create_app(demo, port=port, guarded=True), throw_away)


def _unpaired(request: Request) -> Response:
    from webapp.pages.shop.pair import ask_to_pair

    return ask_to_pair(request)


def _sent_again(request: Request, error: Exception) -> Response:
    # a page like the others, loaded when it is needed
    from webapp.pages.shop.sent_forms import answer_again

    assert isinstance(error, SentBefore)
    return answer_again(request, error)


def _long_work_first(request: Request, error: Exception) -> Response:
    from webapp.pages.shop.jobs import begun_first

    assert isinstance(error, TakesLong)
    return begun_first(request, error)


def _sent_otherwise(request: Request, error: Exception) -> Response:
    from webapp.pages.shop.sent_forms import answer_otherwise

    assert isinstance(error, SentOtherwise)
    return answer_otherwise(request, error)
