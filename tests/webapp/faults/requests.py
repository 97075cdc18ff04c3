"""Every request that stores something, ready to be sent: the forms that book, and what else is written.

The routes are the application's own. What stores nothing is named here, and a test holds it to that.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fastapi.routing import APIRoute
from httpx import Client, Response

from tests.client import TestClient
from tests.webapp.databases import copy
from tests.webapp.pages.photograph_samples import a_picture
from tests.webapp.pages.reading import soup
from tests.webapp.pages.sent_form_samples import FORMS, Fields, Form, filled, form_on
from tests.webapp.pages.trial_forms import STOCK, record, send_start
from webapp.app import LATER
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store, schema
from webapp.usecases.backups import back_up_now
from webapp.usecases.copies import copy_of_project
from webapp.usecases.exchange import project_text

STORES_NOTHING = {
    urls.api_check,
    urls.api_takeoff,
    urls.api_setups,
    urls.api_order,
    urls.api_cutting,
    urls.api_quote,
    urls.api_print,
    urls.new_assembly_preview,
    urls.new_assembly_pictorials,
    urls.assembly_preview,
    urls.assembly_pictorials,
    urls.section_preview,
    urls.movement_air,
    urls.quote_reckoning,
    urls.import_project,
    urls.import_offers,
    urls.import_list,
}
OF_OTHERS = {urls.pair, urls.device_code, urls.door, urls.end_device, urls.end_job, urls.look, urls.demo_afresh}
"""Of devices that are paired and of work that is going on, which the demo has none of: not tried here."""
BESIDE_THE_DATA = {urls.backups, urls.second_folder, urls.restore, urls.unarchive}
"""They write files beside the data, or the whole of it; what they say of themselves in it is a token at most."""
A_LIST = "Kind,Width,Height\nMitred frame,412,309\n"
PRICES = "item,supplier,pack size,price,currency,price since\nglue,South,750,8.20,EUR,2026-01-01\n"


@dataclass(frozen=True)
class Sent:
    """A request as it goes over the wire."""

    action: str
    fields: Fields = field(default_factory=list)
    document: Any = None
    """JSON in place of a form."""
    multipart: bool = False
    upload: bytes | None = None
    """A file that goes with it, under the name ``upload_as``."""
    upload_as: str = "archive"

    def to(self, client: Client) -> Response:
        """Send it."""
        answer: Response
        if self.document is not None:
            answer = client.post(self.action, json=self.document)
        elif self.upload is not None:
            answer = client.post(self.action, data=dict(self.fields), files={self.upload_as: ("a", self.upload)})
        elif self.multipart:
            answer = client.post(self.action, files=[(name, (None, text)) for name, text in self.fields])
        else:
            data: dict[str, list[str]] = {}
            for name, text in self.fields:
                data.setdefault(name, []).append(text)
            answer = client.post(self.action, data=data)
        return answer


def posting_routes() -> Iterator[Address]:
    """Every address that takes a POST."""
    for name in LATER:
        for route in import_module(name).router.routes:
            if isinstance(route, APIRoute) and "POST" in (route.methods or ()):
                yield Address(route.path)


Make = Callable[[TestClient, Store], Sent]


def _of(form: Form) -> Make:
    def make(client: TestClient, store: Store) -> Sent:
        form.before(client, store)
        return Sent(form.action, filled(client, form))

    return make


def _project_file(client: TestClient, store: Store) -> Sent:
    document = project_text(copy_of_project(store, 1))
    return Sent(urls.confirm_import(), [("token", new_token()), ("document", document)], multipart=True)


def _offers(client: TestClient, store: Store) -> Sent:
    preview = client.post(urls.import_offers(), files={"document": (None, PRICES)})
    return Sent(urls.confirm_offers(), form_on(preview, urls.confirm_offers()), multipart=True)


def _list(client: TestClient, store: Store) -> Sent:
    text = "kind;length;width;height;wall\nBox;333;217;96;14\n"
    preview = client.post(urls.import_list(1), files={"document": (None, text)})
    return Sent(urls.add_list(1), form_on(preview, urls.add_list(1)), multipart=True)


def _start(client: TestClient, store: Store) -> Sent:
    record(client)
    typed = {"token": new_token(), **STOCK, "projection": "6.45", "wood": "this"}
    return Sent(urls.starts(), list(typed.items()))


def _no_start(client: TestClient, store: Store) -> Sent:
    record(client)
    send_start(client, "6.45")
    return Sent(urls.end_start(1), [("token", new_token())])


def _second_folder(client: TestClient, store: Store) -> Sent:
    assert store.path is not None
    drive = store.path.parent.parent / "drive"
    drive.mkdir(exist_ok=True)
    return Sent(urls.second_folder(), [("second_folder", str(drive))])


def _a_restore(client: TestClient, store: Store) -> Sent:
    return Sent(urls.restore(back_up_now(store).path.name), [("token", new_token())])


def _an_archive(client: TestClient, store: Store) -> Sent:
    """The shop's own archive, and an empty shop to take it in."""
    assert store.path is not None
    upload = client.get(urls.archive()).content
    with TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.db"
        schema.bring_up_to_date(empty)
        copy(empty, store.path)
    return Sent(urls.unarchive(), [("token", new_token())], upload=upload)


