"""Starting the server: one process, one database, on this computer only."""

from __future__ import annotations

import gc
import socket
import sys
from contextlib import suppress
from dataclasses import replace
from threading import Timer

import uvicorn
from fastapi import FastAPI

from webapp.app import create_app
from webapp.site.settings import NetworkPath, Settings
from webapp.store import Store
from webapp.store.errors import StoreError
from webapp.terminal.connections import PatientConnection
from webapp.usecases.backups import Daily

SECONDS_TO_READ = 2.0


class CannotServe(Exception):
    """The server cannot start; the message says why and what would work."""


def serve(*, port: int | None = None, demo: bool = False, new_shop: bool = False) -> None:
    """Serve until interrupted. ``demo`` fills an empty shop with the demo workshop first.

    ``new_shop`` begins an empty shop also where data used to be and is missing.

    Raises CannotServe where the database cannot be opened or the port is taken.
    """
    try:
        settings = Settings.from_environment()
    except NetworkPath as refusal:
        raise CannotServe(str(refusal)) from None
    if port is not None:
        settings = replace(settings, port=port)
    listening = _listen(settings.host, settings.port)
    try:
        store = Store.open(settings.database, lock=True, new_shop=new_shop)
    except StoreError as refusal:
        listening.close()
        raise CannotServe(str(refusal)) from None
    daily = Daily(store)
    try:
        if store.trouble is not None:
            print(f"Nothing can be saved. {store.trouble}", file=sys.stderr, flush=True)
        elif demo:
            _fill_with_demo(store)
        daily.start()
        _run(store, settings, listening)
    finally:
        daily.stop()
        store.close()


def _listen(host: str, port: int) -> socket.socket:
    """The listening socket, taken before anything else so that a second start fails early and in words."""
    # named as TCP, or asyncio leaves small answers waiting 40 ms for the reader's acknowledgement
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if sys.platform != "win32":  # there it would let two programs listen on one port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError as error:
        listening.close()
        reason = (error.strerror or str(error)).lower()
        raise CannotServe(
            f"port {port} on {host} cannot be used: {reason}; give another with --port, or stop what uses it"
        ) from None
    return listening


def _fill_with_demo(store: Store) -> None:
    from webapp.usecases.demo import load_demo_once

    load_demo_once(store)


def _make_ready(app: FastAPI) -> None:
    app.state.later.load()
    # what is loaded by now stays: the collector need not look through it with every batch of plans
    gc.freeze()


def _run(store: Store, settings: Settings, listening: socket.socket) -> None:
    app = create_app(store, port=settings.port)
    # while somebody reads the first page, the others are made ready
    rest = Timer(SECONDS_TO_READ, _make_ready, [app])
    rest.daemon = True
    rest.start()
    config = uvicorn.Config(
        app, http=PatientConnection, log_level="warning", server_header=False, date_header=True
    )
    print(f"Dovetally is at http://{settings.host}:{settings.port}  (stop it with Ctrl+C)", flush=True)
    # Ctrl+C is how one stops it: uvicorn has closed everything by the time it passes the interrupt on
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])
    finally:
        app.state.jobs.stop()
