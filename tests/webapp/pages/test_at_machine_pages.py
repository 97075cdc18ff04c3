"""At the machine, over HTTP: what shows, ticks booked once each, what is refused, and the page without script."""

from __future__ import annotations

import json
import re
from typing import Any
from uuid import UUID, uuid4

import pytest
from bs4 import Tag
from httpx import Response

from domain.spec.assemblies import Assembly
from tests.client import TestClient
from tests.factories import a_frame, a_project, an_impossible_joint, stored
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.trial_forms import send_calibration
from webapp.pages.machine.shop_rows import DISCONNECT
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import add_assembly, update_assembly
from webapp.store.projects import delete_project, project_version
from webapp.usecases import ticking
from webapp.usecases.projects import plan
from webapp.usecases.shop_sheet import undo_of
from webapp.usecases.ticking import MOST_AT_ONCE
from webapp.wording import cautions

AT = "2026-03-02T08:30:00Z"


@pytest.fixture
def project_id(demo_store: Store) -> int:
    """A frame of two set-ups: one test, and two left and two right ends of either member, in each."""
    return make(demo_store, a_frame())


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def an_assembly(**fields: Any) -> Assembly:
    return a_project(a_frame(**fields)).assemblies[0]


def said(tag: Tag | None) -> str:
    assert tag is not None
    return " ".join(tag.get_text(" ").split())


def blocks(answer: Response) -> list[Tag]:
    return list(soup(answer).select(".shop-set-up"))


def counts(block: Tag) -> list[str]:
    return [said(row.select_one(".tick-count")) for row in block.select("[data-row]")]


_KEYS: dict[int, tuple[tuple[str, str], ...]] = {}


def keys(client: TestClient, project_id: int) -> tuple[tuple[str, str], ...]:
    """Set-up and piece of every row, set-up by set-up, of the frame that every test begins with: read once."""
    if project_id not in _KEYS:
        page = client.get(urls.shop(project_id))
        _KEYS[project_id] = tuple(
            (str(block["data-set-up"]), json.loads(str(row["data-row"]))[0])
            for block in blocks(page)
            for row in block.select("[data-row]")
        )
    return _KEYS[project_id]


def a_tick(key: tuple[str, str], count: int = 1, **more: object) -> dict[str, Any]:
    return {"uuid": str(uuid4()), "set_up": key[0], "piece": key[1], "count": count, "at": AT} | more


def back(tick: dict[str, Any]) -> dict[str, Any]:
    return tick | {"uuid": undo_of(tick["uuid"]), "count": -tick["count"]}


def send(client: TestClient, project_id: int, *ticks: object, after: int = 0) -> dict[str, Any]:
    answer = client.post(urls.shop_ticks(project_id), params={"after": after}, json=list(ticks))
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def ledger(store: Store, project_id: int) -> list[tuple[str, int]]:
    return [(entry.tick.uuid, entry.tick.count) for entry in ticking.history(store, project_id)]


