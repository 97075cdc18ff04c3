"""The assembly sheet on page and paper: the same steps, and the keys, glue and joints of the schedule."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from domain.lengths import Units
from tests.faces.shown import Served, planned, words
from webapp.papers.assembling import assembling_data
from webapp.site import urls


def words_of(text: str) -> str:
    return " ".join(text.split())


def test_page_and_paper_say_the_same_of_every_step(served: tuple[Units, Served]) -> None:
    units, shop = served
    page = shop.page(urls.assembly_sheet(shop.project_id))
    paper = [step for each in assembling_data(*planned(units), units)["assemblies"] for step in each["steps"]]
    cards = page.select("article.joint-card")
    assert len(cards) == len(paper) >= 10
    for card, step in zip(cards, paper, strict=True):
        assert words(card.h3) == step["title"]
        assert words(card.p) == words_of(step["says"])
        assert [[words(cell) for cell in row.select("th, td")] for row in card.select("tbody tr")] == [
            [words_of(cell) for cell in row] for row in step["joints"]
        ]
        facts = [{"name": words(row.dt), "said": words(row.dd)} for row in card.select("dl > div")]
        assert facts == step["figures"]
        for said in step["checks"]:
            assert said in words(card)
        described = card.select_one("svg desc")
        assert described is not None
        assert words_of(described.text) in step["drawing"]["alt"]


def test_keys_and_joints_are_those_of_the_schedule(served: tuple[Units, Served]) -> None:
    units, _ = served
    project, takeoff = planned(units)
    keys: Counter[str] = Counter()
    for one, assembly in zip(
        assembling_data(project, takeoff, units)["assemblies"], takeoff.assemblies, strict=True
    ):
        closed: Counter[str] = Counter()
        for step in one["steps"]:
            for row in step["joints"]:
                closed[row[0]] += int(row[1]) * one["quantity"]
            said = {fact["name"]: fact["said"] for fact in step["figures"]}.get("Keys", "")
            for count, item in re.findall(r"(\d+) of ([^,]+)", said):
                keys[item] += int(count) * one["quantity"]
        assert closed == {joint.joint.mark: joint.joint.quantity for joint in assembly.joints}
    assert keys == {key.item: key.used for key in takeoff.totals.keys if key.used}


def test_glue_adds_up_to_the_project_s(served: tuple[Units, Served]) -> None:
    units, _ = served
    project, takeoff = planned(units)
    grams = 0.0
    for one in assembling_data(project, takeoff, units)["assemblies"]:
        for step in one["steps"]:
            said = {fact["name"]: fact["said"] for fact in step["figures"]}.get("Glue", "0 g")
            grams += float(said.removesuffix(" g")) * one["quantity"]
    # every step is said to a tenth of a gram
    assert grams == pytest.approx(takeoff.totals.glue_grams, abs=0.05 * 40)


def test_a_diagonal_is_in_the_project_s_units(served: tuple[Units, Served]) -> None:
    units, _ = served
    steps = [step for each in assembling_data(*planned(units), units)["assemblies"] for step in each["steps"]]
    said = [check for step in steps for check in step["checks"] if check.startswith("Both diagonals")]
    assert len(said) >= 4
    assert all(check.endswith(f" {units.value}.") for check in said)


def test_what_goes_between_the_keys_adds_up_to_the_project_s(served: tuple[Units, Served]) -> None:
    units, _ = served
    project, takeoff = planned(units)
    counted: Counter[str] = Counter()
    for one in assembling_data(project, takeoff, units)["assemblies"]:
        for step in one["steps"]:
            said = {fact["name"]: fact["said"] for fact in step["figures"]}.get("Between the keys", "")
            for count, item in re.findall(r"(a|\d+) (loose tenons?|screws?)", said):
                counted[item.rstrip("s")] += (1 if count == "a" else int(count)) * one["quantity"]
    assert counted == {each.sort.words.rstrip("s"): each.used for each in takeoff.totals.fastenings}
    assert counted
