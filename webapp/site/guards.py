"""The door: what every request must pass before a page sees it, and what every answer carries.

Plain ASGI middleware, outermost first: headers, host, last resort, other devices (``gate.py``), origin, patience,
body size. Starlette's BaseHTTPMiddleware is avoided: it runs the app in another task and swallows disconnects.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Collection

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.site import urls
from webapp.site.failures import failure
from webapp.site.network import Network, at_the_computer, with_port

log = logging.getLogger("dovetally")

# htmx needs nothing looser: no eval (hx-on, js: values and [filters] stay off), no inline style
CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "object-src 'none'",
        "frame-ancestors 'none'",
    )
)

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})
USUAL_BODY = 1_000_000
LARGE_BODY = 8_000_000
ARCHIVE_BODY = 2_000_000_000
_LARGE_PATHS = re.compile(
    rf"(?:{urls.demo})?(?:{urls.import_project}.*|/api/.*|{urls.photographs.replace('{project_id}', '[0-9]+')})"
)
_DRAINED = 64_000_000


def own_hosts(port: int, scheme: str = "http") -> frozenset[str]:
    """The Host values of this computer itself, for a server on ``port``."""
    return with_port(("localhost", "127.0.0.1", "[::1]"), port, scheme)


class SafeHeaders:
    """Adds the security headers to every answer, and keeps pages out of caches unless they say otherwise."""

    def __init__(self, app: ASGIApp, on_network: bool = False) -> None:
        self.app = app
        self.on_network = on_network

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; add to the answer's headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        in_the_clear = self.on_network and scope["scheme"] == "http" and not at_the_computer(scope)

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                # a picture that may be opened by itself asks for a stricter one
                headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
                headers["X-Content-Type-Options"] = "nosniff"
                # not "no-referrer": with it browsers send "Origin: null" even to ourselves
                headers["Referrer-Policy"] = "same-origin"
                headers["X-Frame-Options"] = "DENY"
                if not in_the_clear:  # there a browser does not heed it, and complains
                    headers["Cross-Origin-Opener-Policy"] = "same-origin"
                headers["Cross-Origin-Resource-Policy"] = "same-origin"
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self.app(scope, receive, send_with_headers)


class OwnHost:
    """Answers only to the program's own names: a web site whose name is pointed at this computer gets 421.

    ``hosts`` are those at the computer itself. What comes in over the ``network`` is for the very address that it
    came in on, or for the computer's name; where there is None, nothing does.
    """

    def __init__(self, app: ASGIApp, hosts: Collection[str], network: Network | None = None) -> None:
        self.app = app
        self.hosts = frozenset(hosts)
        self.network = network

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on if its one Host is ours; refuse it otherwise."""
        if scope["type"] == "http":
            named = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
            if len(named) != 1 or named[0].lower() not in self._hosts(scope):
                log.warning("refused Host %r", named)
                return await _refuse(421, scope, receive, send)
        elif scope["type"] == "websocket":
            return None  # there are none; not accepting closes it
        return await self.app(scope, receive, send)

    def _hosts(self, scope: Scope) -> frozenset[str]:
        if self.network is None or at_the_computer(scope):
            return self.hosts
        server = scope.get("server")
        return frozenset() if server is None else self.network.names(server[0])


class OwnOrigin:
    """Lets only our own pages change things: a form on another site, or another port, gets 403."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is safe by its method or comes from our own page; refuse the rest."""
        if scope["type"] == "http" and scope["method"] not in SAFE_METHODS:
            headers = Headers(scope=scope)
            if not comes_from_us(headers, scope["scheme"]):
                log.warning("refused %s from Origin %r", scope["method"], headers.get("origin"))
                return await _refuse(403, scope, receive, send)
        return await self.app(scope, receive, send)


def comes_from_us(headers: Headers, scheme: str) -> bool:
    """Whether a changing request was made by one of our pages.

    ``Sec-Fetch-Site`` decides where the browser sends it, and Origin must not contradict it; over plain
    http in a local network browsers leave it out, and Origin alone decides. Neither: refused.
    """
    sites, origins = headers.getlist("sec-fetch-site"), headers.getlist("origin")
    if len(sites) > 1 or len(origins) > 1:
        return False
    if origins and origins[0].lower() != f"{scheme}://{headers.get('host', '')}".lower():
        return False
    if sites:
        typed_in = sites[0] == "none" and headers.get("sec-fetch-mode") == "navigate"
        return sites[0] == "same-origin" or typed_in
    return bool(origins)


class BodyCap:
    """Counts the bytes that really arrive and stops at the cap with 413, whatever Content-Length claims."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with a counted ``receive``."""
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        large = _LARGE_PATHS.fullmatch(scope["path"])
        cap = LARGE_BODY if large else ARCHIVE_BODY if scope["path"] == urls.unarchive else USUAL_BODY
        declared = Headers(scope=scope).get("content-length", "0")
        claims_too_much = declared.isascii() and declared.isdigit() and int(declared[:20]) > cap
        arrived = 0

        async def counted() -> Message:
            nonlocal arrived
            message = await receive()
            arrived += len(message.get("body", b""))
            if arrived > cap or (claims_too_much and message["type"] == "http.request"):
                await _drain(message, receive)
                raise HTTPException(413, f"What was sent is too large: at most {cap // 1_000_000} MB fit here.")
            return message

        return await self.app(scope, counted, send)


async def _drain(message: Message, receive: Receive) -> None:
    """Let the rest run past unread: a browser cut off in mid-upload would never show our sentence."""
    passed = 0
    while message.get("more_body", False) and passed < _DRAINED:
        message = await receive()
        passed += len(message.get("body", b""))


class LastResort:
    """Turns an exception nobody expected into a logged line and a page without a traceback."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; answer 500 if it failed before its answer began."""
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        begun = False

        async def noted_send(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, noted_send)
        except ClientDisconnect:
            log.debug("nobody waits for the answer: %s %r", scope["method"], scope["path"])
        except Exception:
            log.exception("unexpected failure: %s %r", scope["method"], scope["path"])
            if begun:
                raise
            await _refuse(500, scope, receive, send)


async def _refuse(status: int, scope: Scope, receive: Receive, send: Send) -> None:
    await failure(Request(scope), status)(scope, receive, send)