class TestThePage:
    def test_every_set_up_with_its_readings_test_and_pieces(self, client: TestClient, project_id: int) -> None:
        page = client.get(urls.shop(project_id))
        first, second = blocks(page)
        assert said(first.h2).startswith("Set-up 1 of 2 Set all six values")
        assert said(second.h2).startswith("Set-up 2 of 2 Change fence reading")
        assert "Clamp height 20 mm" in said(first.select_one(".shop-readings"))
        assert [said(each) for each in second.select(".changed dt")] == ["Fence reading change"]
        names = [
            said(row.select_one(".tick-words")).split(" top")[0].split(" side")[0] for row in first.select("li")
        ]
        assert names[0].startswith("Test piece first")
        assert names[1:] == ["A1 L left-hand", "A1 R right-hand", "A2 L left-hand", "A2 R right-hand"]
        assert counts(first) == ["0 of 1", "0 of 2", "0 of 2", "0 of 2", "0 of 2"]
        assert len(first.select("noscript svg title")) == 2
        assert "0 of 18 done" in main(page)

    def test_a_scale_that_is_out_is_set_alike_in_tile_and_drawing(
        self, client: TestClient, project_id: int
    ) -> None:
        assert send_calibration(client, figure="fence").status_code == 303
        for address in (urls.shop(project_id), urls.set_ups(project_id)):
            for block in soup(client.get(address)).select(".shop-set-up, .set-up"):
                tiles = [said(tile) for tile in block.select("dl > div")]
                told = [tile for tile in tiles if tile.startswith("Fence reading")]
                (figure,) = re.findall(r"([0-9.]+) mm for [0-9.]+ mm", told[0])
                drawn = {said(text) for text in block.select("svg text")}
                assert f"fence {figure}" in drawn, (address, told)
                assert len([text for text in drawn if re.match(r"fence [0-9.]+$", text)]) == 1

    def test_many_alike_are_ticked_by_the_handful(self, client: TestClient, demo_store: Store) -> None:
        few = blocks(client.get(urls.shop(make(demo_store, a_frame(quantity=4)))))[0]
        assert few.select("[data-handful]") == []
        address = urls.shop(make(demo_store, a_frame(quantity=5)))
        row = blocks(client.get(address))[0].select("li")[1]
        (handful,) = row.select("[data-handful]")
        assert (handful["name"], handful["value"], handful.has_attr("hidden")) == ("count", "5", False)
        form = {str(each["name"]): str(each["value"]) for each in row.select("[data-tick] input")}
        assert client.post(address, data=form | {"count": "5"}).status_code == 303
        block = blocks(client.get(address))[0]
        assert counts(block)[1] == "5 of 10"
        assert block.select("li")[1].select_one("[data-handful]").has_attr("hidden")  # type: ignore[union-attr]
        assert said(block.select_one("[data-undo-button]")) == "Undo 5 of A1, left-hand"
        assert said(block.select("li")[1].select_one("[data-take]")).startswith("Take back 5")

    def test_the_caution_that_belongs_there_and_the_way_to_all(self, client: TestClient, project_id: int) -> None:
        first, second = blocks(client.get(urls.shop(project_id)))
        assert DISCONNECT in said(first)
        assert DISCONNECT not in said(second)
        assert cautions.NOTHING_LOOSE.rest.strip() in said(second)
        for block in (first, second):
            assert urls.cautions() in [link["href"] for link in block.select(".shop-caution a")]

    def test_the_way_there_and_back(self, client: TestClient, project_id: int) -> None:
        sheet = soup(client.get(urls.set_ups(project_id)))
        assert urls.shop(project_id) in [link["href"] for link in sheet.select("main a")]
        page = soup(client.get(urls.shop(project_id)))
        assert urls.set_ups(project_id) in [link["href"] for link in page.select("main a")]

    def test_nothing_to_mill(self, client: TestClient, demo_store: Store) -> None:
        assert "nothing to mill yet" in main(client.get(urls.shop(make(demo_store))))
        page = client.get(urls.shop(make(demo_store, an_impossible_joint("B"))))
        assert "cannot be made as they stand: B-J1." in main(page)
        assert client.get(urls.shop(9999)).status_code == 404

    def test_several_projects_share_what_they_share(self, client: TestClient, demo_store: Store) -> None:
        one = make(demo_store, a_frame(), name="Ash frame")
        other = make(demo_store, a_frame(quantity=3), name="Oak frames")
        address = urls.shop(one, other)
        first = blocks(client.get(address))[0]
        assert counts(first) == ["0 of 1", *["0 of 2"] * 4, *["0 of 6"] * 4]
        assert "Oak frames" in said(first.select("li")[-1])
        key = str(first["data-set-up"])
        ticks = [
            a_tick((key, f"{one}/test")),
            a_tick((key, json.loads(str(first.select("li")[-1]["data-row"]))[0])),
        ]
        assert client.post(urls.shop_ticks(one, other), json=ticks).status_code == 200
        assert [len(ledger(demo_store, number)) for number in (one, other)] == [1, 1]
        assert counts(blocks(client.get(address))[0])[0] == "1 of 1"
        # by itself each shows what is its own
        assert counts(blocks(client.get(urls.shop(one)))[0]) == ["1 of 1", *["0 of 2"] * 4]
        assert counts(blocks(client.get(urls.shop(other)))[0]) == ["0 of 1", *["0 of 6"] * 3, "1 of 6"]
        assert client.get(urls.shop(one, 9999)).status_code == 404
        assert client.get("/shop").status_code == 422


