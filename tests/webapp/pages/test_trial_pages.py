"""The book of trials over HTTP: recorded, read backwards, accepted as a start, withdrawn."""

from __future__ import annotations

import re
from math import radians, tan

import pytest
from httpx import Response

from domain.lengths import Units
from tests.client import TestClient
from tests.webapp.pages.reading import errors, fields, main, soup, summary
from tests.webapp.pages.trial_forms import DAY, PIECE, STOCK, record, send_start, send_trial
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.engine import today
from webapp.store.shop import load_shop, update_shop
from webapp.store.trials import list_starts, list_trials

SNUG = (14.06 - 11.45) / (2 * tan(radians(12)))
"""The demo's section 14 by domain.md's p₀ = (D − a) / (2 tan θ): 6.1395 mm."""


with_demo = pytest.mark.usefixtures("demo_store")


def numbers(store: Store) -> list[int]:
    with store.reading() as session:
        return [kept.number for kept in list_trials(session)]


def inches(store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(
            session, shop.version, name=shop.name, units=Units.INCH, currency=shop.currency, rules=shop.rules
        )


def said(answer: Response, selector: str) -> str:
    tag = soup(answer).select_one(selector)
    return " ".join(tag.get_text(" ").split()) if tag else ""


def test_an_empty_shop_is_led_to_measure_a_key(client: TestClient) -> None:
    for address in (urls.trials(), urls.new_trial(), urls.new_moulding()):
        page = client.get(address)
        assert urls.new_section() in [str(link["href"]) for link in soup(page).select("main a")]


@with_demo
class TestTheForm:
    def test_it_opens_with_today_and_nothing_chosen(self, client: TestClient, store: Store) -> None:
        page = client.get(urls.new_trial())
        with store.reading() as session:
            day = today(session).isoformat()
        assert fields(page) | {"token": ""} == {name: "" for name in PIECE if name not in {"tool", "outcome"}} | {
            "day": day,
            "token": "",
        }
        words = said(page, ".tiles-outcome")
        for word in ("Held apart", "Loose", "Snug", "Tight", "Burst", "Key stopped"):
            assert word in words

    def test_section_and_cutter_come_from_the_catalogue(self, client: TestClient, store: Store) -> None:
        offered = {str(tag["value"]) for tag in soup(client.get(urls.new_trial())).select("[name=tool]")}
        with store.reading() as session:
            sections = [each.section for each in list_sections(session)]
        free = {f"free:{each.name}" for each in sections if each.free_tip_diameter}
        assert offered == {f"close:{each.name}" for each in sections} | free

    def test_it_opens_filled_in_from_a_set_up(self, client: TestClient) -> None:
        known = {
            "section": "14",
            "cutter": "close",
            "species": "ash & <oak>",
            "projection": "6.24",
            "project": "1",
        }
        page = client.get(urls.new_trial(**known))
        found = fields(page)
        assert (found["tool"], found["species"], found["projection"]) == ("close:14", "ash & <oak>", "6.24")
        assert (found["project"], found["depth"]) == ("1", "")
        assert urls.set_ups(1) in [str(link["href"]) for link in soup(page).select("main a")]

    def test_an_address_with_what_no_person_types_is_refused(self, client: TestClient) -> None:
        assert client.get("/trials/new?species=%00").status_code == 422
        assert client.get("/trials/start?section=%00").status_code == 422

    @pytest.mark.parametrize(
        ("sent", "field", "sentence"),
        [
            ({"tool": ""}, "tool", "choose the section and the cutter"),
            ({"tool": "14"}, "tool", "choose the section and the cutter"),
            ({"tool": "close:99"}, "tool", "no such section and cutter any more; choose one"),
            ({"tool": "free:10"}, "tool", "no such section and cutter any more; choose one"),
            ({"outcome": ""}, "outcome", "choose what the key did"),
            ({"species": ""}, "species", "such as oak"),
            ({"species": "x" * 121}, "species", "120"),
            ({"thickness": "thick"}, "thickness", "not a length"),
            ({"thickness": ""}, "thickness", "needs"),
            ({"projection": "-1"}, "projection", "must be more than 0"),
            ({"projection": "60", "outcome": "tight", "gap": ""}, "projection", "must be less than 33.07 mm"),
            ({"depth": "0"}, "depth", "must be more than 0"),
            ({"fence_reading": ""}, "fence_reading", "needs"),
            ({"gap": ""}, "gap", "feeler gauge"),
            ({"gap": "6"}, "gap", "must be 5 mm or less"),
            ({"gap": "4.9"}, "gap", "read projection and gap again"),
            ({"outcome": "snug"}, "gap", "leave it empty"),
            ({"outcome": "stopped", "gap": ""}, "stopped_at", "how far the key went in"),
            ({"outcome": "stopped", "gap": "", "stopped_at": "18"}, "stopped_at", "less than the slot’s depth"),
            ({"tip_diameter": "11"}, "tip_diameter", "must be more than the key’s waist, 11.45 mm"),
            ({"day": ""}, "day", "2026-03-31"),
            ({"day": "2026-02-30"}, "day", "day of the calendar"),
            ({"day": "9999-01-01"}, "day", "must not be later than today"),
        ],
    )
    def test_what_cannot_be_used_is_said_at_its_field(
        self, client: TestClient, store: Store, sent: dict[str, str], field: str, sentence: str
    ) -> None:
        answer = send_trial(client, **sent)
        assert answer.status_code == 422
        assert sentence in errors(answer)[field].replace("'", "’")
        assert summary(answer).startswith("One place needs another look")
        shown = fields(answer)
        for name, text in (PIECE | sent).items():
            assert shown.get(name, "") == text or name in {"tool", "outcome"}, name
        assert numbers(store) == []

    def test_all_that_is_wrong_is_said_at_once(self, client: TestClient) -> None:
        answer = send_trial(client, thickness="x", gap="", depth="", tool="")
        assert set(errors(answer)) == {"thickness", "depth", "tool"}

    def test_it_books_once(self, client: TestClient, store: Store) -> None:
        token = new_token()
        first, again = send_trial(client, token=token), send_trial(client, token=token)
        assert first.headers["location"] == again.headers["location"] == urls.trial(1)
        assert numbers(store) == [1]
        assert send_trial(client, token="x").status_code == 422

    def test_htmx_is_sent_on_to_the_trial(self, client: TestClient) -> None:
        sent = {"token": new_token(), **PIECE, "project": "7"}
        answer = client.post(urls.trials(), data=sent, headers={"HX-Request": "true"})
        assert answer.headers["HX-Redirect"] == urls.trial(1, project="7")


@with_demo
class TestWhatATrialSays:
    def test_a_measured_gap_gives_the_snug_projection_and_the_next_one(self, client: TestClient) -> None:
        # loose by 0.3 at 6.2: p₀ = 6.2 + 0.3 / 2 = 6.35, and the usual preload of 0.1 on top
        page = client.get(urls.trial(record(client)))
        assert said(page, ".beside") == "The trials say: set next 6.45 mm The catalogue says 6.24 mm"
        text = main(page)
        assert "snug at 6.35 mm" in text
        assert "0.21 mm deeper than the catalogue’s" in text
        assert f"by the catalogue {SNUG:.2f} mm" in text
        # a = D − 2·p₀·tan θ = 14.06 − 2 · 6.35 · tan 12° = 11.36, or D = 14.15
        assert "A waist of 11.36 mm would explain it, or a tip of 14.15 mm" in text

    @pytest.mark.parametrize(
        ("sent", "snug"),
        [
            ({"outcome": "held_apart", "projection": "5.9", "gap": "0.4"}, "snug at 6.1 mm or more"),
            ({"outcome": "snug", "gap": ""}, "snug at 6.2 mm"),
            ({"outcome": "tight", "gap": ""}, "snug at 6.2 mm or less"),
            ({"outcome": "burst", "gap": "", "projection": "6.9"}, "6.9 mm is too much"),
            ({"outcome": "stopped", "gap": "", "stopped_at": "7", "projection": "6.9"}, "6.9 mm is too much"),
        ],
    )
    def test_every_outcome(self, client: TestClient, sent: dict[str, str], snug: str) -> None:
        page = client.get(urls.trial(record(client, **sent)))
        assert snug in main(page)
        assert "set next" in said(page, ".beside")

    def test_the_fragment_is_what_the_page_shows(self, client: TestClient) -> None:
        record(client)
        record(client, outcome="tight", gap="")
        address = urls.trial(record(client, projection="6.5", gap="0.5"))
        fragment = client.get(address, headers={"HX-Request": "true"}).text.strip()
        assert "contradict" in fragment
        assert fragment in client.get(address).text
        assert fragment in client.get(urls.trials()).text

    def test_two_that_contradict_one_another_are_named(self, client: TestClient) -> None:
        first = record(client)
        second = record(client, projection="6.5", gap="0.5")
        assert f"Trials {second} and {first} contradict one another" in said(
            client.get(urls.trials()), ".notice-refusal"
        )

    def test_the_next_trial_opens_like_the_last_but_for_the_projection(self, client: TestClient) -> None:
        page = client.get(urls.trial(record(client)))
        links = {" ".join(tag.text.split()): str(tag["href"]) for tag in soup(page).select("a.button")}
        (link,) = [address for words, address in links.items() if "next trial" in words]
        found = fields(client.get(link))
        assert (found["projection"], found["species"], found["depth"]) == ("6.45", "oak", "18")
        assert (found["tool"], found["gap"]) == ("close:14", "")

    def test_a_tip_ground_since_is_reckoned_with(self, client: TestClient) -> None:
        # at a tip of 13.86 the snug projection is 0.2 / (2 tan 12°) = 0.4705 less than at today's 14.06
        page = client.get(urls.trial(record(client, tip_diameter="13.86", projection="5.7", gap="0.1")))
        assert f"snug at {5.75 + 0.2 / (2 * tan(radians(12))):.2f} mm" in main(page)

    def test_the_book_groups_by_section_cutter_and_species(self, client: TestClient) -> None:
        record(client)
        record(client, species="walnut")
        record(client, tool="free:14", outcome="tight", gap="", projection="7.5")
        record(client, species=" Oak ", projection="6.25", gap="0.2", day="2026-01-10")
        page = client.get(urls.trials())
        titles = [" ".join(tag.text.split()) for tag in soup(page).select(".trial-group h2")]
        assert titles == [
            "Section 14, close-fit cutter, Oak",
            "Section 14, free-fit cutter, oak",
            "Section 14, close-fit cutter, walnut",
        ]
        first = soup(page).select_one(".trial-group")
        assert first is not None
        assert [" ".join(tag.text.split()) for tag in first.select("tbody th")] == ["Trial 4", "Trial 1"]

    def test_trials_of_a_section_that_is_gone_stay(self, client: TestClient, store: Store) -> None:
        record(client)
        with store.writing() as session:
            session.connection().exec_driver_sql("UPDATE section SET name = '15' WHERE name = '14'")
        page = main(client.get(urls.trials()))
        assert "The catalogue has no section 14 with this cutter any more" in page
        assert client.get(urls.trial(1)).status_code == 200

    def test_an_inch_shop(self, client: TestClient, store: Store) -> None:
        inches(store)
        number = record(
            client, projection="0.244", gap="0.012", thickness="25/32", depth="3/4 in", fence_reading="16,5 mm"
        )
        text = main(client.get(urls.trial(number)))
        # 6.1976 + 0.3048 / 2 = 6.35 mm = 0.250 in
        assert "snug at 0.250 in" in text
        assert "0.254 in The catalogue says 0.246 in" in text
        assert "25/32 in" in text
        refused = send_trial(client, gap="0.2", projection="0.244", thickness="25/32", depth="3/4")
        assert re.search(r"must be \d[\d/ ]* in \(5 mm\) or less", errors(refused)["gap"])

    def test_what_is_not_there(self, client: TestClient) -> None:
        assert client.get(urls.trial(1)).status_code == 404
        assert client.post(urls.withdraw_trial(1), data={"why": "x"}).status_code == 404
        assert client.post(urls.end_start(1), data={}).status_code == 404
        assert client.post(urls.drop_moulding(1), data={}).status_code == 404


@with_demo
class TestWithdrawing:
    def test_it_stays_struck_out_with_the_reason_and_counts_no_more(
        self, client: TestClient, store: Store
    ) -> None:
        number = record(client)
        answer = client.post(urls.withdraw_trial(number), data={"why": " gauge   misread "})
        assert answer.headers["location"] == urls.trial(number)
        page = client.get(urls.trials())
        assert "withdrawn: gauge misread" in said(page, "tr.withdrawn")
        assert "Every trial here was withdrawn" in main(page)
        assert "gauge misread" in main(client.get(urls.trial(number)))
        assert not soup(client.get(urls.trial(number))).select("form[action$=withdraw]")
        assert numbers(store) == []

    @pytest.mark.parametrize(("why", "sentence"), [("", "say why"), ("x" * 501, "500 letters")])
    def test_it_needs_a_reason(self, client: TestClient, store: Store, why: str, sentence: str) -> None:
        number = record(client)
        answer = client.post(urls.withdraw_trial(number), data={"why": why})
        assert answer.status_code == 422
        assert sentence in errors(answer)["why"]
        assert numbers(store) == [number]


@with_demo
class TestStarts:
    def test_both_figures_and_the_evidence_stand_side_by_side(self, client: TestClient) -> None:
        record(client, thickness="22")
        record(client, species="walnut", gap="0.32")
        page = client.get(urls.start(**STOCK))
        assert said(page, ".beside") == "The trials say 6.45 mm The catalogue says 6.24 mm"
        near = [
            [" ".join(cell.text.split()) for cell in row.select("td")][:2] for row in soup(page).select("tbody tr")
        ]
        assert near == [
            ["same species, 2 mm thicker", "loose by 0.3 mm"],
            ["another species (walnut), same thickness", "loose by 0.32 mm"],
        ]

    def test_nothing_is_planned_with_it_until_it_is_accepted(self, client: TestClient, store: Store) -> None:
        record(client)
        client.get(urls.start(**STOCK))
        with store.reading() as session:
            assert list_starts(session) == ()

    def test_accepted_dated_listed_and_given_up(self, client: TestClient, store: Store) -> None:
        record(client)
        answer = send_start(client, "6.45")
        assert answer.headers["location"] == urls.trials() + "#starts"
        with store.reading() as session:
            (kept,), day = list_starts(session), today(session).isoformat()
        assert (kept.start.projection.mm, kept.start.species, kept.start.trials) == (6.45, "oak", (1,))
        page = client.get(urls.trials())
        row = " ".join(soup(page).select("section[aria-labelledby=starts] tbody tr")[0].get_text(" ").split())
        assert row.startswith(f"Section 14, close-fit cutter oak 6.45 mm trial 1 {day} Give up")
        assert f"Planned with 6.45 mm since {day} , from trial 1" in said(page, ".says")
        assert "Give it up" in main(client.get(urls.start(**STOCK)))
        client.post(urls.end_start(1), data={"token": new_token()})
        with store.reading() as session:
            assert list_starts(session) == ()
        assert soup(client.get(urls.trials())).select("tr.ended")

    def test_for_every_wood(self, client: TestClient, store: Store) -> None:
        record(client)
        send_start(client, "6.45", wood="any")
        with store.reading() as session:
            assert list_starts(session)[0].start.species is None
        assert "any without one of its own" in main(client.get(urls.trials()))

    def test_it_is_accepted_once_and_leads_back_to_the_sheet(self, client: TestClient, store: Store) -> None:
        record(client)
        token = new_token()
        for _ in range(2):
            answer = send_start(client, "6.45", token=token, project="1")
            assert answer.headers["location"] == urls.set_ups(1)
        with store.reading() as session:
            assert len(list_starts(session)) == 1

    def test_what_the_trials_say_no_longer_is_not_accepted(self, client: TestClient, store: Store) -> None:
        record(client)
        record(client, projection="6.3", gap="0.06")
        answer = send_start(client, "6.45")
        assert answer.status_code == 409
        assert "The trials say 6.43 mm by now" in said(answer, ".notice-refusal")
        assert "Plan with 6.43 mm from now on" in main(answer)
        with store.reading() as session:
            assert list_starts(session) == ()

    def test_trials_that_only_bound_it_give_nothing_to_accept(self, client: TestClient) -> None:
        record(client, outcome="burst", gap="")
        page = client.get(urls.start(**STOCK))
        assert "nothing to accept yet" in main(page)
        assert not soup(page).select("form[action='/trials/starts']")
        assert send_start(client, "6.2").status_code == 409

    def test_a_tight_trial_may_be_planned_with_as_it_is(self, client: TestClient) -> None:
        record(client, outcome="tight", gap="")
        page = main(client.get(urls.start(**STOCK)))
        assert "Trial 1 clamped the joint at 6.2 mm, driven with force: that can be planned with as it is." in page
        assert "Plan with 6.2 mm from now on" in page
        assert send_start(client, "6.2").status_code == 303

    def test_no_trial_at_all(self, client: TestClient) -> None:
        assert "stands here, beside the catalogue’s figure" in main(client.get(urls.start(**STOCK)))

    def test_a_start_whose_trial_was_withdrawn_says_so(self, client: TestClient) -> None:
        number = record(client)
        send_start(client, "6.45")
        client.post(urls.withdraw_trial(number), data={"why": "typed wrongly"})
        assert "trial 1 withdrawn since" in said(client.get(urls.trials()), "section[aria-labelledby=starts]")

    @pytest.mark.parametrize(
        "wrong",
        [{"section": "99"}, {"section": ""}, {"cutter": "round"}, {"thickness": ""}, {"thickness": "x"}],
    )
    def test_an_address_that_cannot_be_read_is_refused_in_words(
        self, client: TestClient, wrong: dict[str, str]
    ) -> None:
        answer = client.get(urls.start(**(STOCK | wrong)))
        assert answer.status_code == 422
        assert "Traceback" not in answer.text
        assert send_start(client, "6.45", **wrong).status_code == 422

    def test_a_section_without_that_cutter(self, client: TestClient) -> None:
        answer = client.get(urls.start(**(STOCK | {"section": "10", "cutter": "free"})))
        assert answer.status_code == 422
        assert "close-fit cutter only" in main(answer)


MOULDING = {
    "name": "Cove 45",
    "width": "45",
    "thickness": "20",
    "rabbet_width": "6",
    "rabbet_depth": "10",
    "front": "0; 20\n20; 12\n45; 12",
    "angle": "45",
    "tool": "close:10",
    "projection": "4.3",
    "fence_readings": "16.5; 47.1",
    "day": DAY,
}


@with_demo
class TestMouldings:
    def send(self, client: TestClient, **more: str) -> Response:
        answer: Response = client.post(urls.mouldings(), data={"token": new_token(), **MOULDING, **more})
        return answer

    def test_kept_listed_and_dropped(self, client: TestClient) -> None:
        answer = self.send(client)
        assert answer.headers["location"] == f"{urls.mouldings()}#moulding-1"
        page = client.get(urls.mouldings())
        row = said(page, "#moulding-1").replace("\xa0", " ")
        assert row.startswith(
            "Cove 45 45 × 20 mm, rabbet 6 × 10 mm, shaped front of 3 points 45° Section 10, close-fit cutter"
            f" 4.3 mm 16.5, 47.1 mm {DAY}"
        )
        client.post(urls.drop_moulding(1), data={"token": new_token()})
        assert "None is kept yet" in main(client.get(urls.mouldings()))

    @pytest.mark.parametrize(
        ("sent", "field", "sentence"),
        [
            ({"name": ""}, "name", "needs a name"),
            ({"tool": ""}, "tool", "choose"),
            ({"width": "w"}, "width", "not a length"),
            ({"rabbet_width": "-1"}, "rabbet_width", "must be 0 or more"),
            ({"front": "20"}, "front", "one point a line"),
            ({"front": "0; high"}, "front", "not a length"),
            ({"front": "0; 20"}, "front", "2"),
            ({"angle": "steep"}, "angle", "not a number"),
            ({"angle": ""}, "angle", "needs degrees"),
            ({"angle": "100"}, "angle", "90"),
            ({"projection": ""}, "projection", "needs"),
            ({"fence_readings": ""}, "fence_readings", "needs at least one"),
            ({"fence_readings": "a; b"}, "fence_readings", "not a length"),
            ({"fence_readings": "47.1; 16.5"}, "fence_readings", "smallest first"),
            ({"fence_readings": "16; 64"}, "fence_readings", "must be less than the joint line, 63.6 mm"),
            ({"day": "x"}, "day", "2026-03-31"),
        ],
    )
    def test_what_cannot_be_used_is_said_at_its_field(
        self, client: TestClient, sent: dict[str, str], field: str, sentence: str
    ) -> None:
        answer = self.send(client, **sent)
        assert answer.status_code == 422
        assert sentence in errors(answer)[field]
        assert {name: fields(answer).get(name) for name in sent if name != "tool"} == {
            name: text for name, text in sent.items() if name != "tool"
        }
        assert "None is kept yet" in main(client.get(urls.mouldings()))

    def test_it_is_kept_once(self, client: TestClient) -> None:
        token = new_token()
        self.send(client, token=token)
        self.send(client, token=token)
        assert len(soup(client.get(urls.mouldings())).select("tbody tr")) == 1
        assert self.send(client, token="x").status_code == 422

    def test_an_inch_shop_types_what_it_was_shown(self, client: TestClient, store: Store) -> None:
        inches(store)
        answer = self.send(
            client,
            fence_readings="21/32; 1 7/8",
            width="1 3/4",
            thickness="3/4",
            front="",
            rabbet_width="1/4",
            rabbet_depth="3/8",
            projection="0.17",
        )
        assert answer.status_code == 303
        assert "21/32, 1 7/8 in" in said(client.get(urls.mouldings()), "#moulding-1")
