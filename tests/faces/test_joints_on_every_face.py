"""What page, drawing, paper, spreadsheet, terminal and JSON say of a joint is the same, in mm and in inches.

The figures are held against the document's millimetres, within the rounding that each face states:
0.01 mm, a fraction of an inch only where it is one, a thousandth of an inch elsewhere (0.0127 mm), the
spreadsheet's four decimals, the document's 0.001 mm. An inch is 25.4 mm exactly (international yard and
pound agreement of 1 July 1959).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import pytest

from domain.lengths import Units
from domain.planning.plans import JointPlan
from domain.spec.project import Project
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.client import TestClient
from tests.faces.shown import (
    KINDS,
    Served,
    all_mm,
    at_full_size,
    brought_in,
    by_end,
    document,
    in_editor,
    in_json,
    in_table,
    joints,
    mm,
    on_drawing,
    on_page,
    on_paper,
    on_strip,
    on_terminal,
    planned,
    words,
)
from webapp.papers.schedule import schedule_data
from webapp.site import urls
from webapp.terminal.result_tables import takeoff_table
from webapp.usecases.files import plan_document
from webapp.wording.joint import joint_words

HUNDREDTH = 0.005 + 1e-9
"""Half of the 0.01 mm that figures in mm are said to."""
THOUSANDTH = 0.0005 * 25.4 + 1e-9
"""Half a thousandth of an inch: what figures in inches are said to, where they are set."""
SIXTY_FOURTH = 25.4 / 128 + 1e-9
"""Half a 64th of an inch, to which sizes of wood are said."""
FINEST = 0.02
"""No machine figure is said more coarsely than this, in mm."""


def exactness(units: Units) -> float:
    return HUNDREDTH if units is Units.MM else THOUSANDTH


def covered(document: dict[str, Any]) -> bool:
    """The back of D stands in a rabbet behind its shelf, with millimetres; with inches there is none."""
    return bool(document["mark"].startswith("D-") and document["run"] == 331)


def test_all_five_kinds_are_looked_at() -> None:
    for units in Units:
        assert {spec.kind for spec in planned(units)[0].assemblies} == set(KINDS.values())
        assert len(joints(units)) >= 9


def test_the_figures_on_the_page_are_those_of_the_plan(served: tuple[Units, Served]) -> None:
    units, shop = served
    assert exactness(units) < FINEST
    for joint in joints(units):
        mark = joint.joint.mark
        page, document = on_page(shop, mark), in_json(units, mark)
        near = pytest.approx
        assert all_mm(page["centres"]) == near(
            sorted({each["centre"] for each in document["slots"]}), abs=exactness(units) + 5e-4
        )
        for name, figure in (
            ("projection", document["projection"]),
            ("snug", document["snug_projection"]),
        ):
            assert mm(page[name]) == near(figure, abs=exactness(units) + 5e-4), (mark, name)
        for slot in document["slots"]:
            for name, figure in (
                ("depth", slot["depth"]),
                ("recess", slot["recess"]),
                ("stop", stop_of(document, slot)),
            ):
                assert mm(at_end(page[name], slot)) == near(figure, abs=exactness(units) + 5e-4), (mark, name)
            assert at_end(page["keys"], slot) == " + ".join(f"{key:g}" for key in slot["keys"])
        coarse = HUNDREDTH if units is Units.MM else SIXTY_FOURTH
        assert mm(page["reach"]) == near(document["reach"], abs=coarse + 5e-4)
        share = float(page["hold"].removesuffix(" %"))
        assert share == near(100 * document["hold"], abs=0.05 + 5e-2)
        filled, of = page["held"].split(" of ")
        assert mm(of) == near(document["run"], abs=coarse + 5e-4)
        # the document's share is said to three decimals
        exact = coarse + 5e-4 * document["run"]
        assert mm(f"{filled} {units.value}") == near(document["hold"] * document["run"], abs=exact)
        breadth, run = page["face"].rsplit(", ", 1)[0].split(" × ")
        assert mm(f"{breadth} {units.value}") == near(document["breadth"], abs=coarse + 5e-4)
        assert mm(run) == near(document["run"], abs=coarse + 5e-4)
        assert page["section"] == document["section"]
        assert page["cutter"].startswith(document["cutter"])
        assert page["end"] == f"{document['end']} end"
        assert page["slots"] == str(len(document["slots"]))
        edges = dict.fromkeys(each["entry"] for each in document["slots"])
        # the rear edge of what stands before a rabbeted back is open until the back goes in
        behind = {"back": "back (before the back goes in)"} if covered(document) else {}
        assert page["driven from"] == " and ".join(behind.get(edge, edge) for edge in edges)
        assert page["face"].endswith(f", {document['angle']:.4g}°")
        assert f" {document['quantity']} × " in page["heading"]
        assert page["heading"].endswith(" to ".join(document["members"]))


def at_end(figures: str, slot: dict[str, Any]) -> str:
    """The figure of the end that a slot is entered from."""
    said = by_end(figures)
    return said.get(slot["entry"]) or said[""]


def stop_of(document: dict[str, Any], slot: dict[str, Any]) -> float:
    """What the stop reads for a slot: the other end's only where the file has one."""
    first = slot["entry"] == document["slots"][0]["entry"]
    return float(document["depth_stop"] if first else document.get("other_depth_stop", document["depth_stop"]))


