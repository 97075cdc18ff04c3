"""What trials and scales bring to the set-up sheet: starts, kept readings, settings, sheets that hold no more."""

from __future__ import annotations

import re

import pytest
from bs4 import Tag
from httpx import Response

from domain.lengths import Units
from domain.spec.catalogue import CutterKind
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import errors, fields, main, soup, summary
from tests.webapp.pages.trial_forms import CHECKED, DAY, record, send_calibration, send_start
from webapp.form.carried import new_token
from webapp.papers.kinds import DocumentKind
from webapp.papers.set_ups import set_ups_data
from webapp.site import urls
from webapp.store import Store
from webapp.store.calibrations import list_calibrations
from webapp.store.projects import list_projects
from webapp.store.shop import load_shop, update_shop
from webapp.usecases.projects import plan
from webapp.usecases.scales import corrections, outdated_sheets
from webapp.usecases.snapshots import look_in, stand
from webapp.wording.reading import setting

pytestmark = pytest.mark.usefixtures("demo_store")
OAK = a_frame(material="oak", keys={"section": "14"}, stock={"width": 45, "thickness": 24})


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def named(store: Store, name: str) -> int:
    with store.reading() as session:
        return next(head.id for head in list_projects(session) if head.name == name)


def said(tag: Tag | None) -> str:
    assert tag is not None
    return " ".join(tag.get_text(" ").split()).replace(" .", ".").replace(" ,", ",")


def blocks(client: TestClient, project_id: int) -> list[Tag]:
    return list(soup(client.get(urls.set_ups(project_id))).select("article.set-up"))


def reading(block: Tag, name: str) -> str:
    rows = {said(row.dt).removesuffix(" changed"): said(row.dd) for row in block.select("dl.readings > div")}
    return rows[name]


def link(tag: Tag, words: str) -> str:
    return next(str(one["href"]) for one in tag.select("a") if said(one).startswith(words))


def issue(client: TestClient, project_id: int) -> Response:
    page = client.get(urls.revisions(project_id))
    form = {str(tag["name"]): str(tag["value"]) for tag in soup(page).select("main form input[type=hidden]")}
    answer: Response = client.post(urls.revisions(project_id), data={**form, "paper": "A4"})
    assert answer.status_code == 303
    return answer


class TestScales:
    def test_every_scale_is_there_and_taken_to_read_true(self, client: TestClient) -> None:
        page = client.get(urls.scales())
        rows = [said(row) for row in soup(page).select("section[aria-labelledby=scales-title] tbody tr")]
        assert rows[0] == "The fence scale not checked yet; taken to read true –"
        assert len(rows) == len(soup(page).select("[name=figure]")) == 1 + 7

    def test_measured_less_reading_is_the_error(self, client: TestClient) -> None:
        answer = send_calibration(client)
        assert answer.headers["location"] == urls.scales(written=1)
        page = client.get(answer.headers["location"])
        assert "slots come out 0.2 mm deeper than it reads" in said(soup(page).select_one(".notice-info"))
        assert said(soup(page).select_one("#calibration-1")) == (
            f"{DAY} The depth scale with the 14 close-fit cutter 16 mm 16.2 mm"
            " slots come out 0.2 mm deeper than it reads yes"
        )

    def test_the_newest_counts_and_the_history_stays(self, client: TestClient) -> None:
        send_calibration(client)
        send_calibration(client, measured="16", day="2026-01-10")
        send_calibration(client, measured="17", day="2025-12-01")
        page = client.get(urls.scales())
        counts = [said(row.select("td")[-1]) for row in soup(page).select("tr[id^=calibration]")]
        assert counts == ["yes", "no longer", "no longer"]
        assert "it reads true 2026-01-10" in main(page)

    @pytest.mark.parametrize(
        ("sent", "field", "sentence"),
        [
            ({"figure": ""}, "figure", "choose the scale"),
            ({"figure": "close:99"}, "figure", "there is no such section; there is 7, 10, 14, 20"),
            ({"figure": "free:10"}, "figure", "close-fit cutter only"),
            ({"reading": "x"}, "reading", "not a length"),
            ({"measured": ""}, "measured", "needs"),
            ({"measured": "22"}, "measured", "within 5 mm of the reading, 16 mm"),
            ({"day": ""}, "day", "2026-03-31"),
            ({"day": "yesterday"}, "day", "2026-03-31"),
            ({"day": "9999-12-31"}, "day", "must not be later than today"),
        ],
    )
    def test_what_cannot_be_used_is_said_at_its_field(
        self, client: TestClient, store: Store, sent: dict[str, str], field: str, sentence: str
    ) -> None:
        answer = send_calibration(client, **sent)
        assert answer.status_code == 422
        assert sentence in errors(answer)[field]
        assert summary(answer).startswith("One place needs another look")
        assert {name: fields(answer).get(name, "") for name in ("reading", "measured", "day")} == {
            name: text for name, text in (CHECKED | sent).items() if name != "figure"
        }
        with store.reading() as session:
            assert list_calibrations(session) == ()

    def test_it_is_written_down_once(self, client: TestClient, store: Store) -> None:
        token = new_token()
        assert send_calibration(client, token=token).headers == send_calibration(client, token=token).headers
        with store.reading() as session:
            assert len(list_calibrations(session)) == 1
        assert send_calibration(client, token="x").status_code == 422

    def test_an_inch_shop(self, client: TestClient, store: Store) -> None:
        with store.writing() as session:
            shop = load_shop(session)
            update_shop(
                session, shop.version, name=shop.name, units=Units.INCH, currency=shop.currency, rules=shop.rules
            )
        send_calibration(client, reading="5/8", measured="41/64")
        # 1/64 in = 0.015625 in
        assert "slots come out 0.016″ deeper than it reads" in main(client.get(urls.scales()))
        assert "13/64 in (5 mm)" in errors(send_calibration(client, reading="5/8", measured="2"))["measured"]


