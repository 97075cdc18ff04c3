"""The set-up sheet: the demo's read by hand, the domain's figures on the page, what cannot be done named."""

from __future__ import annotations

import re

import pytest
from bs4 import Tag

from domain.lengths import Units
from domain.machine.sheet import set_up_sheet
from tests.client import TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.webapp.pages.reading import main, soup
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import add_assembly
from webapp.store.projects import list_projects
from webapp.usecases.projects import plan
from webapp.usecases.set_ups import source_of
from webapp.wording import cautions
from webapp.wording.reading import setting
from webapp.wording.set_up import CHANGES


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def number_of(store: Store, name: str) -> int:
    with store.reading() as session:
        return next(head.id for head in list_projects(session) if head.name == name)


def said(tag: Tag | None) -> str:
    assert tag is not None
    return " ".join(tag.get_text(" ").split())


def blocks(client: TestClient, address: str) -> list[Tag]:
    return list(soup(client.get(address)).select("article.set-up"))


def readings(block: Tag) -> dict[str, str]:
    rows = block.select("dl.readings > div")
    return {said(row.dt).removesuffix(" changed"): said(row.dd) for row in rows}


def changed(block: Tag) -> set[str]:
    return {said(row.dt).removesuffix(" changed").lower() for row in block.select("dl.readings > .changed")}


def pieces(block: Tag) -> list[list[str]]:
    return [[said(cell) for cell in row.select("th, td")] for row in block.select("tbody tr")]


class TestTheDemoReadByHand:
    """Frames A 24 thick, B 20 thick, C six-sided 22 thick: two slots at each mitre, so six set-ups."""

    @pytest.fixture
    def sheet(self, client: TestClient, demo_store: Store) -> list[Tag]:
        return blocks(client, urls.set_ups(number_of(demo_store, "Botanical frame set")))

    def test_set_ups_stand_in_the_order_of_least_changing(self, sheet: list[Tag]) -> None:
        # The first pays 10 + 5 + 4 + 1 + 1 + 0.5 = 21.5. Each second slot of a frame is a fence reading away: 1.
        # Between B and A everything but the fence's angle changes: 17.5. A and C share the cutter and its
        # projection, and change angle, reading, stop and clamp: 6.5. 21.5 + 1 + 17.5 + 1 + 6.5 + 1 = 48.5.
        # From B to C the cutter and the angle would change together, 21.5, so A stands between them.
        heads = [said(block.select_one(".set-up-head")) for block in sheet]
        minutes = [float(re.search(r"([\d.]+) min", head)[1]) for head in heads]  # type: ignore[index]
        assert minutes == [21.5, 1, 17.5, 1, 6.5, 1]
        assert [said(block.h2) for block in sheet] == [
            "Set-up 1 Set all six values",
            "Set-up 2 Change fence reading",
            "Set-up 3 Change cutter, projection, fence reading, depth stop and clamp height",
            "Set-up 4 Change fence reading",
            "Set-up 5 Change fence, fence reading, depth stop and clamp height",
            "Set-up 6 Change fence reading",
        ]

    def test_readings(self, sheet: list[Tag]) -> None:
        # a 16 key under a walnut plug of 3 that stands 0.5 proud: 16 + 3 − 0.5 = 18.5 deep; the projection is
        # snug at (14.06 − 11.45) / (2 tan 12°) = 6.14, and 0.1; the clamp is the stock's thickness
        assert readings(sheet[2]) == {
            "Cutter": "14 close-fit, 14.06 mm tip",
            "Projection": "6.24 mm",
            "Fence": "mitre, 45°",
            "Fence reading": "16.5 mm",
            "Depth stop": "18.5 mm",
            "Clamp height": "24 mm",
        }
        assert readings(sheet[4])["Fence"] == "mitre, 60°"
        assert readings(sheet[0])["Clamp height"] == "20 mm"

    def test_only_what_changes_is_marked(self, sheet: list[Tag]) -> None:
        assert changed(sheet[0]) == set(CHANGES.values())
        assert changed(sheet[1]) == {"fence reading"}
        assert changed(sheet[4]) == {"fence", "fence reading", "depth stop", "clamp height"}
        words = [said(word) for word in sheet[1].select(".changed-word")]
        assert words == ["changed"]

    def test_every_piece_with_its_hand(self, sheet: list[Tag]) -> None:
        # two frames A of four corners: each corner has a left and a right end, on top or bottom and on side
        assert pieces(sheet[2]) == [
            [f"{mark} {name}", "A-J1", "mitred end", "mitre tip", "back"] + [f"4 {mark} 1/4, 2/4 … 4/4"] * 2
            for mark, name in (("A1", "top and bottom"), ("A2", "side"))
        ]
        assert "8 left (L) 8 right (R)" in said(sheet[2].select_one(".set-up-counts"))
        # six-sided, one frame: six sides of two ends
        assert pieces(sheet[4]) == [
            ["C1 side", "C-J1", "mitred end", "mitre tip", "back"] + ["6 C1 1/6, 2/6 … 6/6"] * 2
        ]

    def test_the_test_piece_comes_first_and_either_hand_has_its_picture(self, sheet: list[Tag]) -> None:
        tests = [said(block.select_one(".test-first")) for block in sheet]
        # the 10 in set-up 1, the 14 in the third, both in ash; the others are set by an offcut
        made = [
            number for number, test in enumerate(tests, 1) if "Run the test piece of this set-up first" in test
        ]
        assert made == [1, 3]
        assert [re.findall(r"tested in set-up (\d)", test) for test in tests] == [
            [],
            ["1"],
            [],
            ["3"],
            ["3"],
            ["3"],
        ]
        for block in sheet:
            titles = [said(title) for title in block.select("svg title")]
            assert [title.partition(", ")[2] for title in titles] == ["left-hand pieces", "right-hand pieces"]
            shown = " ".join(said(text) for text in block.select("svg text"))
            for name in ("Projection", "Fence reading", "Depth stop", "Clamp height"):
                assert readings(block)[name].removesuffix(" mm") in shown

    def test_what_it_comes_to(self, client: TestClient, demo_store: Store, sheet: list[Tag]) -> None:
        page = client.get(urls.set_ups(number_of(demo_store, "Botanical frame set")))
        text = main(page)
        # slots: 8 × 2 × 2 of A, 16 × 2 × 2 of B, 6 × 2 × 2 of C
        assert "6 set-ups for 120 slots, 48.5 min of changing. No order takes less." in text
        # 124 slots with the tests' at 0.5, 62 keys at 0.25: the usual rules
        (row,) = soup(page).select(".set-up-sums tbody tr")
        assert [said(cell) for cell in row.select("td")] == [
            "48.5 min",
            "62 min",
            "15.5 min",
            "126 min (2 h 6 min)",
        ]
        assert text.count("Stand at the machine and look at its face") == 1


