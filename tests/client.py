"""The test client, for every test that speaks HTTP without a server."""

from __future__ import annotations

import warnings
from collections.abc import AsyncIterator, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import httpx
from starlette.exceptions import StarletteDeprecationWarning

with warnings.catch_warnings():
    # Starlette would rather have httpx's successor; httpx still serves
    warnings.simplefilter("ignore", StarletteDeprecationWarning)
    from fastapi import testclient

if TYPE_CHECKING:
    from fastapi import FastAPI

    from webapp.store import Store

__all__ = ["OURS", "PORT", "TestClient", "browsing"]

PORT = 8123
OURS = f"http://localhost:{PORT}"


class TestClient(testclient.TestClient):
    """Starlette's test client, whose answers come whole.

    Starlette's hands every answer over bit by bit between the thread of the test and that of the application,
    eight times for a small page, which takes longer than to make most of them.
    """

    __test__ = False

    def __init__(
        self,
        app: FastAPI,
        *,
        raise_server_exceptions: bool = True,
        client: tuple[str, int] = ("testclient", 50_000),
        **options: Any,
    ) -> None:
        super().__init__(app, **options)
        self._transport = _Whole(self, httpx.ASGITransport(app, raise_server_exceptions, client=client))


class _Chunks(httpx.AsyncByteStream):
    """A body of a length that is not told beforehand, chunk by chunk as the test gives it."""

    def __init__(self, chunks: Iterable[bytes]) -> None:
        self._chunks = chunks

    async def __aiter__(self) -> AsyncIterator[bytes]:
        for chunk in self._chunks:
            yield chunk


class _Whole(httpx.BaseTransport):
    """Sends a request over to the application's thread once, and brings back all of the answer."""

    def __init__(self, client: testclient.TestClient, to_app: httpx.ASGITransport) -> None:
        self._client = client
        self._to_app = to_app

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        portal = self._client.portal
        assert portal is not None, "a client is opened by `with`"
        return portal.call(self._answer, request)

    async def _answer(self, request: httpx.Request) -> httpx.Response:
        if not isinstance(request.stream, httpx.AsyncByteStream):
            request.stream = _Chunks(request.stream)
        answer = await self._to_app.handle_async_request(request)
        body = b"".join([part async for part in answer.aiter_raw()])
        return httpx.Response(answer.status_code, headers=answer.headers, stream=httpx.ByteStream(body))


@contextmanager
def browsing(store: Store) -> Iterator[TestClient]:
    """A browser at the whole application over ``store``; sends our own Origin, follows no redirects.

    One at a time: the application is made once in a run, and is handed the store of each test.
    """
    app = _application(store)
    with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
        yield client
    del app.state.store


_made: list[FastAPI] = []


def _application(store: Store) -> FastAPI:
    """The application over ``store``; to make all its routes takes ten times as long as to show a page."""
    from webapp.app import create_app

    if not _made:
        _made.append(create_app(store, port=PORT))
    _made[0].state.store = store
    return _made[0]
