"""What page, tablet, paper, terminal, label and JSON say of a set-up and of every piece in it is the same.

Left and right mean one thing on all of them: on which side of the cutter the piece's datum lies.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from bs4 import Tag

from domain.lengths import Units
from domain.machine.document import set_ups_document
from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.client import TestClient
from tests.faces.shown import SECTIONS, Served, document, imported, mm, planned, words
from webapp.papers.kinds import LabelChoices, Paper
from webapp.papers.labels import labels_data
from webapp.papers.schedule import schedule_data
from webapp.papers.set_ups import set_ups_data
from webapp.site import urls
from webapp.terminal.result_tables import takeoff_table
from webapp.terminal.set_up_table import set_up_tables
from webapp.usecases.files import plan_document, set_up_sheet_of, sources_of
from webapp.wording.set_up import sheet_view

NAMES = ("Cutter", "Projection", "Fence", "Fence reading", "Depth stop", "Clamp height")
FINEST = 0.02
"""No machine figure is said more coarsely than this, in mm."""


def sheet_of(units: Units) -> tuple[Sheet, list[Source]]:
    project, takeoff = planned(units)
    rules = project.rules or Rules()
    sources = [Source(project.name, takeoff, rules)]
    return set_up_sheet(sources, rules.change_minutes), sources


def set_ups(units: Units) -> list[dict[str, Any]]:
    """The set-ups of the document, in their order."""
    return list(set_ups_document(sheet_of(units)[0])["setups"])


def on_page(article: Tag, facts: str) -> dict[str, str]:
    """The six readings of a set-up on a page, without the word that one has changed."""
    found = {}
    for row in article.select(f"dl.{facts} > div"):
        for mark in row.select(".changed-word"):
            mark.extract()
        found[words(row.dt)] = words(row.dd)
    return found


def test_the_six_readings_are_the_same_on_page_tablet_paper_terminal_and_json(
    served: tuple[Units, Served],
) -> None:
    units, shop = served
    page = shop.page(urls.set_ups(shop.project_id))
    tablet = shop.page(urls.shop(shop.project_id))
    paper = set_ups_data(*planned(units), units)["set_ups"]
    lines = [re.split(r"\s{2,}", line.strip()) for line in set_up_tables(*sheet_of(units), units)]
    assert lines[0][1:7] == list(NAMES)
    assert len(set_ups(units)) == len(paper) >= 5
    for number, document_ in enumerate(set_ups(units), 1):
        article, section = page.select_one(f"#set-up-{number}"), tablet.select_one(f"#set-up-{number}")
        assert article is not None
        assert section is not None
        said = on_page(article, "readings")
        assert list(said) == list(NAMES)
        assert on_page(section, "shop-readings") == said
        assert {row["name"]: row["value"] for row in paper[number - 1]["readings"]} == said
        assert lines[number][1:7] == list(said.values())
        assert said["Cutter"].split(", ")[0] == f"{document_['cutter']}-fit"
        fence = document_["fence"]
        assert said["Fence"] == f"{fence['kind']}, {fence['angle']:g}°"
        figures = {
            "Projection": document_["projection"],
            "Fence reading": document_["fence_reading"],
            "Depth stop": document_["depth_stop"],
            "Clamp height": document_["clamp_height"],
        }
        for name, exact in figures.items():
            assert mm(said[name]) == pytest.approx(exact, abs=FINEST), (number, name)
        tip = said["Cutter"].split(", ")[1].removesuffix(" tip")
        assert mm(tip) == pytest.approx(document_["tip_diameter"], abs=FINEST)
        change = words(article.select_one(".set-up-change"))
        assert change in words(section.h2)
        assert change == paper[number - 1]["change"]


def test_every_piece_is_named_with_its_hand_and_how_it_lies(served: tuple[Units, Served]) -> None:
    units, shop = served
    page = shop.page(urls.set_ups(shop.project_id))
    tablet = shop.page(urls.shop(shop.project_id))
    paper = set_ups_data(*planned(units), units)["set_ups"]
    terminal = "\n".join(set_up_tables(*sheet_of(units), units))
    spacers: set[tuple[str, float]] = set()
    assert {"L", "R"} == {each["hand"] for document_ in set_ups(units) for each in document_["pieces"]}
    for number, document_ in enumerate(set_ups(units), 1):
        article = page.select_one(f"#set-up-{number}")
        assert article is not None
        rows = [[words(cell) for cell in row.select("th, td")] for row in article.select("tbody tr")]
        assert [
            [row["joint"], row["place"], row["at_fence"], row["down"]] for row in paper[number - 1]["pieces"]
        ] == [row[1:5] for row in rows]
        told = {(each["joint"], each["spacer"]) for each in document_["pieces"] if "spacer" in each}
        assert told == {(row[1], mm(each)) for row in rows for each in re.findall(r"spacer of (\S+ \w+)", row[4])}
        spacers |= told
        first = _first_passes(document_["pieces"])
        for side, name in enumerate(("left", "right"), 5):
            counted = sum(int(row[side].split()[0]) for row in rows if row[side] != "–")
            assert counted == document_[name] == int(paper[number - 1][name])
            letter = "LR"[side - 5]
            wanted = {(each["joint"], each["piece"]) for each in first if each["hand"] == letter}
            assert wanted == {
                (row[1], piece) for row in rows if row[side] != "–" for piece in _named(row[side].split(" ", 1)[1])
            }
        for row in rows:
            assert all(part in terminal for part in row[1:5])
        section = tablet.select_one(f"#set-up-{number}")
        assert section is not None
        ticked = words(section.select_one(".shop-rows"))
        for row in rows:
            for side in (5, 6):
                if row[side] != "–":
                    assert row[side].split(" ", 1)[1] in ticked
    # the shelf before the rabbeted back stands as high as the back is thick
    assert spacers == ({("D-J3", 6)} if units is Units.MM else set())


def test_how_a_piece_lies_that_runs_past_the_fence_is_said_wherever_one_mills(
    served: tuple[Units, Served],
) -> None:
    units, shop = served
    page = shop.page(urls.set_ups(shop.project_id))
    tablet = shop.page(urls.shop(shop.project_id))
    paper = set_ups_data(*planned(units), units)["set_ups"]
    terminal = "\n".join(set_up_tables(*sheet_of(units), units))
    said = set()
    for number, document_ in enumerate(set_ups(units), 1):
        lies = any(each["milled"] in {"edge", "face"} for each in document_["pieces"])
        assert ("lower the fence or take it off" in paper[number - 1]["lie"]) == lies
        if lies:
            said.add(paper[number - 1]["lie"])
            for face in (page, tablet):
                assert paper[number - 1]["lie"] in words(face.select_one(f"#set-up-{number}"))
            assert paper[number - 1]["lie"] in terminal
    assert said


def test_a_plinth_between_the_sides_comes_by_their_front_edge_not_their_end() -> None:
    spec = {"kind": "carcass", "mark": "A", "width": 787, "height": 903, "depth": 337, "thickness": 22}
    for plinth, words_ in (
        (83, {"front edge, flush with A4"}),
        ({"height": 83, "setback": 45}, {"line 45 mm from the front edge, A4 behind it"}),
    ):
        project = {"format": "dovetally-project", "version": 1, "name": "Plinth", "sections": SECTIONS}
        carcass = spec | {"corner": "top_between", "plinth": plinth}
        found = plan_document(project | {"assemblies": [carcass]})
        view = sheet_view(set_up_sheet_of([found]), sources_of([found], None), Units.MM)
        rows = [row for block in view.blocks for row in block.pieces if row.joint == "A-J3"]
        assert {(row.place, row.down) for row in rows if row.member == "A1"} == {
            ("inside face to the machine", "bottom")
        }
        assert {row.at_fence for row in rows if row.member == "A1"} == words_


def _first_passes(pieces: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The passes with the joint's first edge down: a piece entered from both edges is counted once."""
    down: dict[str, str] = {}
    for each in pieces:
        down.setdefault(each["joint"], each["down"])
    return [each for each in pieces if each["down"] == down[each["joint"]]]


