"""Servers that are going to be killed, or cut off.

For every "serve MOMENT PLACE" on its input this process splits off a server on the data in that file or at that
URL, and says "listening PORT NUMBER". The server kills itself with SIGKILL at the first of these moments:

before   as its first change is about to be committed
after    as it has just been committed
answer   as the answer is about to be sent
never    it serves until it is killed from outside

"reap" waits for a killed one and says "gone".
"""

from __future__ import annotations

import os
import signal
import socket
import sys
from typing import cast

import uvicorn
from sqlalchemy import Connection, Engine, event
from sqlalchemy.orm import configure_mappers
from sqlmodel import Session
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tests.webapp.pages.order_samples import Day
from webapp.app import create_app
from webapp.store import Store


def main() -> None:
    import tests.webapp.conftest  # noqa: F401  the demo of the tests

    configure_mappers()
    app = create_app(cast(Store, None), port=0)  # each server puts its own in
    app.state.later.load()
    for line in sys.stdin:
        order, *rest = line.split()
        if order == "reap":
            os.wait()
            say("gone")
            continue
        moment, file = rest
        listening = socket.create_server(("127.0.0.1", 0), backlog=64)
        port = listening.getsockname()[1]
        child = os.fork()  # before any connection is opened: none may cross a fork
        if child == 0:
            serve(app, file, moment, listening, port)
            os._exit(0)
        listening.close()
        say(f"listening {port} {child}")


def serve(app: ASGIApp, file: str, moment: str, listening: socket.socket, port: int) -> None:
    app.state.store = Store.open(file, clock=Day())  # type: ignore[attr-defined]
    arm(moment)
    config = uvicorn.Config(AnyHost(app, moment, port), log_level="warning", lifespan="off")
    uvicorn.Server(config).run(sockets=[listening])


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def arm(moment: str) -> None:
    if moment == "before":

        @event.listens_for(Engine, "commit")
        def _before(_connection: Connection) -> None:
            die()

    elif moment == "after":

        @event.listens_for(Session, "after_commit")
        def _after(_session: object) -> None:
            die()


class AnyHost:
    """The application under the port that it was made for; dies as it begins to answer, if it is to."""

    def __init__(self, app: ASGIApp, moment: str, port: int) -> None:
        self._app, self._moment, self._port = app, moment, port

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def dying(message: Message) -> None:
            if self._moment == "answer":
                die()
            await send(message)

        if scope["type"] == "http":
            ours = (b"localhost:0", b"http://localhost:0")
            named = [(name, value) for name, value in scope["headers"] if name not in {b"host", b"origin"}]
            scope["headers"] = [*named, (b"host", ours[0]), (b"origin", ours[1])]
        await self._app(scope, receive, dying)


def say(line: str) -> None:
    os.write(1, f"{line}\n".encode())


if __name__ == "__main__":
    main()