def test_a_run_whose_ends_differ_is_among_them_and_every_face_says_both(served: tuple[Units, Served]) -> None:
    units, shop = served
    found = [joint for joint in joints(units) if joint.plan is not None and joint.plan.far is not None]
    assert found
    for joint in found:
        mark = joint.joint.mark
        page, document = on_page(shop, mark), in_json(units, mark)
        edges = list(dict.fromkeys(slot["entry"] for slot in document["slots"]))
        assert len(edges) == 2
        for name in ("depth", "stop", "keys"):
            assert list(by_end(page[name])) == edges, name
        assert document["other_depth_stop"] != document["depth_stop"]
        # every face that has these facts is held to the page's by the tests beside this one
        for face in (on_paper(units, mark), on_terminal(units, mark), in_editor(shop, mark)):
            assert {"depth", "keys"} <= face.keys()
        assert {"stop", "keys"} <= on_strip(units, mark).keys()
        drawn = on_drawing(joint, units)
        for figure in by_end(page["depth"]).values():
            assert bare(figure, units)[0] in drawn


def test_every_other_face_says_it_in_the_page_s_own_words(served: tuple[Units, Served]) -> None:
    units, shop = served
    for joint in joints(units):
        mark = joint.joint.mark
        page = on_page(shop, mark)
        assert same(page, on_paper(units, mark)) >= 15, mark
        assert same(page, on_terminal(units, mark)) == 8, mark
        assert same(page, on_strip(units, mark)) >= 7, mark
        assert same(page, in_editor(shop, mark)) == 5, mark
        assert page["heading"].split(" × ")[1].rsplit(", ", 1)[0] == in_editor(shop, mark)["where"].removeprefix(
            f"{mark} "
        )


def same(page: dict[str, str], face: dict[str, str]) -> int:
    """How many facts two faces share, each in the same words."""
    shared = page.keys() & face.keys()
    assert {name: page[name] for name in shared} == {name: face[name] for name in shared}
    return len(shared)


def test_what_holds_the_bare_middle_is_the_same_everywhere(served: tuple[Units, Served]) -> None:
    units, shop = served
    held = [joint for joint in joints(units) if joint.plan and joint.plan.fastenings]
    assert held
    for joint in held:
        mark = joint.joint.mark
        said = on_page(shop, mark)["middle"]
        document = in_json(units, mark)["middle"]
        told = re.fullmatch(r"(?P<what>.+?), (?P<places>.+ (?:mm|in)) from the (?P<edge>\w+) edge", said)
        assert told is not None, said
        assert all_mm(told["places"]) == pytest.approx(document["places"], abs=exactness(units) + 5e-4)
        assert {"tenons": "tenon", "screws": "screw"}[document["sort"]] in told["what"]
        assert told["edge"] in on_page(shop, mark)["driven from"]
        drawn = " ".join(on_drawing(joint, units))
        assert f"{told['what']} at" in drawn
        assert all(figure in drawn for figure in bare(told["places"], units))
        assert f"from the {told['edge']} edge" in drawn
        assert in_table(shop, mark, "xlsx")["Between the keys"] == said
        first = told["places"].split(",")[0].split(" ")[0]
        assert any(first in note for note in joint_words(joint, units).notes)