@pytest.mark.parametrize("name", ["Botanical frame set", "Keepsake box", "Hall cabinet"])
def test_the_page_shows_the_domains_sheet(client: TestClient, demo_store: Store, name: str) -> None:
    project = plan(demo_store, number_of(demo_store, name))
    units = project.head.units
    sheet = set_up_sheet([source_of(project)], project.rules.change_minutes)
    found = blocks(client, urls.set_ups(project.head.id))
    assert len(found) == len(sheet.lines)
    for line, block in zip(sheet.lines, found, strict=True):
        set_up, shown = line.work.set_up, readings(block)
        assert shown["Cutter"].startswith(f"{set_up.section} {set_up.cutter.words}, ")
        assert shown["Projection"] == setting(set_up.projection, units, fine=True)
        assert shown["Fence reading"] == setting(set_up.fence_reading, units)
        assert shown["Depth stop"] == setting(set_up.depth_stop, units)
        assert shown["Clamp height"] == setting(set_up.clamp_height, units)
        assert changed(block) == {CHANGES[change] for change in line.changes}
        rows = pieces(block)
        for hand, column in ((line.work.left, -2), (line.work.right, -1)):
            assert sum(int(row[column].split()[0]) for row in rows if row[column] != "–") == hand
        expected = {(batch.member.mark, batch.joint) for batch in line.work.batches}
        assert {(row[0].split()[0], row[1]) for row in rows} == expected


def test_inches_are_read_off_a_scale_of_inches(client: TestClient, demo_store: Store) -> None:
    project_id = number_of(demo_store, "Keepsake box")
    assert plan(demo_store, project_id).head.units is Units.INCH
    first = blocks(client, urls.set_ups(project_id))[0]
    assert readings(first)["Clamp height"] == "5/8 in"
    # 11 mm is no 64th of an inch, so it is not rounded to one
    assert readings(first)["Fence reading"] == "0.433 in"
    assert "mm" not in " ".join(readings(first).values())
    assert "fence 0.433″" in " ".join(said(text) for text in first.select("svg text"))


def test_what_the_machine_cannot_do_is_named_with_another_way(client: TestClient, demo_store: Store) -> None:
    small = a_frame(width=140, height=120, stock={"width": 30, "thickness": 18})
    project_id = make(demo_store, small)
    (note, *_) = blocks(client, urls.set_ups(project_id))[0].select(".notice-refusal")
    assert "140 mm long, less than the 150 mm that is held by hand" in said(note)
    assert "slotted in both ends" in said(note)
    assert "part of a blank at least 150 mm long" in said(note)


def test_joints_that_cannot_be_made_are_named_and_not_milled(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(), an_impossible_joint("B"))
    page = client.get(urls.set_ups(project_id))
    assert "cannot be made as they stand: B-J1." in main(page)
    assert not any("B-J1" in said(block) for block in soup(page).select("article.set-up"))
    alone = make(demo_store, an_impossible_joint("B"))
    assert "cannot be made as they stand: B-J1." in main(client.get(urls.set_ups(alone)))