def _named(text: str) -> set[str]:
    """The pieces that a cell names: "A1 1/8, 3/8 … 7/8" are A1 1/8, A1 3/8, A1 5/8 and A1 7/8."""
    mark, numbers = text.split(" ", 1)
    found: list[int] = []
    for dots, number in re.findall(r"(… )?(\d+)/\d+", numbers):
        step = found[-1] - found[-2] if dots else 1
        found += range(found[-1] + step, int(number) + 1, step) if dots else [int(number)]
    return {f"{mark} {number}/{numbers.rsplit('/', 1)[1]}" for number in found}


def test_a_label_marks_every_joint_with_the_machine_s_hand(served: tuple[Units, Served]) -> None:
    units, _ = served
    told = {
        (each["piece"], each["joint"], each["hand"])
        for document_ in set_ups(units)
        for each in document_["pieces"]
    }
    project, takeoff = planned(units)
    rules = project.rules or Rules()
    labels = labels_data(takeoff, "Every kind", units, Paper.A4, LabelChoices(), rules)["labels"]
    marked = {
        (f"{label['mark']} {label['number']}", meeting["joint"].split()[0], letter)
        for label in labels
        for meeting in label["joints"]
        for letter in re.findall("[LR]", meeting["hand"])
    }
    assert marked
    assert marked == told
    assert not any("hand" in label["stands"] for label in labels)


