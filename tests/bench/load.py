"""A shop of ten years beside a young one, and twenty people at it beside one: over HTTP, in one run."""

from __future__ import annotations

import random
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode
from uuid import uuid4

from domain.project_file import read_project_file
from tests.bench.pages import free_port, running
from tests.bench.workload import project
from webapp.site import urls
from webapp.site.settings import FILE_NAME
from webapp.store import Store
from webapp.store.projects import create_project
from webapp.usecases.demo import load_demo_once

PROJECTS, EACH, ORDERS, MOVEMENTS = 200, 20, 2_000, 12_000
AT_WORK = 10
"""Projects that are looked at: nobody opens what was built years ago."""
REQUESTS = 120
PEOPLE, PAUSE, SECONDS = 20, 4.0, 24.0


@dataclass(frozen=True)
class Answers:
    """Milliseconds of every answer, and how many were 5xx."""

    times: Sequence[float]
    failed: int

    def at(self, share: float) -> float:
        """So many milliseconds, or fewer, took that share of them."""
        return sorted(self.times)[int(len(self.times) * share)]


@dataclass(frozen=True)
class Load:
    """One person at a young and at an aged shop, many at the aged one; its memory in MB at start and at most."""

    young: Answers
    aged: Answers
    many: Answers
    start: float
    peak: float


def fill(folder: Path, *, aged: bool) -> None:
    """The demo with ten projects of twenty assemblies; aged, with those of ten years and all that was booked."""
    store = Store.open(folder / FILE_NAME)
    try:
        load_demo_once(store)
        count = PROJECTS if aged else AT_WORK
        document = project(count * EACH)
        for place in range(count):
            part = {**document, "assemblies": document["assemblies"][place * EACH : (place + 1) * EACH]}
            del part["sections"]
            with store.writing() as session:
                create_project(session, read_project_file(part))
    finally:
        store.close()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection, connection:
        _order(connection, ORDERS if aged else 10, MOVEMENTS if aged else 60)


def _order(connection: sqlite3.Connection, orders: int, movements: int) -> None:
    """Orders of two lines, all but the last five received, and as many bookings as are left."""
    items = [item for (item,) in connection.execute("SELECT id FROM item ORDER BY id")]
    supplier, name = connection.execute("SELECT id, name FROM supplier ORDER BY id").fetchone()
    (moment,) = connection.execute("SELECT min(at) FROM movement").fetchone()
    (last,) = connection.execute("SELECT coalesce(max(number), 0) FROM placed_order").fetchone()
    left = movements
    for number in range(last + 1, last + orders + 1):
        order = connection.execute(
            "INSERT INTO placed_order"
            " (number, supplier_id, supplier_name, currency, shipping_minor, note, placed_at)"
            " VALUES (?, ?, ?, 'EUR', 0, '', ?)",
            (number, supplier, name, moment),
        ).lastrowid
        for position in (1, 2):
            item = items[(number + position) % len(items)]
            line = connection.execute(
                "INSERT INTO order_line"
                " (order_id, position, item_id, size, packs, price_minor, article, lead_days, due)"
                " VALUES (?, ?, ?, 10, 2, 100, '', 5, ?)",
                (order, position, item, moment[:10]),
            ).lastrowid
            if number <= last + orders - 5:
                _book(connection, item, "received", 20, moment, line)
                left -= 1
    for number in range(left):
        _book(connection, items[number % len(items)], "adjusted", 1, moment, None)


def _book(
    connection: sqlite3.Connection, item: int, kind: str, on_hand: int, moment: str, line: int | None
) -> None:
    connection.execute(
        "INSERT INTO movement (item_id, kind, on_hand, reserved, needed, order_line_id, note, at)"
        " VALUES (?, ?, ?, 0, 0, ?, '', ?)",
        (item, kind, on_hand, line, moment),
    )


class Person:
    """Somebody at a browser: seven times in ten looks at a page, else saves something."""

    def __init__(self, port: int, projects: Sequence[int], seed: int) -> None:
        self._connection = HTTPConnection("127.0.0.1", port, timeout=120)
        self._host = f"localhost:{port}"
        self._projects = projects
        self._chance = random.Random(seed)
        self.times: list[float] = []
        self.failed = 0

    def act(self) -> None:
        """One request, timed to the last byte of its answer."""
        headers = {"Host": self._host, "Origin": f"http://{self._host}"}
        begun = time.perf_counter()
        if self._chance.random() < 0.7:
            self._connection.request("GET", self._page(), headers=headers)
        else:
            form = urlencode({"name": f"Supplier {uuid4().hex}", "currency": "EUR", "token": uuid4().hex})
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            self._connection.request("POST", urls.new_supplier(), form, headers)
        response = self._connection.getresponse()
        response.read()
        self.times.append((time.perf_counter() - begun) * 1000)
        self.failed += response.status >= 500
        assert response.status in (200, 303) or response.status >= 500, response.status

    def _page(self) -> str:
        number = self._chance.choice(self._projects)
        pages: list[Callable[[int], str]] = [urls.project, urls.schedule, urls.set_ups, urls.keys, urls.revisions]
        always = [
            urls.projects(),
            urls.orders(),
            urls.order(3),
            urls.stockroom(),
            urls.stock_item(3),
            urls.catalogue(),
        ]
        return self._chance.choice([*always, *(page(number) for page in pages)])


def measure() -> Load:
    """Both shops, each served by a process of its own."""
    with _served(aged=False) as (port, numbers, _):
        young = _one(port, numbers)
    with _served(aged=True) as (port, numbers, process):
        start = _memory(process, "VmRSS")
        aged = _one(port, numbers)
        many = _many(port, numbers)
        return Load(young, aged, many, start, _memory(process, "VmHWM"))


@contextmanager
def _served(*, aged: bool) -> Iterator[tuple[int, Sequence[int], int]]:
    with tempfile.TemporaryDirectory() as folder:
        fill(Path(folder), aged=aged)
        with closing(sqlite3.connect(Path(folder) / FILE_NAME)) as connection:
            found = connection.execute("SELECT id FROM project ORDER BY id DESC LIMIT ?", (AT_WORK,))
            numbers = [number for (number,) in found]
        port = free_port()
        command = ["-m", "webapp.terminal.cli", "serve", "--port", str(port)]
        with running(command, port, DOVETALLY_DATA=folder) as client:
            first = Person(port, numbers, 0)
            for _ in range(3):
                first.act()
            yield port, numbers, client.process


def _one(port: int, numbers: Sequence[int]) -> Answers:
    return _answers([_worked(Person(port, numbers, 1), REQUESTS)])


def _worked(person: Person, times: int) -> Person:
    for _ in range(times):
        person.act()
    return person


def _many(port: int, numbers: Sequence[int]) -> Answers:
    people = [Person(port, numbers, 100 + number) for number in range(PEOPLE)]
    until = time.monotonic() + SECONDS

    def work(place: int) -> None:
        time.sleep(PAUSE * place / PEOPLE)
        while time.monotonic() < until:
            people[place].act()
            time.sleep(PAUSE)

    with ThreadPoolExecutor(PEOPLE) as pool:
        list(pool.map(work, range(PEOPLE)))
    return _answers(people)


def _answers(people: Sequence[Person]) -> Answers:
    return Answers([one for person in people for one in person.times], sum(person.failed for person in people))


def _memory(process: int, name: str) -> float:
    """Resident memory of a process in MB, as Linux tells it."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith(name):
            return int(line.split()[1]) / 1024
    raise LookupError(name)
