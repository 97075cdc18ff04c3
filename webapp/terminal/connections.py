"""Connections that wait for the first line of a request no longer than anybody needs to send one."""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol


class PatientConnection(H11Protocol):
    """uvicorn's connection, closed where a request's head has not come whole within ``seconds``.

    uvicorn itself only times the pause between two requests: a connection that never sends a byte, or one of
    them at a time, would stay open for as long as its client likes. No answer is sent: browsers open connections
    ahead of need, and one that is simply closed they open again.
    """

    seconds = 15.0
    _head: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Wait no longer once a request's head is whole; its body is timed where it is read."""
        super().data_received(data)
        if self._under_way():
            self._stop_waiting()
        else:
            self._wait()

    def on_response_complete(self) -> None:
        """The next request has not begun: uvicorn times the pause before it."""
        self._stop_waiting()
        super().on_response_complete()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing any more."""
        self._stop_waiting()
        super().connection_lost(exc)

    def _under_way(self) -> bool:
        # uvicorn sets its first cycle with the first request
        return self.cycle is not None and not self.cycle.response_complete

    def _wait(self) -> None:
        if self._head is None and not self.transport.is_closing():
            self._head = self.loop.call_later(self.seconds, self._give_up)

    def _stop_waiting(self) -> None:
        if self._head is not None:
            self._head.cancel()
            self._head = None

    def _give_up(self) -> None:
        self._head = None
        self.transport.close()