def test_an_assembly_whose_sizes_clash_is_named(client: TestClient, demo_store: Store) -> None:
    clashing = a_frame("B", width=60, height=60)
    project_id = make(demo_store, a_frame(), clashing)
    text = main(client.get(urls.set_ups(project_id)))
    assert "The sizes of B clash, so nothing of it is on this sheet." in text


def test_an_empty_project_says_what_will_come(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    text = main(client.get(urls.set_ups(project_id)))
    assert "There is nothing to mill yet." in text
    assert client.get(urls.set_ups(9999)).status_code == 404


def test_the_cautions_stand_on_the_sheet_with_their_sources(client: TestClient, demo_store: Store) -> None:
    text = main(client.get(urls.set_ups(make(demo_store, a_frame()))))
    assert cautions.PLAN in text
    for group in cautions.CAUTIONS:
        for caution in group.cautions:
            assert caution.loud in text
    for source in cautions.SOURCES:
        assert source.rule in text


def test_a_page_follows_the_project(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame())
    address = urls.set_ups(project_id)
    before = client.get(address).text
    assert client.get(address).text == before
    spec = plan(demo_store, make(demo_store, a_frame("B"))).assemblies[0].stored.spec
    with demo_store.writing() as session:
        add_assembly(session, project_id, spec)
    assert client.get(address).text != before


def test_the_way_there(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame())
    for address in (urls.project(project_id), urls.schedule(project_id)):
        links = [str(link["href"]) for link in soup(client.get(address)).select("main a")]
        assert urls.set_ups(project_id) in links
    back = [str(link["href"]) for link in soup(client.get(urls.set_ups(project_id))).select("nav.breadcrumb a")]
    assert back == [urls.projects(), urls.project(project_id)]


class TestTogether:
    def test_shared_set_ups_are_made_once(self, client: TestClient, demo_store: Store) -> None:
        one = make(demo_store, a_frame(), name="Ash frame")
        other = make(demo_store, a_frame(quantity=3), name="Oak frames")
        page = client.get(urls.set_ups_together(project=(one, other)))
        found = soup(page).select("article.set-up")
        assert len(found) == 2
        rows = pieces(found[0])
        assert [row[:3] for row in rows] == [
            ["A1 top and bottom", "Ash frame", "A-J1"],
            ["A2 side", "Ash frame", "A-J1"],
            ["A1 top and bottom", "Oak frames", "A-J1"],
            ["A2 side", "Oak frames", "A-J1"],
        ]
        assert [row[-2:] for row in rows] == [
            [names, names]
            for names in ("2 A1 1/2, 2/2", "2 A2 1/2, 2/2", "6 A1 1/6, 2/6 … 6/6", "6 A2 1/6, 2/6 … 6/6")
        ]
        # each by itself is set up for 21.5 + 1
        assert "One project after the other would take 22.5 min more." in main(page)

    def test_the_form_offers_what_has_work_and_keeps_what_was_chosen(
        self, client: TestClient, demo_store: Store
    ) -> None:
        make(demo_store, name="Nothing in it")
        chosen = make(demo_store, a_frame(), name="Ash frame")
        page = soup(client.get(urls.set_ups_together(project=chosen)))
        boxes = {said(box.parent): box.has_attr("checked") for box in page.select("form input[type=checkbox]")}
        (label,) = [label for label in boxes if label.startswith("Ash frame")]
        assert boxes[label]
        assert not any("Nothing in it" in label for label in boxes)
        assert sum(boxes.values()) == 1

    def test_none_chosen_yet(self, client: TestClient, store: Store, demo_store: Store) -> None:
        page = client.get(urls.set_ups_together())
        assert page.status_code == 200
        assert not soup(page).select("article.set-up")
        assert soup(page).select("form input[type=checkbox]")

    def test_an_empty_shop(self, client: TestClient) -> None:
        assert "There is nothing to mill yet." in main(client.get(urls.set_ups_together()))

    def test_a_project_twice_is_there_once_and_an_unknown_one_is_not_found(
        self, client: TestClient, demo_store: Store
    ) -> None:
        one = make(demo_store, a_frame())
        assert pieces(blocks(client, urls.set_ups_together(project=(one, one)))[0])[0][-1] == "2 A1 1/2, 2/2"
        assert client.get(urls.set_ups_together(project=(one, 9999))).status_code == 404

    @pytest.mark.parametrize("wrong", ["x", "0", "-1", "1.5", "9" * 30])
    def test_a_number_that_is_none_is_refused_in_words(self, client: TestClient, wrong: str) -> None:
        answer = client.get(f"/set-ups?project={wrong}")
        assert answer.status_code in {404, 422}
        assert "Traceback" not in answer.text