class TestSettings:
    def test_the_sheet_says_what_to_set_with_both_figures(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        planned = reading(blocks(client, project_id)[0], "Depth stop")
        send_calibration(client)
        mm = float(planned.removesuffix(" mm"))
        assert reading(blocks(client, project_id)[0], "Depth stop") == (
            f"set {mm - 0.2:g} mm for {planned}: slots come out 0.2 mm deeper than it reads, checked {DAY}"
        )

    def test_it_is_what_the_domain_says(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        send_calibration(client, measured="15.85")
        send_calibration(client, figure="fence", reading="16", measured="16.3")
        made = plan(store, project_id).assemblies[0].takeoff
        assert made is not None
        joint = made.joints[0].plan
        assert joint is not None
        (block, _), today = blocks(client, project_id), corrections(store)
        fence = setting(today.fence(joint.centres[0]), Units.MM)
        depth = setting(today.depth("14", CutterKind.CLOSE, joint.depth), Units.MM)
        shown = {reading(one, "Fence reading").partition(" for ")[0] for one in blocks(client, project_id)}
        assert f"set {fence}" in shown
        assert reading(block, "Depth stop").startswith(f"set {depth} for ")
        assert "0.15 mm shallower" in reading(block, "Depth stop")

    def test_another_cutters_scale_is_another(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        send_calibration(client, figure="close:20")
        assert "set" not in reading(blocks(client, project_id)[0], "Depth stop")

    def test_a_scale_that_does_not_go_so_low(self, client: TestClient, store: Store) -> None:
        loose = {"kind": "single_joint", "mark": "A", "breadth": 60, "run": 60, "behind": [30, 30]}
        project_id = make(store, {**loose, "keys": {"section": "14"}})
        send_calibration(client, reading="0", measured="5")
        send_calibration(client, figure="fence", reading="0", measured="5")
        assert reading(blocks(client, project_id)[0], "Fence reading").startswith("set ")

    def test_inches(self, client: TestClient, store: Store) -> None:
        project_id = named(store, "Keepsake box")
        first = blocks(client, project_id)[0]
        section, cutter = reading(first, "Cutter").partition(",")[0].split()
        send_calibration(client, figure=f"{cutter.removesuffix('-fit')}:{section}")
        assert re.match(
            r"set [\d/ .]+ in for [\d/ .]+ in: .* 0\.008″ deeper",
            reading(blocks(client, project_id)[0], "Depth stop"),
        )


class TestTrialsBesideASetUp:
    def test_record_a_trial_opens_with_what_is_set(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        block = blocks(client, project_id)[1]
        found = fields(client.get(link(block, "Record a trial")))
        assert (found["tool"], found["species"], found["thickness"]) == ("close:14", "oak", "24")
        assert f"{found['projection']} mm" == reading(block, "Projection")
        assert f"{found['fence_reading']} mm" == reading(block, "Fence reading")
        assert f"{found['depth']} mm" == reading(block, "Depth stop")
        assert found["project"] == str(project_id)

    def test_trials_near_are_shown_with_the_evidence_and_change_nothing(
        self, client: TestClient, store: Store
    ) -> None:
        project_id = make(store, OAK)
        before = reading(blocks(client, project_id)[0], "Projection")
        record(client, thickness="26")
        block = blocks(client, project_id)[0]
        text = said(block.select_one(".trials-say"))
        assert text.startswith("Trials say 6.45 mm for oak, 24 mm, 0.21 mm deeper than the catalogue’s.")
        assert "trial 1: same species, 2 mm thicker: loose" in text
        assert reading(block, "Projection") == before == "6.24 mm"
        # a sheet that was kept notices a second trial, and one that is withdrawn
        record(client, outcome="snug", gap="", projection="6.3", thickness="24")
        assert "contradict" not in said(blocks(client, project_id)[0].select_one(".trials-say"))
        assert "Trials say 6.4 mm" in said(blocks(client, project_id)[0].select_one(".trials-say"))
        client.post(urls.withdraw_trial(2), data={"why": "typed wrongly"})
        assert "Trials say 6.45 mm" in said(blocks(client, project_id)[0].select_one(".trials-say"))

    def test_no_page_is_stale_after_a_start_is_accepted_and_given_up(
        self, client: TestClient, store: Store
    ) -> None:
        project_id = make(store, OAK)
        assembly = plan(store, project_id).assemblies[0].stored.id
        addresses = [
            urls.set_ups(project_id),
            urls.schedule(project_id),
            urls.assembly(project_id, assembly),
        ]
        record(client)
        before = [client.get(address).text for address in addresses]
        accepting = client.get(link(blocks(client, project_id)[0], "Look at it and accept it"))
        assert "Plan with 6.45 mm from now on" in main(accepting)
        answer = send_start(client, "6.45", thickness="24", project=str(project_id))
        assert answer.headers["location"] == urls.set_ups(project_id)
        block = blocks(client, project_id)[0]
        assert reading(block, "Projection") == "6.45 mm from 1 trial, catalogue 6.24 mm"
        assert not block.select(".trials-say")
        for address in addresses[1:]:
            assert "The projection of 6.45 mm comes from trial 1; the catalogue gives 6.24 mm" in main(
                client.get(address)
            ), address
        client.post(urls.end_start(1), data={"token": new_token()})
        assert [client.get(address).text for address in addresses[:2]] == before[:2]

    def test_trials_that_say_otherwise_by_now_are_shown_beside_an_accepted_start(
        self, client: TestClient, store: Store
    ) -> None:
        project_id = make(store, OAK)
        record(client, thickness="24")
        send_start(client, "6.45", thickness="24")
        record(client, thickness="24", gap="0.22", day="2026-01-12")
        block = blocks(client, project_id)[0]
        assert reading(block, "Projection").startswith("6.45 mm from 1 trial")
        assert said(block.select_one(".trials-say")).startswith("By now trials say 6.41 mm")

    def test_another_wood_is_not_planned_with_it(self, client: TestClient, store: Store) -> None:
        walnut = make(store, {**OAK, "material": "walnut"})
        record(client)
        send_start(client, "6.45")
        block = blocks(client, walnut)[0]
        assert reading(block, "Projection") == "6.24 mm"
        assert "another species (oak)" in said(block.select_one(".trials-say"))

    def test_what_was_issued_stays(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        issue(client, project_id)
        address = urls.revision_document(project_id, 1, DocumentKind.SET_UPS.value, "A4")
        before = client.get(address).content
        record(client)
        send_start(client, "6.45")
        assert client.get(address).content == before

    def test_several_projects_together(self, client: TestClient, store: Store) -> None:
        one, other = make(store, OAK), make(store, {**OAK, "material": "walnut"})
        record(client)
        block = soup(client.get(urls.set_ups_together(project=(one, other)))).select("article.set-up")[0]
        assert [said(tag).split(",")[0] for tag in block.select(".trials-say p:first-child")] == [
            "Trials say 6.45 mm for oak",
            "Trials say 6.45 mm for walnut",
        ]
        words = [said(tag) for tag in block.select(".beside-links a")]
        assert words == [
            "Record a trial in oak, set-up 1",
            "Record a trial in walnut, set-up 1",
            "Keep the readings of A, set-up 1",
            "Keep the readings of A, set-up 1",
        ]


class TestKeptMouldings:
    def test_a_repeat_job_shows_the_readings_that_worked(self, client: TestClient, store: Store) -> None:
        first = make(store, OAK, name="Hall mirror")
        block = blocks(client, first)[0]
        form = client.get(link(block, "Keep the readings of A"))
        assert "Filled in from A of Hall mirror" in main(form)
        sent = {name: str(text) for name, text in fields(form).items()}
        assert (sent["width"], sent["thickness"], sent["angle"], sent["tool"]) == ("45", "24", "45", "close:14")
        readings = [reading(one, "Fence reading").removesuffix(" mm") for one in blocks(client, first)]
        assert sent["fence_readings"].split("; ") == sorted(readings, key=float)
        assert client.post(urls.mouldings(), data=sent | {"name": "Plain 45"}).status_code == 303
        again = make(store, {**OAK, "width": 700, "material": "ash"}, name="Another size, same stock")
        for one in blocks(client, again):
            text = said(one.select_one(".kept-readings")).replace("\xa0", " ")
            assert text.startswith("Kept for Plain 45 on ")
            assert f"fence {sent['fence_readings'].replace(';', ',')} mm; projection 6.24 mm" in text
        other = make(store, {**OAK, "stock": {"width": 50, "thickness": 24}})
        assert not blocks(client, other)[0].select(".kept-readings")

    def test_a_sheet_notices_one_that_is_dropped(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        sent = fields(client.get(urls.new_moulding(project=project_id, assembly="A")))
        client.post(urls.mouldings(), data=sent)
        assert blocks(client, project_id)[0].select(".kept-readings")
        client.post(urls.drop_moulding(1), data={"token": new_token()})
        assert not blocks(client, project_id)[0].select(".kept-readings")

    def test_what_is_no_frame_cannot_be_kept(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        assert client.get(urls.new_moulding(project=project_id, assembly="Z")).status_code == 404
        assert client.get(urls.new_moulding(project=9999, assembly="A")).status_code == 404


class TestIssuedSheets:
    def test_one_that_a_check_outdates_is_marked_with_the_figure(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK, name="Hall mirror")
        issue(client, project_id)
        places = (urls.scales(), urls.all_revisions(), urls.revisions(project_id), urls.revision(project_id, 1))
        assert not any("calibrated" in main(client.get(place)) for place in places)
        send_calibration(client)
        words = (
            "Since this sheet, the depth scale with the 14 close-fit cutter was calibrated:"
            " it was taken to be out by 0 mm, and is out by 0.2 mm."
        )
        for place in places:
            assert words in main(client.get(place)), place
        # the next one is made with it
        issue_again = client.get(urls.revisions(project_id))
        assert issue_again.status_code == 200
        issue(client, project_id)
        assert [each.head.number for each in outdated_sheets(store, project_id)] == [1]

    def test_a_check_of_another_cutter_or_the_same_error_outdates_nothing(
        self, client: TestClient, store: Store
    ) -> None:
        send_calibration(client)
        project_id = make(store, OAK)
        issue(client, project_id)
        send_calibration(client, figure="close:20")
        send_calibration(client, reading="20", measured="20.2")
        assert outdated_sheets(store) == ()

    def test_a_fence_outdates_every_sheet_and_a_check_that_reads_so_again_mends_it(
        self, client: TestClient, store: Store
    ) -> None:
        one, other = make(store, OAK), make(store, a_frame())
        issue(client, one)
        issue(client, other)
        send_calibration(client, figure="fence")
        assert [each.head.project_id for each in outdated_sheets(store)] == [other, one]
        assert [each.head.project_id for each in outdated_sheets(store, one)] == [one]
        send_calibration(client, figure="fence", measured="16", day="2026-02-01")
        assert outdated_sheets(store) == ()


class TestElsewhere:
    def test_tablet_and_paper_say_the_same(self, client: TestClient, store: Store) -> None:
        project_id = make(store, OAK)
        send_calibration(client)
        shown = reading(blocks(client, project_id)[0], "Depth stop").removeprefix("set ")
        tablet = soup(client.get(urls.shop(project_id))).select(".shop-readings > div")
        assert shown in [said(row.dd) for row in tablet]
        with store.reading() as session:
            standing = stand(look_in(session, project_id))
        data = set_ups_data(standing.project, standing.takeoff, Units.MM, standing.corrections)
        rows = {row["name"]: f"{row['value']} {row['said']}" for row in data["set_ups"][0]["readings"]}
        assert rows["Depth stop"] == f"set {shown}"
        assert rows["Fence reading"].endswith(" mm ")
