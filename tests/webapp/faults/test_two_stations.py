"""Two stations on one shop: servers of their own, each a process, on one PostgreSQL database, spoken to over HTTP.

What one of them did the other one sees; where both want the same at once, one has it and the other is told.
"""

from __future__ import annotations

import os
import random
import uuid
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from typing import TypeVar

import httpx
import pytest

from tests.torture import Tally, tried
from tests.webapp.faults.doomed import Doomed, doomed
from tests.webapp.faults.requests import a_tick
from tests.webapp.pages.order_samples import Day
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import FORMS, Fields, Form, filled, form_on, with_texts
from tests.webapp.postgresql import Cluster, Sql
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.usecases.demo import load_demo_in

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the servers are split off by fork")

Value = TypeVar("Value")
Act = Callable[[httpx.Client], Value]
ITEM = 1


@dataclass(frozen=True)
class Stations:
    """The database, and a client at each of the servers on it."""

    sql: Sql
    url: str
    clients: tuple[httpx.Client, ...]
    servers: Doomed

    @property
    def first(self) -> httpx.Client:
        return self.clients[0]

    @property
    def second(self) -> httpx.Client:
        return self.clients[1]

    def at_once(self, acts: list[Act[Value]]) -> list[Value]:
        """Every act at a station, turn about, all at the same time; what came of each."""
        with ThreadPoolExecutor(len(acts)) as hands:
            done = [hands.submit(act, self.clients[place % 2]) for place, act in enumerate(acts)]
            return [each.result() for each in done]

    def numbers(self, table: str, column: str = "number") -> list[int]:
        """The numbers in the table, in the order in which they were given."""
        return [
            int(str(value)) for (value,) in self.sql.execute(f"SELECT {column} FROM {table} ORDER BY id".encode())
        ]

    def one(self, query: str) -> int:
        """A single figure out of the database."""
        found = self.sql.execute(query.encode()).fetchone()
        assert found is not None
        return int(str(found[0]))


@pytest.fixture(scope="module")
def servers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Doomed]:
    with doomed(tmp_path_factory.mktemp("log") / "said") as opened:
        yield opened


def ticking(ticks: list[dict[str, object]]) -> Act[int]:
    return lambda client: client.post(urls.shop_ticks(1), json=ticks).status_code


@contextmanager
def browser(port: int) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=120) as client:
        yield client


@pytest.fixture
def stations(cluster: Cluster, servers: Doomed) -> Iterator[Stations]:
    with ExitStack() as held:
        name = held.enter_context(cluster.copy("demo by day", load_demo_in, Day()))
        url = cluster.url(name)
        clients = [held.enter_context(browser(held.enter_context(servers.server(url)))) for _ in range(2)]
        yield Stations(held.enter_context(closing(cluster.connect(name))), url, tuple(clients), servers)


def post(client: httpx.Client, action: str, fields: Fields) -> httpx.Response:
    data: dict[str, list[str]] = {}
    for name, text in fields:
        data.setdefault(name, []).append(text)
    return client.post(action, data=data)


def posting(action: str, fields: Fields) -> Act[httpx.Response]:
    return lambda client: post(client, action, fields)


def opened(client: httpx.Client, form: Form, **typed: str) -> Fields:
    """The form as it stands at a station now, with these texts in it."""
    return with_texts(filled(client, form), typed)  # type: ignore[arg-type]


def taking(count: int) -> Act[tuple[int, int]]:
    """Take so many off the shelf; the status, and how many that is."""

    def act(client: httpx.Client) -> tuple[int, int]:
        fields = [
            ("token", new_token()),
            ("adjusted.quantity", str(-count)),
            ("adjusted.note", "broken"),
        ]
        return post(client, urls.book_item(ITEM, "adjusted"), fields).status_code, count

    return act