class TestTheExchange:
    def test_a_tick_is_booked_once_however_often_it_is_sent(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        tick = a_tick(keys(client, project_id)[1])
        answers = [send(client, project_id, tick, tick) for _ in range(5)]
        assert ledger(demo_store, project_id) == [(tick["uuid"], 1)]
        assert all(answer["booked"] == [tick["uuid"]] and answer["gone"] == [] for answer in answers)
        assert answers[0] == answers[-1]

    def test_a_thousand_ticks_sent_five_times_are_a_thousand_rows(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        work = keys(client, project_id)
        ticks = [a_tick(work[number % len(work)]) for number in range(1000)]
        for _ in range(5):
            for start in range(0, 1000, 200):
                send(client, project_id, *ticks[start : start + 200])
        assert sorted(ledger(demo_store, project_id)) == sorted((tick["uuid"], 1) for tick in ticks)

    def test_the_answer_brings_what_came_from_elsewhere(self, client: TestClient, project_id: int) -> None:
        work = keys(client, project_id)
        here, there = a_tick(work[0]), a_tick(work[1])
        seen = send(client, project_id, there)["seen"]
        answer = send(client, project_id, here)
        assert [each[0] for each in answer["ticks"]] == [there["uuid"], here["uuid"]]
        assert [each[0] for each in send(client, project_id, here, after=seen)["ticks"]] == [here["uuid"]]
        news = client.get(urls.shop_ticks(project_id), params={"after": answer["seen"]}).json()
        assert (news["ticks"], news["seen"], news["sheet"]) == ([], answer["seen"], answer["sheet"])

    def test_two_tablets_that_take_the_same_tick_back_take_it_back_once(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        key = keys(client, project_id)[1]
        one, two = a_tick(key), a_tick(key)
        send(client, project_id, one, two)
        for _ in range(2):  # each tablet, from what it saw
            send(client, project_id, back(one))
        assert sorted(count for _, count in ledger(demo_store, project_id)) == [-1, 1, 1]
        assert counts(blocks(client.get(urls.shop(project_id)))[0])[1] == "1 of 2"

    def test_both_ticked_all_and_one_takes_back(self, client: TestClient, project_id: int) -> None:
        key = keys(client, project_id)[1]
        one, two = a_tick(key, 2), a_tick(key, 2)
        send(client, project_id, one, two)
        assert counts(blocks(client.get(urls.shop(project_id)))[0])[1] == "2 of 2"
        # the other one's tick still says that both are done
        send(client, project_id, back(one))
        assert counts(blocks(client.get(urls.shop(project_id)))[0])[1] == "2 of 2"
        send(client, project_id, back(two))
        assert counts(blocks(client.get(urls.shop(project_id)))[0])[1] == "0 of 2"

    def test_a_tick_and_its_taking_back_may_come_together(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        tick = a_tick(keys(client, project_id)[1], 2)
        answer = send(client, project_id, tick, back(tick))
        assert answer["booked"] == [tick["uuid"], undo_of(tick["uuid"])]
        assert len(ledger(demo_store, project_id)) == 2
        assert counts(blocks(client.get(urls.shop(project_id)))[0])[1] == "0 of 2"

    def test_what_the_sheet_does_not_have_is_booked_nowhere_and_said(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        set_up, piece = keys(client, project_id)[1]
        good = a_tick((set_up, piece))
        strange = [a_tick((set_up, "1/gone")), a_tick(("0" * 16, piece)), back(a_tick((set_up, piece)))]
        answer = send(client, project_id, strange[0], good, *strange[1:])
        assert answer["booked"] == [good["uuid"]]
        assert answer["gone"] == [each["uuid"] for each in strange]
        assert "no longer on its sheet" in answer["message"]
        assert ledger(demo_store, project_id) == [(good["uuid"], 1)]

    def test_a_project_that_is_gone(self, client: TestClient, demo_store: Store, project_id: int) -> None:
        tick = a_tick(keys(client, project_id)[1])
        with demo_store.writing() as session:
            delete_project(session, project_id, project_version(session, project_id))
        for answer in (
            client.post(urls.shop_ticks(project_id), json=[tick]),
            client.get(urls.shop_ticks(project_id)),
        ):
            assert answer.status_code == 404
            assert "project" in answer.json()["error"]
        assert ledger(demo_store, project_id) == []


class TestHostileBodies:
    BODIES = (
        b"",
        b"{",
        b"\xff\xfe",
        b"null",
        b"{}",
        b'"ticks"',
        b"1e999",
        b"NaN",
        b"[" * 5000,
        b"[1]",
        b"[null]",
        b"[[]]",
        b"[{}]",
        b'[{"uuid": 1}]',
        b"9" * 5000,
    )
    FIELDS = (
        {"uuid": "x"},
        {"uuid": None},
        {"uuid": "6f9619ff8b864011b42d00c04fc964ff"},
        {"uuid": "6f9619ff-8b86-1011-b42d-00c04fc964ff"},
        {"uuid": "6f9619ff-8b86-8011-b42d-00c04fc964ff"},
        {"count": 0},
        {"count": -1},
        {"count": 1.5},
        {"count": True},
        {"count": "1"},
        {"count": 2**70},
        {"at": "yesterday"},
        {"at": "2026-03-02T08:30:00"},
        {"at": "0001-01-01T00:00:00+14:00"},
        {"at": 1},
        {"set_up": ""},
        {"piece": "x" * 2000},
        {"piece": "a\u0000b"},
        {"piece": "\ud800"},
        {"piece": ["1"]},
        {"more": 1},
    )

    @pytest.mark.parametrize("body", BODIES)
    def test_what_is_no_list_of_ticks(self, client: TestClient, project_id: int, body: bytes) -> None:
        self.refused(client.post(urls.shop_ticks(project_id), content=body))

    @pytest.mark.parametrize("fields", FIELDS, ids=str)
    def test_a_field_that_is_wrong(
        self, client: TestClient, demo_store: Store, project_id: int, fields: dict[str, Any]
    ) -> None:
        key = keys(client, project_id)[1]
        body = json.dumps([a_tick(key), a_tick(key, **fields)]).encode()
        self.refused(client.post(urls.shop_ticks(project_id), content=body))
        assert ledger(demo_store, project_id) == []

    def test_more_than_fits(self, client: TestClient, project_id: int) -> None:
        key = keys(client, project_id)[1]
        self.refused(client.post(urls.shop_ticks(project_id), json=[a_tick(key)] * (MOST_AT_ONCE + 1)))
        assert client.post(urls.shop_ticks(project_id), content=b"[" + b" " * 1_100_000 + b"]").status_code == 413

    def test_a_tick_is_taken_back_as_it_was(self, client: TestClient, demo_store: Store, project_id: int) -> None:
        work = keys(client, project_id)
        tick = a_tick(work[1], 2)
        send(client, project_id, tick)
        for wrong in ({"count": -1}, {"piece": work[2][1]}, {"set_up": work[-1][0]}):
            self.refused(client.post(urls.shop_ticks(project_id), json=[back(tick) | wrong]))
        assert ledger(demo_store, project_id) == [(tick["uuid"], 2)]

    def test_another_sites_page_books_nothing(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        tick = a_tick(keys(client, project_id)[1])
        for headers in ({"Origin": "http://elsewhere.example"}, {"Origin": "null"}):
            assert client.post(urls.shop_ticks(project_id), json=[tick], headers=headers).status_code == 403
            assert client.post(urls.shop(project_id), data=tick, headers=headers).status_code == 403
        assert ledger(demo_store, project_id) == []

    @pytest.mark.parametrize("after", ["-1", "x", "1.5", "9" * 40])
    def test_a_number_that_is_none(self, client: TestClient, project_id: int, after: str) -> None:
        assert client.get(urls.shop_ticks(project_id), params={"after": after}).status_code == 422

    def refused(self, answer: Response) -> None:
        assert answer.status_code == 422, answer.text
        sentence = answer.json()["error"]
        assert sentence.startswith("Nothing was booked. ")
        assert "\n" not in sentence
        assert len(sentence) < 300
        assert "Traceback" not in sentence


class TestWhenTheProjectChanges:
    def change(self, store: Store, project_id: int, **fields: object) -> None:
        assembly = plan(store, project_id).assemblies[0].stored
        with store.writing() as session:
            update_assembly(session, assembly.id, assembly.version, an_assembly(**fields))

    def test_more_pieces_keep_the_ticks(self, client: TestClient, demo_store: Store, project_id: int) -> None:
        before = send(client, project_id, a_tick(keys(client, project_id)[1], 2))
        self.change(demo_store, project_id, quantity=2)
        page = client.get(urls.shop(project_id))
        assert counts(blocks(page)[0]) == ["0 of 1", "2 of 4", *["0 of 4"] * 3]
        assert client.get(urls.shop_ticks(project_id)).json()["sheet"] != before["sheet"]

    def test_another_assembly_changes_nothing_of_the_first(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        send(client, project_id, *(a_tick(key) for key in keys(client, project_id)[:5]))
        with demo_store.writing() as session:
            add_assembly(session, project_id, an_assembly(mark="B", stock={"width": 45, "thickness": 24}))
        page = client.get(urls.shop(project_id))
        ticked = [block for block in blocks(page) if "1 of 2" in counts(block)]
        assert [counts(block) for block in ticked] == [["1 of 1", *["1 of 2"] * 4]]

    def test_ticks_of_what_changed_stay_in_the_ledger_and_are_told(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        tick = a_tick(keys(client, project_id)[1])
        send(client, project_id, tick)
        self.change(demo_store, project_id, stock={"width": 45, "thickness": 24})
        page = client.get(urls.shop(project_id))
        assert "0 of 18 done" in main(page)
        assert "1 earlier tick belongs to a piece or set-up that the sheet no longer has." in main(page)
        assert ledger(demo_store, project_id) == [(tick["uuid"], 1)]
        # what is in the ledger can still be sent again, and taken back
        assert send(client, project_id, tick, back(tick))["gone"] == []


class TestWithoutScript:
    def form(self, page: Response, row: int, part: str) -> dict[str, str]:
        found = blocks(page)[0].select("li")[row].select_one(part)
        assert found is not None
        return {str(each["name"]): str(each["value"]) for each in found.select("input")}

    def test_a_tick_and_back_to_its_place(self, client: TestClient, demo_store: Store, project_id: int) -> None:
        address = urls.shop(project_id)
        form = self.form(client.get(address), 1, "[data-tick]")
        assert UUID(form["uuid"]).version == 4
        for _ in range(2):
            answer = client.post(address, data=form | {"count": "2"})
            assert answer.status_code == 303
            assert answer.headers["location"] == f"{address}#set-up-1"
        assert ledger(demo_store, project_id) == [(form["uuid"], 2)]
        row = blocks(client.get(address))[0].select("li")[1]
        assert said(row.select_one(".tick-count")) == "2 of 2"
        assert all(button.has_attr("hidden") for button in row.select("[data-tick] button"))

    @pytest.mark.parametrize("which", ["[data-back]", "[data-undo]"])
    def test_taking_back(self, client: TestClient, demo_store: Store, project_id: int, which: str) -> None:
        address = urls.shop(project_id)
        send(client, project_id, a_tick(keys(client, project_id)[1]))
        block = blocks(client.get(address))[0]
        found = (block.select("li")[1] if which == "[data-back]" else block).select_one(which)
        assert found is not None
        assert "A1, left-hand" in said(found)
        form = {str(each["name"]): str(each["value"]) for each in found.select("input")}
        for _ in range(2):
            assert client.post(address, data=form).headers["location"] == f"{address}#set-up-1"
        assert [count for _, count in ledger(demo_store, project_id)] == [1, -1]
        assert counts(blocks(client.get(address))[0])[1] == "0 of 2"

    def test_a_piece_that_is_gone_is_told_on_the_page(self, client: TestClient, project_id: int) -> None:
        address = urls.shop(project_id)
        form = self.form(client.get(address), 1, "[data-tick]") | {"count": "1", "piece": "1/gone"}
        answer = client.post(address, data=form)
        assert answer.status_code == 409
        assert "no longer on its sheet" in main(answer)

    @pytest.mark.parametrize(
        "wrong", [{"count": "0"}, {"count": "²"}, {"count": ""}, {"uuid": "x"}, {"piece": ""}]
    )
    def test_a_form_that_no_page_of_ours_sends(
        self, client: TestClient, demo_store: Store, project_id: int, wrong: dict[str, str]
    ) -> None:
        address = urls.shop(project_id)
        form = self.form(client.get(address), 1, "[data-tick]") | {"count": "1"}
        assert client.post(address, data=form | wrong).status_code == 422
        assert ledger(demo_store, project_id) == []

    def test_it_says_where_to_go_on(self, client: TestClient, project_id: int) -> None:
        address, work = urls.shop(project_id), keys(client, project_id)
        assert "Go on with set-up 1" in main(client.get(address))
        send(client, project_id, *(a_tick(key, 1 if key[1].endswith("test") else 2) for key in work[:5]))
        assert "Go on with set-up 2" in main(client.get(address))
        send(client, project_id, *(a_tick(key, 1 if key[1].endswith("test") else 2) for key in work[5:]))
        page = main(client.get(address))
        assert "All set-ups are done." in page
        assert "18 of 18 done" in page


class TestTime:
    def test_planned_and_ticked(self, client: TestClient, project_id: int) -> None:
        work = keys(client, project_id)
        minutes = (0, 1, 2, 4, 6)
        ticks = [
            a_tick(key, 1 if place == 0 else 2, at=f"2026-03-02T08:{minute:02}:00Z")
            for place, (key, minute) in enumerate(zip(work[:5], minutes, strict=True))
        ]
        send(client, project_id, *reversed(ticks))
        page = client.get(urls.ticked_time(project_id))
        rows = [[said(cell) for cell in row.select("th, td")] for row in soup(page).select("tbody tr")]
        # eight slots at half a minute in six minutes; ten slots with the test's in all, eight where none is made
        assert rows[0] == ["1 Set all six values", "5 min", "4 min", "6 min", "150%"]
        assert rows[1][1:] == ["4 min", "too few ticks to compare"]
        assert rows[2] == ["Milling together", "9 min", "4 min", "6 min", "150%"]
        assert rows[3][1:] == ["22.5 min", "too few ticks to compare"]
        assert "Pauses longer than 30 min are left out" in main(page)

    def test_nothing_to_compare_yet(self, client: TestClient, demo_store: Store, project_id: int) -> None:
        assert "Nothing is ticked off yet." in main(client.get(urls.ticked_time(project_id)))
        assert "nothing to mill yet" in main(client.get(urls.ticked_time(make(demo_store))))
        assert client.get(urls.ticked_time(9999)).status_code == 404

    def test_ticked_all_at_once(self, client: TestClient, project_id: int) -> None:
        send(client, project_id, *(a_tick(key, 1) for key in keys(client, project_id)[:5]))
        assert "ticked all at once, so its time is not known" in main(client.get(urls.ticked_time(project_id)))