def test_the_drawing_shows_the_figures_of_the_list_beside_it(served: tuple[Units, Served]) -> None:
    units, shop = served
    for joint in joints(units):
        page, drawn = on_page(shop, joint.joint.mark), on_drawing(joint, units)
        for centre in bare(page["centres"], units):
            assert centre in drawn
        depths = {edge: bare(figure, units)[0] for edge, figure in by_end(page["depth"]).items()}
        assert set(depths.values()) <= set(drawn)
        assert f"from the {page['origin']}" in drawn
        assert f"keys in from the {page['driven from']}" in drawn
        full = at_full_size(joint, units)
        first, *others = (
            f"{figure} deep from the {edge}" if edge else f"{figure} deep" for edge, figure in depths.items()
        )
        deep = ", ".join((first, *(other.replace(" deep", "") for other in others)))
        assert f"centres {', '.join(bare(page['centres'], units))}, {deep}" in full
        assert f"left: {page['origin']}" in full


def bare(figures: str, units: Units) -> list[str]:
    """Figures as a drawing writes them: plain millimetres, or inches with their sign."""
    sign = "" if units is Units.MM else "″"
    return [f"{number}{sign}" for number in figures.rsplit(" ", 1)[0].split(", ")]


@pytest.mark.parametrize("ending", ["xlsx", "csv"])
def test_the_spreadsheet_has_the_same_figures_to_four_decimals(served: tuple[Units, Served], ending: str) -> None:
    units, shop = served
    inch = 1.0 if units is Units.MM else 25.4
    for joint in joints(units):
        mark = joint.joint.mark
        page, row, document = on_page(shop, mark), in_table(shop, mark, ending), in_json(units, mark)
        slot, u = document["slots"][0], units.value
        assert joint.plan is not None
        exact = {
            f"Along the joint line ({u})": document["breadth"],
            f"Along the slot ({u})": document["run"],
            f"Projection ({u})": document["projection"],
            f"Snug projection ({u})": document["snug_projection"],
            f"Depth ({u})": slot["depth"],
            f"Depth stop ({u})": document["depth_stop"],
            f"Recess ({u})": slot["recess"],
            f"Reach ({u})": document["reach"],
            f"Cutter tip ({u})": joint.plan.cutter.tip_diameter,
        }
        centres = sorted({each["centre"] for each in document["slots"]})
        exact |= {f"Centre {number} ({u})": centre for number, centre in enumerate(centres, 1)}
        for heading, figure in exact.items():
            slack = 5e-4 + 0.5e-4 * inch + 1e-9  # the document's rounding and the spreadsheet's
            assert float(str(row[heading])) * inch == pytest.approx(figure, abs=slack), heading
        assert str(row["Section"]) == page["section"]
        assert row["Cutter"] == page["cutter"]
        assert row["Centres measured from"] == page["origin"]
        assert row["Driven in from"] == page["driven from"]
        assert str(row["Slots"]) == page["slots"]
        assert str(row["Keys in driving order (mm)"]) == at_end(page["keys"], slot)
        other = next((each for each in document["slots"] if each["entry"] != slot["entry"]), slot)
        if "other_depth_stop" in document:
            assert row["Other end"] == other["entry"]
            assert str(row["Other end, keys in driving order (mm)"]) == at_end(page["keys"], other)
            for heading, figure in (
                ("depth", other["depth"]),
                ("depth stop", document["other_depth_stop"]),
                ("recess", other["recess"]),
            ):
                cell = float(str(row[f"Other end, {heading} ({u})"]))
                assert cell * inch == pytest.approx(figure, abs=slack), heading
        else:
            assert not row["Other end"]
        assert row["Leading end"] == page["end"]
        assert str(row["How many"]) == str(document["quantity"])
        assert page["heading"].split(" × ")[1].startswith(str(row["Place"]))
        assert str(row["Kind"]) in page["heading"]


def test_a_fraction_stands_only_where_the_figure_is_one(served: tuple[Units, Served]) -> None:
    units, shop = served
    for joint in joints(units):
        page = on_page(shop, joint.joint.mark)
        for name in ("centres", "depth", "stop", "recess"):
            if units is Units.MM:
                assert "/" not in page[name]
                continue
            figures = [figure.rsplit(" ", 1)[0] for figure in by_end(page[name]).values()]
            if name == "centres":
                figures = figures[0].split(", ")
            for figure, exact in zip(figures, _exact(joint, name)[: len(figures)], strict=True):
                if "/" in figure:
                    assert mm(f"{figure} in") == pytest.approx(exact, abs=0.0081)
                else:
                    assert abs(exact / 25.4 * 64 - round(exact / 25.4 * 64)) > 0.0199 or "." not in figure


