"""The setting-out sheet on page, paper and drawing, and what set-up sheet, label and open JSON say of the same."""

from __future__ import annotations

import re

import pytest

from domain.lengths import Units
from domain.setting_out.sheets import set_out
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.document import takeoff_document
from domain.takeoff.pieces import pieces
from tests.faces.shown import Served, mm, planned, words
from tests.faces.test_joints_on_every_face import bare
from tests.faces.test_set_ups_on_every_face import FINEST, set_ups
from webapp.papers.kinds import LabelChoices, Paper
from webapp.papers.labels import labels_data
from webapp.papers.set_ups import set_ups_data
from webapp.papers.setting_out import setting_out_data
from webapp.site import urls


def test_page_and_paper_say_the_same_of_every_piece(served: tuple[Units, Served]) -> None:
    units, shop = served
    page = shop.page(urls.setting_out(shop.project_id))
    paper = [one for each in setting_out_data(planned(units)[1], units)["assemblies"] for one in each["pieces"]]
    cards = page.select("article.joint-card")
    assert len(cards) == len(paper) >= 12
    for card, one in zip(cards, paper, strict=True):
        title = words(card.h3)
        assert title == words_of(f"{one['pieces']} {one['name']}, {one['shape']}")
        sections = card.select("section.set-out")
        assert len(sections) == len(one["views"]) >= 1
        for section, view in zip(sections, one["views"], strict=True):
            assert words(section.h4).lower() == view["name"]
            assert [[words(cell) for cell in row.select("th, td")] for row in section.select("tbody tr")] == [
                [words_of(cell) for cell in row] for row in view["rows"]
            ]
            assert [words(said) for said in section.select("p")] == view["fastened"] + view["channels"]
            described = section.select_one("svg desc")
            assert described is not None
            assert words_of(described.text) in view["drawing"]["alt"]


def words_of(text: str) -> str:
    return " ".join(text.split())


def test_a_line_is_where_the_open_json_and_the_set_up_sheet_have_it(served: tuple[Units, Served]) -> None:
    units, _ = served
    sheet = {
        (row["joint"], row["at_fence"])
        for block in set_ups_data(*planned(units), units)["set_ups"]
        for row in block["pieces"]
        if row["at_fence"].startswith("line ")
    }
    told = {
        (each["piece"], each["joint"], each["line"], each["line_from"])
        for set_up in set_ups(units)
        for each in set_up["pieces"]
        if "line" in each
    }
    # of a single joint the whole side is the mating face: there is no line to draw
    told = {each for each in told if not each[1].startswith("E")}
    sheet = {each for each in sheet if not each[0].startswith("E")}
    assert told
    assert sheet
    seen, said = set(), set()
    for assembly in planned(units)[1].assemblies:
        for entry in set_out(assembly):
            for line in (line for view in entry.views for line in view.lines):
                edges = (line.offset, line.offset + line.breadth)
                seen |= {(line.joint, round(edge, 3), line.start.value) for edge in edges}
    for one in setting_out_data(planned(units)[1], units)["assemblies"]:
        said |= {(row[0], row[2]) for piece in one["pieces"] for view in piece["views"] for row in view["rows"]}
    # either line of the part may be at the fence; both are drawn and both are said
    assert {(joint, line, start) for _, joint, line, start in told} <= seen
    for joint, at_fence in sheet:
        figure = re.fullmatch(r"line (.+) (?:mm|in) from the (.+), .+", at_fence)
        assert figure is not None
        assert any(
            where.endswith(figure[2]) and figure[1] in re.split(r" to | mm| in", where)
            for mark, where in said
            if mark == joint
        ), (joint, at_fence)


def test_slots_are_read_as_the_fence_and_the_stop_are_set(served: tuple[Units, Served]) -> None:
    units, _ = served
    plans = {
        joint.joint.mark: joint for each in planned(units)[1].assemblies for joint in each.joints if joint.plan
    }
    rows = [
        row
        for one in setting_out_data(planned(units)[1], units)["assemblies"]
        for piece in one["pieces"]
        for view in piece["views"]
        for row in view["rows"]
    ]
    assert {row[0] for row in rows} == set(plans)
    for joint, part, _, slots, _ in rows:
        plan = plans[joint].plan
        assert plan is not None
        found = re.fullmatch(r"centre (.+ (?:mm|in)), (.+?) wide, deep (.+)", slots)
        assert found is not None
        unit = units.value
        centres = [mm(f"{each.strip()} {unit}") for each in found[1].removesuffix(f" {unit}").split(",")]
        assert centres == pytest.approx(list(plan.centres), abs=FINEST)
        # counted from the piece's own edge, inside which a narrower part meets it
        needs = plans[joint].joint
        depths = {
            slot.entry.value: slot.depth + (needs.face.foot_at(slot.entry) if part == needs.members[0] else 0)
            for slot in plans[joint].slots
        }
        for each in found[3].split(", "):
            depth, entry = each.split(" from the ")
            assert mm(depth) == pytest.approx(depths[entry], abs=FINEST)


def test_what_holds_a_bare_middle_is_set_out_on_both_pieces(served: tuple[Units, Served]) -> None:
    units, _ = served
    assemblies = planned(units)[1].assemblies
    documents = takeoff_document(planned(units)[1])["assemblies"]
    told = {joint["mark"]: joint["middle"] for each in documents for joint in each["joints"] if "middle" in joint}
    needs = {joint.joint.mark: joint.joint for each in assemblies for joint in each.joints}
    assert told
    found: dict[str, set[int]] = {}
    for assembly in assemblies:
        for entry in set_out(assembly):
            for view in entry.views:
                for row in view.fastened:
                    held, face = told[row.joint], needs[row.joint].face
                    assert (row.sort.value, row.start.value) == (held["sort"], held["from"])
                    which = needs[row.joint].members.index(entry.member.mark)
                    # a narrower part meets it inside the piece's own edge
                    foot = face.foot_at(Entry(row.start.value)) if which else 0.0
                    assert row.places == pytest.approx([place + foot for place in held["places"]], abs=6e-4)
                    found.setdefault(row.joint, set()).add(which)
    assert {joint: {0, 1} for joint in told} == found
    for one in setting_out_data(planned(units)[1], units)["assemblies"]:
        for view in (view for piece in one["pieces"] for view in piece["views"]):
            for said in view["fastened"]:
                match = re.fullmatch(
                    r"(\S+), between the keys: (.+?), (.+ (?:mm|in)) from the (.+), in the .+", said
                )
                assert match is not None, said
                held = told[match[1]]
                assert held["from"] in match[4]
                assert held["sort"].rstrip("s") in match[2]
                drawn = view["drawing"]["svg"]
                assert all(f"{held['sort'].rstrip('s')} {figure}" in drawn for figure in bare(match[3], units))


def test_every_label_names_the_entry_that_it_is_set_out_in(served: tuple[Units, Served]) -> None:
    units, shop = served
    project, takeoff = planned(units)
    rules = project.rules or Rules()
    labels = labels_data(takeoff, "Every kind", units, Paper.A4, LabelChoices(), rules)["labels"]
    page = words(shop.page(urls.setting_out(shop.project_id)).main)
    everything = [piece for each in takeoff.assemblies for piece in pieces(each.expansion)]
    members = {member.mark for each in takeoff.assemblies for member in each.expansion.members}
    for label, piece in zip(labels, everything, strict=True):
        assert (label["set_out"] != "") == (piece.part.mark in members)
        assert label["set_out"].split()[:1] in ([], [piece.part.mark])
        assert words_of(label["set_out"]) in page
