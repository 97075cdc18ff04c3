"""The gate to other devices: over the network nothing answers before pairing, and then what the role allows."""

from __future__ import annotations

import logging
from collections.abc import Callable

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from webapp.site.access import GRANTED, Need, need_of
from webapp.site.failures import Words, failure, store_failure
from webapp.site.network import at_the_computer
from webapp.store.devices import Device
from webapp.store.errors import StoreError
from webapp.usecases.devices import known_device

log = logging.getLogger("dovetally")

KEPT_FOR = 400 * 86_400
"""Seconds that a device keeps its secret: as long as a browser does (RFC 6265bis, section 5.5)."""
NOT_ALLOWED = {
    Need.TICKS: "This device was paired to look at things, not to tick off. Nothing was changed.",
    Need.EVERYTHING: "This device was not paired to change this. Nothing was changed.",
    Need.THE_COMPUTER: "Settings, backups and devices are seen to at the computer itself. Nothing was changed.",
}


class Gate:
    """Asks every request that did not come from the computer itself for its device.

    ``on_network`` is whether other devices may come in at all; where not, nothing listens to them.
    ``unpaired`` answers those that are not known.
    """

    def __init__(self, app: ASGIApp, on_network: bool, unpaired: Callable[[Request], Response]) -> None:
        self.app = app
        self.on_network = on_network
        self.unpaired = unpaired

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on if its device may do that; refuse it otherwise."""
        if scope["type"] == "http" and self.on_network and not at_the_computer(scope):
            refusal = await run_in_threadpool(self._refusal, Request(scope))
            if refusal is not None:
                return await refusal(scope, receive, send)
        return await self.app(scope, receive, send)

    def _refusal(self, request: Request) -> Response | None:
        need = need_of(request.method, request.scope["path"])
        if need is Need.NOTHING:
            return None
        try:
            device = _device(request)
        except StoreError as error:
            return store_failure(request, error)
        if device is None:
            return self.unpaired(request)
        request.state.device, request.state.device_name = device.number, device.name
        if GRANTED[device.role] < need:
            log.warning("refused %s %r to device %d", request.method, request.scope["path"], device.number)
            return failure(request, 403, Words("Not from this device", NOT_ALLOWED[need]))
        return None


def _device(request: Request) -> Device | None:
    secret = request.cookies.get(cookie_name(request.scope["scheme"]), "")
    return known_device(request.app.state.store, secret) if secret else None


def asked_by(request: Request) -> str:
    """Who asks, to tell people apart: a paired device by its number, anybody else by the address."""
    device = getattr(request.state, "device", None)
    return f"device {device}" if device is not None else request.client.host if request.client else ""


def cookie_name(scheme: str) -> str:
    """What the secret is called; over TLS by a name that only a secure answer of ours can set (RFC 6265bis)."""
    return "__Host-dovetally" if scheme == "https" else "dovetally"


def give_secret(request: Request, response: Response, secret: str) -> None:
    """Have the device keep its secret: no script reads it, and no other site makes a browser send it."""
    scheme = request.scope["scheme"]
    response.set_cookie(
        cookie_name(scheme), secret, max_age=KEPT_FOR, httponly=True, samesite="strict", secure=scheme == "https"
    )