def _exact(joint: JointPlan, name: str) -> Sequence[float]:
    plan = joint.plan
    assert plan is not None
    ends = [plan.from_edge(edge) for edge in joint.joint.face.edges(plan.entry)]
    return {
        "centres": list(plan.centres),
        "depth": [end.depth for end in ends],
        "stop": [joint.stop_from(end.entry) for end in ends],
        "recess": [end.recess for end in ends],
    }[name]


def test_slots_too_near_to_another_joint_s_are_told_of_in_the_same_words_everywhere(client: TestClient) -> None:
    """A shelf hard under a top that is laid over the sides, with more web asked for than there is room."""
    near = {"kind": "carcass", "mark": "D", "width": 787, "height": 903, "depth": 337, "thickness": 22,
            "corner": "top_over", "shelves": [858.9]}  # fmt: skip
    told = document(Units.MM, web=9) | {"assemblies": [near]}
    shop, (project, takeoff) = brought_in(client, told), plan_document(told)
    (assembly,) = takeoff.assemblies
    plans = {plan.joint.mark: plan for plan in assembly.joints}
    shelf, corner = plans["D-J3"], plans["D-J1"]
    assert shelf.plan is None
    said = {"D-J3": shelf.notes[0].text(), "D-J1": corner.notes[0].text()}
    assert said["D-J3"].startswith("In D1 the slots for the ")
    assert said["D-J1"].startswith("D-J3 cannot be made: its slots in D1 would come within ")
    assert_told_everywhere(shop, project, takeoff, Units.MM, said)


@pytest.mark.parametrize("units", Units, ids=str)
def test_what_stands_beside_a_slot_is_told_in_the_same_words_everywhere(client: TestClient, units: Units) -> None:
    """Of a plywood carcass every wall, of one in solid wood the short grain at its sides' ends."""
    plain = {
        "kind": "carcass",
        "width": 787,
        "height": 903,
        "depth": 337,
        "thickness": 17,
        "corner": "top_between",
    }
    sheet, solid = (
        {"mark": mark, "material": wood} | plain for mark, wood in (("D", "birch plywood"), ("E", "ash"))
    )
    told = document(units) | {"assemblies": [sheet, solid]}
    shop, (project, takeoff) = brought_in(client, told), plan_document(told)
    wall, usual, short = ("2.3 mm", "2 mm", "2.5 mm") if units is Units.MM else ("0.091″", "0.079″", "0.098″")
    plies = f"The edge wood is {wall}, in solid wood {usual}: this is plywood, which parts between its plies."
    grain = f"Beside the end of E1 the edge wood is {short}, elsewhere {usual}: short grain breaks off."
    assert_told_everywhere(
        shop, project, takeoff, units, {"D-J1": plies, "D-J2": plies, "E-J1": grain, "E-J2": grain}
    )


def assert_told_everywhere(
    shop: Served, project: Project, takeoff: Takeoff, units: Units, said: dict[str, str]
) -> None:
    """Each joint's sentence stands on page, paper, terminal and in both tables; in mm in the document."""
    paper = [row for each in schedule_data(project, takeoff, units)["assemblies"] for row in each["joints"]]
    terminal = " ".join(" ".join(takeoff_table(takeoff, units)).split())
    notes = {plan.joint.mark: plan.notes for each in takeoff.assemblies for plan in each.joints}
    exact = {
        row["mark"]: row["notes"] for each in takeoff_document(takeoff)["assemblies"] for row in each["joints"]
    }
    for mark, sentence in said.items():
        assert sentence in words(shop.page(urls.schedule(shop.project_id)).select_one(f"#joint-{mark}"))
        assert sentence in str(in_table(shop, mark, "csv"))
        assert sentence in str(in_table(shop, mark, "xlsx"))
        assert sentence in terminal
        (row,) = [row for row in paper if row["mark"] == mark]
        assert sentence in row["notes"]
        (note,) = [note for note in notes[mark] if note.text(units) == sentence]
        assert note.text() in exact[mark]