@tried(1, 25)
def test_two_stations_draw_on_one_shelf_and_never_oversell(stations: Stations, times: int, tally: Tally) -> None:
    rng = random.Random(20260302)
    for _ in range(times):
        received = [("token", new_token()), ("received.quantity", "20"), ("received.note", "")]
        assert post(stations.first, urls.book_item(ITEM, "received"), received).status_code == 303
        on_hand = f"SELECT sum(on_hand) FROM movement WHERE item_id = {ITEM}"
        before = stations.one(on_hand)
        done = stations.at_once([taking(rng.randint(1, before // 2)) for _ in range(8)])
        assert {status for status, _ in done} <= {303, 409, 422}, done
        taken = sum(count for status, count in done if status == 303)
        assert taken > 0
        assert stations.one(on_hand) == before - taken >= 0
        refused = [count for status, count in done if status != 303]
        assert all(count > before - taken for count in refused)
        tally("two stations: stock never below nothing, sums right", len(done))


@tried(3, 100)
def test_of_two_edits_at_two_stations_one_is_told(stations: Stations, times: int, tally: Tally) -> None:
    form = FORMS[urls.edit_project]
    for number in range(times):
        typed = [f"Ada {number}", f"Bo {number}"]
        both = [opened(client, form, customer=text) for client, text in zip(stations.clients, typed, strict=True)]

        answers = stations.at_once([posting(form.action, fields) for fields in both])
        assert sorted(answer.status_code for answer in answers) == [303, 409]
        won = next(text for text, answer in zip(typed, answers, strict=True) if answer.status_code == 303)
        told = next(answer for answer in answers if answer.status_code == 409)
        assert all(text in told.text for text in typed)
        for client in stations.clients:
            assert won in client.get(urls.edit_project(1)).text
        tally("two stations: of two edits at once one is told, none is lost", 2)


@tried(2, 60)
def test_a_tick_is_booked_once_whichever_station_it_reaches(stations: Stations, times: int, tally: Tally) -> None:
    tick = a_tick(stations.first, urls.shop(1))  # type: ignore[arg-type]
    rng, sent = random.Random(20260302), 0
    for _ in range(times):
        batch = [tick | {"uuid": str(uuid.uuid4())} for _ in range(5)]
        sent += len(batch)

        answers = stations.at_once([ticking(rng.sample(batch, len(batch))) for _ in range(4)])
        assert set(answers) == {200}
        assert stations.one("SELECT count(*) FROM tick") == sent
        tally("two stations: a tick is booked once", len(batch))


@tried(2, 40)
def test_a_form_is_booked_once_whichever_station_it_reaches(stations: Stations, times: int, tally: Tally) -> None:
    form = FORMS[urls.new_project]
    for number in range(times):
        before = stations.one("SELECT count(*) FROM project")
        fields = opened(stations.first, form, name=f"Bench {number}")

        answers = stations.at_once([posting(form.action, fields)] * 4)
        assert {answer.status_code for answer in answers} == {303}
        assert len({answer.headers["location"] for answer in answers}) == 1
        assert stations.one("SELECT count(*) FROM project") == before + 1
        other = post(stations.second, form.action, with_texts(fields, {"name": f"Stool {number}"}))
        assert other.status_code == 409
        assert f"Stool {number}" in other.text
        assert f"Bench {number}" in other.text
        tally("two stations: a form is booked once, another text is told", 5)


def again(client: httpx.Client, action: str, typed: dict[str, str]) -> int:
    """Send a form until it is taken, opened anew where something was changed meanwhile; how often it was not."""
    for told in range(100):
        answer = post(client, action, with_texts(form_on(client.get(action), action), typed))
        if answer.status_code == 303:
            return told
        assert answer.status_code == 409, main(answer)
    raise AssertionError(f"{action} was never taken")


@tried(1, 20)
def test_orders_are_numbered_without_gap_or_twin(stations: Stations, times: int, tally: Tally) -> None:
    form = FORMS[urls.orders]
    assert post(stations.first, form.action, opened(stations.first, form)).status_code == 303
    numbers = stations.numbers("placed_order")
    assert numbers == list(range(1, len(numbers) + 1))
    for _ in range(times):
        stations.at_once([lambda client: again(client, urls.repeat_order(1), {})] * 4)
        tally("two stations: order numbers without gap or twin", 4)
    now = stations.numbers("placed_order")
    assert now == list(range(1, len(numbers) + 4 * times + 1))
    lines = stations.sql.execute("SELECT order_id, count(*) FROM order_line GROUP BY order_id").fetchall()
    assert len(lines) == len(now)


@tried(1, 12)
def test_revisions_are_numbered_without_gap_or_twin(stations: Stations, times: int, tally: Tally) -> None:
    for _ in range(times):
        stations.at_once([lambda client: again(client, urls.revisions(1), {"paper": "A4"})] * 2)
        tally("two stations: revision numbers without gap or twin", 2)
    assert stations.numbers("revision") == list(range(1, 2 * times + 1))
    papers = Counter(stations.numbers("revision_document JOIN revision ON revision.id = revision_id"))
    assert len(papers) == 2 * times
    assert len(set(papers.values())) == 1


PAGES = [
    urls.projects(),
    urls.project(1),
    urls.set_ups(1),
    urls.orders(),
    urls.rules(),
    urls.catalogue(),
    urls.stock_item(ITEM),
    urls.timber(1),
]
CHANGES = [urls.edit_project, urls.rules, urls.plug, urls.book_item, urls.new_assembly]


def test_what_one_station_changed_the_other_shows(stations: Stations) -> None:
    for address in PAGES:
        for client in stations.clients:
            assert client.get(address).status_code == 200, address
    for turn, change in enumerate(CHANGES):
        here, there = stations.clients[turn % 2], stations.clients[1 - turn % 2]
        before = [shown(there, address) for address in PAGES]
        form = FORMS[change]
        answer = post(here, form.action, opened(here, form))
        assert answer.status_code == 303, main(answer)
        after = [shown(there, address) for address in PAGES]
        assert after == [shown(here, address) for address in PAGES]
        assert after != before, change


def shown(client: httpx.Client, address: str) -> list[str]:
    """What the page says, and what stands in its fields."""
    page = soup(client.get(address)).select_one("main")
    assert page is not None
    fields = page.select("input:not([type=hidden])")
    return [" ".join(page.get_text(" ").split()), *(str(field.get("value", "")) for field in fields)]


@pytest.mark.parametrize("moment", ["before", "after", "answer"])
def test_what_a_killed_station_was_told_goes_on_at_the_other(
    stations: Stations, moment: str, tally: Tally
) -> None:
    form = FORMS[urls.book_item]
    fields = opened(stations.first, form)
    on_hand = f"SELECT sum(on_hand) FROM movement WHERE item_id = {ITEM}"
    before = stations.one(on_hand)
    with (
        stations.servers.server(stations.url, moment) as port,
        browser(port) as doomed_one,
        pytest.raises(httpx.TransportError),
    ):
        post(doomed_one, form.action, fields)
    booked = stations.one(on_hand) - before
    assert booked == (0 if moment == "before" else 10)
    assert post(stations.second, form.action, fields).status_code == 303
    assert stations.one(on_hand) == before + 10
    tally("two stations: one is killed, and the other books once")
