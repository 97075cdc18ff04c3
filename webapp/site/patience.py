"""How long the door waits for what is being sent: whoever begins a request and never ends it is let go.

A line that stays open costs little, but a thousand of them are all that a computer has. The bounds are far from
what a slow network or a slow tablet needs, and near enough that nothing piles up.
"""

from __future__ import annotations

import asyncio

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

SECONDS_FOR_BODY = 30.0
LEAST_RATE = 20_000
"""Bytes a second: 8 MB may take seven minutes, as long as they keep coming."""


class BodyInTime:
    """Gives a body ``seconds``, and a second more for every ``rate`` bytes that have come; then 408."""

    def __init__(self, app: ASGIApp, seconds: float = SECONDS_FOR_BODY, rate: float = LEAST_RATE) -> None:
        self.app = app
        self.seconds = seconds
        self.rate = rate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with a ``receive`` that loses patience."""
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        until, whole = asyncio.get_running_loop().time() + self.seconds, False

        async def in_time() -> Message:
            nonlocal until, whole
            if whole:  # what comes now is only that the client has gone
                return await receive()
            try:
                async with asyncio.timeout_at(until):
                    message = await receive()
            except TimeoutError:
                # the rest of the body would be read as the next request
                raise HTTPException(408, headers={"Connection": "close"}) from None
            until += len(message.get("body", b"")) / self.rate
            whole = not message.get("more_body", False)
            return message

        return await self.app(scope, in_time, send)
