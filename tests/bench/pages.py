"""Our pages beside pages of the same bytes rendered from a constant, all asked over a socket.

The constant is what a page costs that knows its answer beforehand: behind our door, at a route that takes the same
method, number and form. What it costs without any of that, a bare route of the bare stack, is measured beside it.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import asdict, dataclass, replace
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

from domain.project_file import read_project_file
from tests.bench.workload import project
from webapp.site import urls
from webapp.site.settings import FILE_NAME
from webapp.store import Store
from webapp.store.projects import create_project
from webapp.usecases.demo import load_demo_once

ASSEMBLIES = 200
ROUNDS, EACH = 6, 40


@dataclass(frozen=True)
class Ask:
    """A request; ``form`` is posted as htmx posts it."""

    path: str
    form: dict[str, str] | None = None


@dataclass(frozen=True)
class PageRatio:
    """How much longer ours takes than the constants; medians in ms, the answer's size, the most that is good."""

    name: str
    ours: float
    constant: float
    bare: float
    size: int
    most: float

    @property
    def ratio(self) -> float:
        """Ours over the constant behind the same door."""
        return self.ours / self.constant

    @property
    def over_bare(self) -> float:
        """Ours over the constant of the bare stack."""
        return self.ours / self.bare


class Client:
    """One connection that stays open, as a browser's does, to a server of that process number."""

    def __init__(self, port: int, process: int) -> None:
        self.process = process
        self._origin = f"http://localhost:{port}"
        self._connection = HTTPConnection("127.0.0.1", port, timeout=30)
        self._host = f"localhost:{port}"

    def ask(self, ask: Ask) -> bytes:
        """The answer's body. Raises AssertionError for anything but a page."""
        headers = {"Host": self._host, "Origin": self._origin}
        if ask.form is None:
            self._connection.request("GET", ask.path, headers=headers)
        else:
            headers |= {"HX-Request": "true", "Content-Type": "application/x-www-form-urlencoded"}
            self._connection.request("POST", ask.path, urlencode(ask.form), headers)
        response = self._connection.getresponse()
        body = response.read()
        assert response.status == 200, (response.status, ask.path, body[:300])
        return body

    def seconds(self, ask: Ask) -> float:
        """How long the answer takes."""
        begun = time.perf_counter()
        self.ask(ask)
        return time.perf_counter() - begun

    def rested(self) -> None:
        """After a while of silence, for the other end may have closed the connection."""
        self._connection.close()


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


@contextmanager
def running(command: list[str], port: int, **environment: str) -> Iterator[Client]:
    """The command as a server on ``port``, until the block ends."""
    server = subprocess.Popen([sys.executable, *command], env={**os.environ, **environment})
    try:
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield Client(port, server.pid)
    finally:
        server.terminate()
        server.wait()


def filled_store(folder: Path) -> int:
    """A database with the demo workshop and a project of 200 assemblies; the project's number."""
    store = Store.open(folder / FILE_NAME)
    try:
        load_demo_once(store)
        with store.writing() as session:
            document = project(ASSEMBLIES)
            del document["sections"]
            return create_project(session, read_project_file(document))
    finally:
        store.close()


STARTED = {
    "mark": "NEW",
    "quantity": "1",
    "sides": "4",
    "measure": "glass",
    "width": "400",
    "height": "300",
    "stock.width": "45",
    "stock.thickness": "20",
    "stock.rabbet_width": "6",
    "stock.rabbet_depth": "10",
    "fit_allowance": "3",
}


def typing(path: str) -> Callable[[int], Ask]:
    """Somebody types: every request another width, every tenth another stock as well."""

    def typed(turn: int) -> Ask:
        stock = {"stock.width": f"{45 + turn / 1000:g}"} if turn % 10 == 0 else {}
        return Ask(path, {**STARTED, "width": f"{400 + turn / 10:g}", **stock})

    return typed


def measure(folder: Path) -> Iterator[PageRatio]:
    """The project page of 200 assemblies, and the live preview of one being added to it."""
    number = filled_store(folder)
    page = Ask(urls.project(number))
    project_page, preview = lambda turn: page, typing(urls.new_assembly_preview(number, "mitred_frame"))
    bounds: dict[str, tuple[Callable[[int], Ask], float]] = {"project": (project_page, 3), "preview": (preview, 4)}
    constants = folder / "constants"
    constants.mkdir()
    port = free_port()
    with running(
        ["-m", "webapp.terminal.cli", "serve", "--port", str(port)], port, DOVETALLY_DATA=str(folder)
    ) as ours:
        for name, (asks, _) in bounds.items():
            (constants / name).write_bytes(ours.ask(asks(0)))
        with constant_server("door", constants) as constant, constant_server("bare", constants) as bare:
            for name, (asks, most) in bounds.items():
                beside = {"constant": constant, "bare": bare}
                yield _compare(name, asks, ours, beside, (constants / name).stat().st_size, most)


def constant_server(app: str, constants: Path) -> AbstractContextManager[Client]:
    """One of the constant servers."""
    port = free_port()
    return running(["-m", "tests.bench.constant_server", app, str(port), str(constants)], port)


def _compare(
    name: str, asks: Callable[[int], Ask], ours: Client, beside: Mapping[str, Client], size: int, most: float
) -> PageRatio:
    """The best median of each, request by request turn about, so that all meet the same machine."""

    def same(turn: int) -> Ask:
        return replace(asks(turn), path=f"/constant/{turn + 1}/{name}")

    asked = {"ours": (ours, asks), **{each: (client, same) for each, client in beside.items()}}
    for client, _ in asked.values():
        client.rested()
    medians: dict[str, list[float]] = {each: [] for each in asked}
    for turn in range(0, ROUNDS * EACH, EACH):
        times: dict[str, list[float]] = {each: [] for each in asked}
        for number in range(turn, turn + EACH):
            for each, (client, ask) in asked.items():
                times[each].append(client.seconds(ask(number)))
        for each, found in times.items():
            medians[each].append(sorted(found)[EACH // 2] * 1000)
    least = {each: min(found) for each, found in medians.items()}
    return PageRatio(name, **least, size=size, most=most)


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        for ratio in measure(Path(made)):
            print(json.dumps(asdict(ratio) | {"ratio": ratio.ratio, "over_bare": ratio.over_bare}), flush=True)
