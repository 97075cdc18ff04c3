"""Starting the server: one process, one database; on this computer only, unless other devices are let in."""

from __future__ import annotations

import errno
import gc
import socket
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from threading import Timer

import uvicorn
from fastapi import FastAPI

from webapp.app import create_app
from webapp.site import urls
from webapp.site.door import Door
from webapp.site.network import Network, own_name
from webapp.site.settings import NetworkPath, Settings
from webapp.store import Store
from webapp.store.errors import StoreError
from webapp.terminal.certificate import Certificate, NoCertificate
from webapp.terminal.connections import PatientConnection
from webapp.terminal.log import note_events
from webapp.usecases.backups import Daily
from webapp.usecases.jobs import Jobs
from webapp.usecases.pairing import Pairing

SECONDS_TO_READ = 2.0
EVERY_ADDRESS = ("0.0.0.0", "::")


class CannotServe(Exception):
    """The server cannot start; the message says why and what would work."""


@dataclass(frozen=True, slots=True)
class Start:
    """How to serve. ``demo`` fills an empty shop with the demo workshop first.

    ``new_shop`` begins an empty shop also where data used to be and is missing. With ``network`` other devices
    may come in once they are paired. With a ``certificate`` every connection is encrypted.
    """

    port: int | None = None
    demo: bool = False
    new_shop: bool = False
    network: bool = False
    certificate: Certificate | None = None


def serve(start: Start) -> None:
    """Serve until interrupted.

    Raises CannotServe where the database cannot be opened, the port is taken, or the certificate is none.
    """
    try:
        settings = Settings.from_environment()
        certificate = start.certificate.checked() if start.certificate else None
    except (NetworkPath, NoCertificate) as refusal:
        raise CannotServe(str(refusal)) from None
    if start.port is not None:
        settings = replace(settings, port=start.port)
    listening = _listen(_hosts(settings, start.network), settings.port)
    try:
        store = Store.open(settings.database, lock=True, new_shop=start.new_shop)
    except StoreError as refusal:
        for each in listening:
            each.close()
        raise CannotServe(str(refusal)) from None
    daily = Daily(store)
    note_events()
    try:
        if store.trouble is not None:
            print(f"Nothing can be saved. {store.trouble}", file=sys.stderr, flush=True)
        elif start.demo:
            _fill_with_demo(store)
        daily.start()
        _serve(store, settings, listening, Door(start.network), certificate)
    finally:
        daily.stop()
        store.close()


def _listen(hosts: Sequence[str], port: int) -> list[socket.socket]:
    """The listening sockets, taken before anything else so that a second start fails early and in words.

    A computer without IPv6 is listened to on its other addresses alone.
    """
    sockets: list[socket.socket] = []
    for host in hosts:
        try:
            sockets.append(_listen_on(host, port))
        except OSError as error:
            if sockets and error.errno != errno.EADDRINUSE:
                continue
            for each in sockets:
                each.close()
            reason = (error.strerror or str(error)).lower()
            raise CannotServe(
                f"port {port} on {host} cannot be used: {reason}; give another with --port, or stop what uses it"
            ) from None
    return sockets


def _listen_on(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # named as TCP, or asyncio leaves small answers waiting 40 ms for the reader's acknowledgement
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if sys.platform != "win32":  # there it would let two programs listen on one port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            # every address stays what it is: an IPv4 one is not shown as ::ffff:127.0.0.1
            listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        listening.bind((host, port))
    except OSError:
        listening.close()
        raise
    return listening


def _fill_with_demo(store: Store) -> None:
    from webapp.usecases.demo import load_demo_once

    load_demo_once(store)


def _make_ready(app: FastAPI) -> None:
    app.state.later.load()
    # what is loaded by now stays: the collector need not look through it with every batch of plans
    gc.freeze()


def _hosts(settings: Settings, opens: bool) -> Sequence[str]:
    return EVERY_ADDRESS if opens else (settings.host,)


def _serve(
    store: Store,
    settings: Settings,
    listening: list[socket.socket],
    door: Door,
    certificate: Certificate | None,
) -> None:
    """Serve, and anew wherever the door is turned; what was under way stays."""
    jobs, pairing = Jobs(), Pairing()
    try:
        while True:
            network = Network(settings.port, _scheme(certificate), own_name()) if door.open else None
            app = create_app(store, port=settings.port, scheme=_scheme(certificate), network=network, door=door)
            app.state.jobs, app.state.pairing = jobs, pairing
            _say_where(settings, _scheme(certificate), network)
            _run(app, listening, door, certificate)
            if door.decided is None:
                return
            listening = _turn(door, settings)
    finally:
        jobs.stop()


def _turn(door: Door, settings: Settings) -> list[socket.socket]:
    """Listen as it was decided; as before where that cannot be, which the page of devices then says."""
    opens = bool(door.decided)
    try:
        listening = _listen(_hosts(settings, opens), settings.port)
    except CannotServe as refusal:
        said = str(refusal)
        door.turned(not opens, f"{said[:1].upper()}{said[1:]}.")
        return _listen(_hosts(settings, not opens), settings.port)
    door.turned(opens)
    return listening


def _scheme(certificate: Certificate | None) -> str:
    return "https" if certificate else "http"


def _run(app: FastAPI, listening: list[socket.socket], door: Door, certificate: Certificate | None) -> None:
    # while somebody reads the first page, the others are made ready
    rest = Timer(SECONDS_TO_READ, _make_ready, [app])
    rest.daemon = True
    rest.start()
    config = uvicorn.Config(
        app,
        http=PatientConnection,
        log_level="warning",
        server_header=False,
        date_header=True,
        # where a request comes from is what the connection says, never what a header does
        proxy_headers=False,
        ssl_certfile=certificate.file if certificate else None,
        ssl_keyfile=certificate.key if certificate else None,
    )
    server = uvicorn.Server(config)

    def stop() -> None:
        server.should_exit = True

    door.kept_by(stop)
    # Ctrl+C is how one stops it: uvicorn has closed everything by the time it passes the interrupt on
    try:
        with suppress(KeyboardInterrupt):
            server.run(sockets=listening)
    finally:
        app.state.demo_place.close()


def _say_where(settings: Settings, scheme: str, network: Network | None) -> None:
    here = f"{scheme}://{settings.host}:{settings.port}"
    print(f"Dovetally is at {here}  (stop it with Ctrl+C)", flush=True)
    if network is not None:
        there = ", ".join(network.addresses()) or "no network that this computer is in now"
        print(f"Other devices: {there}. Pair them at {here}{urls.devices()}", flush=True)
