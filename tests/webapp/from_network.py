"""Other devices, without a network: a client whose connection came in on the computer's address in the shop."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import FastAPI

from tests.client import PORT, TestClient
from webapp.app import create_app
from webapp.site.gate import cookie_name
from webapp.site.network import Network
from webapp.store import Store
from webapp.store.devices import Role
from webapp.usecases.devices import add_device

SHOP = "192.168.7.20"
"""The computer's address in its network (RFC 1918)."""
TABLET = "192.168.7.31"
NAME = "workshop"
NETWORK = Network(PORT, name=NAME)


def application(store: Store) -> FastAPI:
    """The whole application over ``store``, with other devices let in."""
    app = create_app(store, port=PORT, network=NETWORK)
    app.state.later.load()
    return app


@contextmanager
def coming_from(
    app: FastAPI, client: str = TABLET, server: str = SHOP, *, origin: bool = True, scheme: str = "http"
) -> Iterator[TestClient]:
    """A device at ``client`` whose connection came in on ``server``."""
    ours = f"{scheme}://{server}:{PORT}"
    headers = {"Origin": ours, "Accept": "text/html"} if origin else {}
    with TestClient(
        app,
        base_url=ours,
        client=(client, 50_000),
        headers=headers,
        follow_redirects=False,
        raise_server_exceptions=True,
    ) as opened:
        yield opened


def paired(store: Store, client: TestClient, role: Role, name: str = "Tablet") -> None:
    """Have the client keep the secret of a device that was just added."""
    client.cookies.set(cookie_name("http"), add_device(store, name, role))