def _a_photograph(client: TestClient, store: Store) -> Sent:
    fields = [("token", new_token()), ("mark", "A"), ("caption", "The corner, open")]
    return Sent(urls.photographs(1), fields, upload=a_picture(), upload_as="photograph")


def a_tick(client: TestClient, address: str) -> dict[str, Any]:
    """The first piece of the first set-up at the machine, ticked."""
    block = soup(client.get(address)).select_one(".shop-set-up")
    assert block is not None
    row = block.select_one("[data-row]")
    assert row is not None
    return {
        "uuid": "8b7d8f5e-8f0e-4c1e-9d3b-0d5f2f6c7a01",
        "set_up": str(block["data-set-up"]),
        "piece": json.loads(str(row["data-row"]))[0],
        "count": 1,
        "at": "2026-03-02T08:30:00Z",
    }


def _ticked(address: str, *, by_form: bool) -> Make:
    page = address.replace("/ticks", "")

    def make(client: TestClient, store: Store) -> Sent:
        tick = a_tick(client, page)
        if by_form:
            return Sent(address, [(name, str(value)) for name, value in tick.items()])
        return Sent(address, document=[tick])

    return make


REQUESTS: dict[Address, Make] = {
    **{address: _of(form) for address, form in FORMS.items()},
    urls.confirm_import: _project_file,
    urls.confirm_offers: _offers,
    urls.add_list: _list,
    urls.starts: _start,
    urls.end_start: _no_start,
    urls.second_folder: _second_folder,
    urls.restore: _a_restore,
    urls.unarchive: _an_archive,
    urls.photographs: _a_photograph,
    urls.shop_alone: _ticked(urls.shop(1), by_form=True),
    urls.shop_together: _ticked(urls.shop(1, 2), by_form=True),
    urls.shop_ticks_alone: _ticked(urls.shop_ticks(1), by_form=False),
    urls.shop_ticks_together: _ticked(urls.shop_ticks(1, 2), by_form=False),
}


def _look(address: str, page: str, action: str) -> Make:
    """What a form that stands on that page would send there while it is filled in."""
    return lambda client, store: Sent(address, form_on(client.get(page), action))


def _project(address: str) -> Make:
    return lambda client, store: Sent(address, document=client.get(urls.export(1)).json())


def _order(client: TestClient, store: Store) -> Sent:
    return Sent(urls.api_order, document=client.get(urls.order_request(project=1)).json())


def _cutting(client: TestClient, store: Store) -> Sent:
    bar = {
        "item": "ash 45 × 24",
        "kerf": 3.2,
        "stock": [{"length": 2400}],
        "pieces": [{"mark": "A1", "length": 481, "count": 4}],
    }
    request = {"format": "dovetally-cutting-request", "version": 1, "bars": [bar]}
    return Sent(urls.api_cutting, document=request)


def _as_file(address: str, make: Make) -> Make:
    return lambda client, store: Sent(address, make(client, store).fields, multipart=True)


NEW_BOX, A_PART, A_SECTION = urls.new_assembly(1, "box"), urls.assembly(1, 1), urls.new_section()
LOOKS: dict[Address, Make] = {
    urls.new_assembly_preview: _look(urls.new_assembly_preview(1, "box"), NEW_BOX, NEW_BOX),
    urls.new_assembly_pictorials: _look(urls.new_assembly_pictorials(1, "box"), NEW_BOX, NEW_BOX),
    urls.assembly_preview: _look(urls.assembly_preview(1, 1), A_PART, A_PART),
    urls.assembly_pictorials: _look(urls.assembly_pictorials(1, 1), A_PART, A_PART),
    urls.section_preview: _look(urls.section_preview(), A_SECTION, A_SECTION),
    urls.movement_air: _look(urls.movement_air(1), urls.movement(1), urls.movement(1)),
    urls.import_project: _as_file(urls.import_project(), _project_file),
    urls.import_offers: lambda client, store: Sent(urls.import_offers(), [("document", PRICES)], multipart=True),
    urls.import_list: lambda client, store: Sent(urls.import_list(1), [("document", A_LIST)], multipart=True),
    urls.api_check: _project(urls.api_check()),
    urls.api_takeoff: _project(urls.api_takeoff()),
    urls.api_setups: _project(urls.api_setups()),
    urls.api_print: _project(urls.api_print(kind="parts", paper="A4")),
    urls.api_order: _order,
    urls.api_cutting: _cutting,
    urls.api_quote: _project(urls.api_quote()),
    urls.quote_reckoning: _look(urls.quote_reckoning(1), urls.project_quote(1), urls.project_quote(1)),
}
"""What is only looked at, a request for each route that stores nothing."""
