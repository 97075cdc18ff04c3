"""The page that follows a form offers to undo what the form changed.

The answer to a form that was saved leaves the form's token in a cookie; the next page that is shown tells what it
changed, beside a button that undoes it, and takes the cookie away. Pages know nothing of it: the offer is put
where base.html has room for it, also into a page that was kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "dovetally-done"
SECONDS = 600
PLACE = b"<!-- undo -->"
_TOKEN = re.compile(r"[A-Za-z0-9_-]{16,64}")


def offer_undo(request: Request, answer: Response) -> None:
    """Let the next page offer to undo what the form that came with this request changed."""
    token = getattr(request.state, "token", "")
    if _TOKEN.fullmatch(token):
        answer.set_cookie(COOKIE, token, max_age=SECONDS, httponly=True, samesite="strict")


class UndoOffer:
    """Puts the offer into the page; ``offered`` makes it of the token, "" where there is nothing to undo."""

    def __init__(self, app: ASGIApp, offered: Callable[[Request, str], str]) -> None:
        self.app, self.offered = app, offered

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and look at the page that comes of it."""
        if scope["type"] == "http" and scope["method"] == "GET":
            request = Request(scope)
            token = request.cookies.get(COOKIE, "")
            if _TOKEN.fullmatch(token):
                send = _Page(send, lambda: self.offered(request, token)).send
        await self.app(scope, receive, send)


class _Page:
    """An answer on its way out: held back until it is whole, where it is a page that has room for the offer."""

    def __init__(self, send: Send, offered: Callable[[], str]) -> None:
        self._send, self._offered = send, offered
        self._start: Message | None = None
        self._body = b""

    async def send(self, message: Message) -> None:
        """Pass a part of the answer on, or hold it back."""
        if message["type"] == "http.response.start" and _is_page(message):
            self._start = message
        elif self._start is None:
            await self._send(message)
        else:
            self._body += message.get("body", b"")
            if not message.get("more_body", False):
                await self._whole(self._start)

    async def _whole(self, start: Message) -> None:
        if PLACE in self._body:
            offer = await run_in_threadpool(self._offered)
            self._body = self._body.replace(PLACE, offer.encode(), 1)
            headers = MutableHeaders(raw=start["headers"])
            headers["content-length"] = str(len(self._body))
            headers.append("set-cookie", f"{COOKIE}=; Max-Age=0; Path=/; HttpOnly; SameSite=strict")
            start = {**start, "headers": headers.raw}
        await self._send(start)
        await self._send({"type": "http.response.body", "body": self._body})


def _is_page(start: Message) -> bool:
    headers = MutableHeaders(raw=start["headers"])
    return start["status"] == 200 and headers.get("content-type", "").startswith("text/html")