@pytest.mark.parametrize("tests", [0, 1, 2])
def test_what_is_asked_for_as_a_test_reads_the_same_everywhere(client: TestClient, tests: int) -> None:
    shop = imported(client, Units.MM, test_joints=tests)
    project, takeoff = plan_document(document(Units.MM, test_joints=tests))
    rules = project.rules or Rules()
    sources = [Source(project.name, takeoff, rules)]
    sheet = set_up_sheet(sources, rules.change_minutes)
    sentences = [each["test"] for each in set_ups_data(project, takeoff, Units.MM)["set_ups"]]
    on_page_ = [words(tag) for tag in shop.page(urls.set_ups(shop.project_id)).select(".test-first")]
    terminal = "\n".join(set_up_tables(sheet, sources, Units.MM))
    assert on_page_ == sentences
    assert all(sentence in terminal for sentence in sentences)
    # one cutter and projection in one wood is tested once: each set-up says whether its test is made in it
    for line, sentence in zip(sheet.lines, sentences, strict=True):
        made = [test.made_in for test in line.work.tests]
        assert ("first, a left and a right" in sentence or "left and" in sentence) == (None in made)
        assert all(number is None or f"set-up {number}" in sentence for number in made)
    keys = {key.tests for key in takeoff.totals.keys}
    # with none asked for, none is counted, and every face says so
    assert (keys == {0}) == any("no test key" in sentence for sentence in sentences) == (tests == 0)


def test_a_piece_too_small_to_hold_is_told_of_in_the_same_words_everywhere(client: TestClient) -> None:
    """With pieces held from half a metre on, most are too short, slotted in one end or in both."""
    shop = imported(client, Units.MM, least_piece=500)
    project, takeoff = plan_document(document(Units.MM, least_piece=500))
    rules = project.rules or Rules()
    sources = [Source(project.name, takeoff, rules)]
    sheet = set_up_sheet(sources, rules.change_minutes)
    told = [[note for note in each["notes"] if "held by hand" in note] for each in paper_set_ups(project, takeoff)]
    assert any("slotted in both ends" in note for notes in told for note in notes)
    assert any("slotted in both ends" not in note for notes in told for note in notes)
    terminal = "\n".join(set_up_tables(sheet, sources, Units.MM))
    for address, article in (
        (urls.set_ups(shop.project_id), "article.set-up"),
        (urls.shop(shop.project_id), "main"),
    ):
        shown = [words(tag) for tag in shop.page(address).select(article)]
        for number, notes in enumerate(told):
            assert all(note in shown[min(number, len(shown) - 1)] for note in notes), address
    assert all(note in " ".join(terminal.split()) for notes in told for note in notes)


def test_a_piece_too_large_to_hold_is_told_of_in_the_same_words_everywhere(client: TestClient) -> None:
    """With pieces carried from 400 mm and 0.1 kg on, most are too long, and those of alder too heavy."""
    rule = {"longest_piece": 400, "heaviest_piece": 0.1}
    shop = imported(client, Units.MM, **rule)
    project, takeoff = plan_document(document(Units.MM, **rule))
    sources = [Source(project.name, takeoff, project.rules or Rules())]
    sheet = set_up_sheet(sources, sources[0].rules.change_minutes)
    said = ("without support", "that one person holds")
    told = [
        [note for note in each["notes"] if any(part in note for part in said)]
        for each in paper_set_ups(project, takeoff)
    ]
    assert all(any(part in note for notes in told for note in notes) for part in said)
    terminal = " ".join("\n".join(set_up_tables(sheet, sources, Units.MM)).split())
    assert all(note in terminal for notes in told for note in notes)
    for address, article in (
        (urls.set_ups(shop.project_id), "article.set-up"),
        (urls.shop(shop.project_id), "main"),
    ):
        shown = [words(tag) for tag in shop.page(address).select(article)]
        for number, notes in enumerate(told):
            assert all(note in shown[min(number, len(shown) - 1)] for note in notes), address
    # the schedule names the pieces, in the same words on page, paper, terminal and in the document
    schedule = words(shop.page(urls.schedule(shop.project_id)).select_one("main"))
    paper = [note for each in schedule_data(project, takeoff, Units.MM)["assemblies"] for note in each["notes"]]
    named = [note for each in takeoff_document(takeoff)["assemblies"] for note in each["notes"] if said[0] in note]
    listed = " ".join(" ".join(takeoff_table(takeoff, Units.MM)).split())
    assert named
    assert all(note in schedule and note in paper and note in listed for note in named)


def paper_set_ups(project: Project, takeoff: Takeoff) -> list[dict[str, Any]]:
    return list(set_ups_data(project, takeoff, Units.MM)["set_ups"])
