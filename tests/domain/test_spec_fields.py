"""What is typed in: misspelt fields, wrong kinds of value and impossible sizes are refused by name."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.spec.rules import Rules
from tests.domain.builders import KEY, box, carcass, frame, project, railed, read, refused, single

NO_LENGTH = 'not a length; write a length such as 12.5, "12,5 mm", "3 7/8 in" or 7/8"'
NOT_HERE = "is not a field here; check the spelling"
STOCK = {"width": 45, "thickness": 20}


@pytest.mark.parametrize(
    ("data", "path"),
    [
        (project(widht=1), "widht"),
        (project(box=1), "box"),
        (project(a={"b": 1}), "a"),
        (project(rules={"wal": 2}), "rules.wal"),
        (project(rules={"change_minutes": {"cuter": 2}}), "rules.change_minutes.cuter"),
        (project(sections=[KEY | {"colour": "red"}]), "sections[0].colour"),
        (project(sections=[KEY | {"box": 1}]), "sections[0].box"),
        (project(keys={"sectoin": "14"}), "keys.sectoin"),
        (project(keys={"plug": {"material": "oak", "height": 3, "box": 1}}), "keys.plug.box"),
        (project(frame(box=1)), "assemblies[0].box"),
        (project(frame(mitred_frame=1)), "assemblies[0].mitred_frame"),
        (project(frame(stock=STOCK | {"box": 1})), "assemblies[0].stock.box"),
        (project(frame(), frame(mark="B", joints={"B-J1": {"box": 1}})), "assemblies[1].joints.B-J1.box"),
        (project(railed(rows=[{"opening": "rest", "box": 1}])), "assemblies[0].rows[0].box"),
        (project(box(lid={"height": 30, "kerf": 2, "box": 1})), "assemblies[0].lid.box"),
        (project(carcass(back={"fit": "groove", "thickness": 6, "depth": 8, "x": 1})), "assemblies[0].back.x"),
        (project(single(width=3)), "assemblies[0].width"),
    ],
)
def test_a_misspelt_field_is_refused_with_its_path(data: Any, path: str) -> None:
    assert refused(data) == {path: NOT_HERE}


@pytest.mark.parametrize(
    ("data", "path", "allowed"),
    [
        (None, "the file", "must be an object with fields"),
        ([], "the file", "must be an object with fields"),
        ("text", "the file", "must be an object with fields"),
        ({}, "format", 'must be "dovetally-project"'),
        (project(format="other"), "format", 'must be "dovetally-project"'),
        (project(version=2), "version", "must be 1"),
        (project(name=""), "name", "must be at least 1 characters"),
        (project(name="   "), "name", "must not be empty"),
        (project(name=5), "name", "must be text"),
        (project(name="x" * 121), "name", "must be at most 120 characters"),
        (project(name="a\x00b"), "name", "must be printable text"),
        (project(name="a\x1bb"), "name", "must be printable text"),
        (project(customer="\x7f"), "customer", "must be printable text"),
        (project(name="a\ud800"), "name", "must be printable text"),
        (project(units="ft"), "units", "must be one of 'mm' or 'in'"),
        (project(currency="eur"), "currency", "must match ^[A-Z]{3}$"),
        (project(currency="EUR\n"), "currency", "must match ^[A-Z]{3}$"),
        (project(assemblies={}), "assemblies", "must be a list"),
        (project(assemblies="abc"), "assemblies", "must be a list"),
        (project(sections=[]), "sections", "must have at least 1 items"),
        (project(rules=[]), "rules", "must be an object with fields"),
        (
            project({}),
            "assemblies[0]",
            'needs a "kind", one of mitred_frame, railed_frame, box, carcass, single_joint',
        ),
        (project(5), "assemblies[0]", "must be an object with fields"),  # type: ignore[arg-type]
        (project(frame(mark="")), "assemblies[0].mark", "must be at least 1 characters"),
        (project(frame(mark="A B")), "assemblies[0].mark", "must match ^[A-Za-z0-9_.]+$"),
        (project(frame(mark="A\n")), "assemblies[0].mark", "must match ^[A-Za-z0-9_.]+$"),
        (project(frame(mark="A" * 13)), "assemblies[0].mark", "must be at most 12 characters"),
        (project(frame(quantity=0)), "assemblies[0].quantity", "must be 1 or more"),
        (project(frame(quantity=10_001)), "assemblies[0].quantity", "must be 10000 or less"),
        (project(frame(quantity=2.5)), "assemblies[0].quantity", "must be a whole number"),
        (project(frame(quantity=2.0)), "assemblies[0].quantity", "must be a whole number"),
        (project(frame(quantity="2")), "assemblies[0].quantity", "must be a whole number"),
        (project(frame(quantity=True)), "assemblies[0].quantity", "must be a whole number"),
        (project(frame(sides=2)), "assemblies[0].sides", "must be 3 or more"),
        (project(frame(sides=13)), "assemblies[0].sides", "must be 12 or less"),
        (project(frame(sides="4")), "assemblies[0].sides", "must be a whole number"),
        (project(frame(keys={"count": 0})), "assemblies[0].keys.count", "must be 1 or more"),
        (project(frame(keys={"count": 1.0})), "assemblies[0].keys.count", "must be a whole number"),
        (project(frame(stock="x")), "assemblies[0].stock", "must be an object with fields"),
        (project(box(corner="dovetail")), "assemblies[0].corner", "must be one of 'mitre' or 'butt'"),
        (project(single(entry="front")), "assemblies[0].entry", 'must be "back" or "both"'),
        (project(single(angle=14)), "assemblies[0].angle", "must be 15 or more"),
        (project(single(angle=91)), "assemblies[0].angle", "must be 90 or less"),
        (project(single(angle=float("nan"))), "assemblies[0].angle", "must be a finite number"),
        (project(single(angle=True)), "assemblies[0].angle", "must be a number"),
        (project(single(behind=[1])), "assemblies[0].behind[1]", "is needed"),
        (project(rules={"spare": True}), "rules.spare", "must be a number"),
        (project(rules={"spare": -0.01}), "rules.spare", "must be 0 or more"),
        (project(rules={"spare": float("inf")}), "rules.spare", "must be a finite number"),
        (project(rules={"test_joints": 1.0}), "rules.test_joints", "must be a whole number"),
        (project(rules={"stroke": 300.1}), "rules.stroke", "must be 300 mm or less"),
        (project(rules={"hold_target": 1.1}), "rules.hold_target", "must be 1 or less"),
        (project(railed(rows=[{"opening": "most"}])), "assemblies[0].rows[0].opening", f'{NO_LENGTH}, or "rest"'),
        (
            project(railed(rows=[{"opening": 0}])),
            "assemblies[0].rows[0].opening",
            'must be more than 0, or "rest"',
        ),
    ],
)
def test_a_bad_value_is_refused_with_its_path_and_what_is_allowed(data: Any, path: str, allowed: str) -> None:
    assert refused(data) == {path: allowed}


@pytest.mark.parametrize(
    ("value", "allowed"),
    [
        (0, "must be more than 0"),
        (-1, "must be more than 0"),
        ("-3 7/8 in", "must be more than 0"),
        (1e-9, "must be more than 0"),  # less than half a nanometre is nothing
        (float("nan"), NO_LENGTH),
        (float("inf"), NO_LENGTH),
        (float("-inf"), NO_LENGTH),
        (100_001, NO_LENGTH),
        (1e308, NO_LENGTH),
        (10**5000, NO_LENGTH),
        ("12 dm", NO_LENGTH),
        ("", NO_LENGTH),
        (None, NO_LENGTH),
        (True, NO_LENGTH),
        ([12], NO_LENGTH),
    ],
    ids=lambda value: type(value).__name__,
)
def test_a_size_must_be_a_length_above_zero(value: object, allowed: str) -> None:
    data = project(frame(stock={"width": value, "thickness": 20}))
    assert refused(data) == {"assemblies[0].stock.width": allowed}


def test_a_size_that_may_be_nothing_may_not_be_less() -> None:
    assert refused(project(rules={"recess": -0.1})) == {"rules.recess": "must be 0 or more"}
    assert Rules.model_validate({"recess": 0}).recess.mm == 0


def test_the_value_is_named_with_the_problem() -> None:
    with pytest.raises(BadInput) as caught:
        read_project_file(project(frame(width="wide")))
    (problem,) = caught.value.problems
    assert str(problem) == f"assemblies[0].width: 'wide': {NO_LENGTH}"
    assert problem.value == "wide"


def test_a_missing_field_is_named() -> None:
    data = project(frame())
    del data["assemblies"][0]["mark"], data["name"]
    assert refused(data) == {"name": "is needed", "assemblies[0].mark": "is needed"}


def test_one_round_of_mending_is_enough() -> None:
    bad = project(frame(quantity=0), frame(mark="B", width=80), box(mark="C", wall=90), name=3, rules={"wall": 0})
    assert set(refused(bad)) == {
        "name",
        "rules.wall",
        "assemblies[0].quantity",
        "assemblies[1].width",
        "assemblies[2].width",
    }


def test_a_bad_item_does_not_make_its_list_seem_too_short() -> None:
    assert set(refused(project(sections=[KEY | {"waist": 0}]))) == {"sections[0].waist"}


def test_marks_are_unique_and_the_second_is_told_where_the_first_is() -> None:
    data = project(frame(), box(mark="B"), carcass())
    assert refused(data) == {"assemblies[2].mark": "is used already by assemblies[0]; use another"}


def test_section_names_are_unique() -> None:
    data = project(sections=[KEY, KEY | {"waist": 7.5}])
    assert refused(data) == {"sections[1].name": "is used already by sections[0]; use another"}


@pytest.mark.parametrize(
    ("change", "path", "allowed"),
    [
        ({"tip_diameter": 8}, "tip_diameter", "must be more than the waist, 8 mm"),
        ({"free_tip_diameter": 12}, "free_tip_diameter", "must be more than the close-fit cutter's 12 mm"),
        ({"stock_to": 9}, "stock_to", "must be 10 mm or more"),
        ({"lengths": [16, 10, 16]}, "lengths", "each length once"),
        ({"lengths": [16, 2.9]}, "lengths[1]", "a key is at least 3 mm long"),
        ({"lengths": [16, 10.05]}, "lengths[1]", "write key lengths to 0.1 mm or 1/64 in"),
        ({"lengths": []}, "lengths", "must have at least 1 items"),
        ({"flank": 0}, "flank", "must be more than 0"),
        ({"flank": 46}, "flank", "must be 45 or less"),
    ],
)
def test_numbers_that_cannot_be_one_key_are_refused(change: dict[str, Any], path: str, allowed: str) -> None:
    assert refused(project(sections=[KEY | change])) == {f"sections[0].{path}": allowed}


def test_names_are_tidied_and_any_script_is_welcome() -> None:
    assert read(name="  Großer \n Rahmen  ").name == "Großer Rahmen"
    assert read(name="額縁 №7 – ¾").name == "額縁 №7 – ¾"


def test_the_spec_is_frozen() -> None:
    spec = read(frame())
    with pytest.raises(ValidationError, match="frozen"):
        spec.name = "other"  # type: ignore[misc]
    first: Any = spec.assemblies[0]
    with pytest.raises(ValidationError, match="frozen"):
        first.quantity = 3


def test_lengths_may_be_written_in_any_of_the_ways() -> None:
    spec = read(frame(width="15 3/4 in", height="300,5 mm", stock={"width": '1 3/4"', "thickness": "¾"}))
    (one,) = spec.assemblies
    assert one.kind == "mitred_frame"
    assert one.width is not None
    assert one.height is not None
    # 15.75 × 25.4 = 400.05; 1.75 × 25.4 = 44.45; 0.75 × 25.4 = 19.05
    assert (one.width.mm, one.height.mm) == (400.05, 300.5)
    assert (one.stock.width.mm, one.stock.thickness.mm) == (44.45, 19.05)


def test_the_defaults_of_the_rules_are_the_trade_papers() -> None:
    # common practice (no source)
    assert Rules().model_dump(mode="json") == {
        "wall": 2,
        "skin": 1.5,
        "short_grain_wall": 2.5,
        "sheet_wall": 2.3,
        "web": 2,
        "preload": 0.1,
        "squeeze_limit": 0.25,
        "recess": 0.5,
        "least_recess": 0.3,
        "plug_proud": 0.5,
        "stroke": 90,
        "setting_step": 0.5,
        "inch_setting_step": None,
        "scale_tip_diameter": None,
        "hold_target": 0.8,
        "test_joints": 1,
        "cross_grooves": True,
        "spare": 0.05,
        "glue_spread": 200,
        "kerf": 3.2,
        "fence_clearance": 2,
        "least_piece": 150,
        "longest_piece": 1200,
        "heaviest_piece": 12,
        "trim": 0,
        "least_offcut": 300,
        "length_allowance": 0,
        "width_allowance": 0,
        "thickness_allowance": 0,
        "waste": 0.15,
        "sag_limit": 300,
        "mitre_gap": 0.2,
        "panel_cover": 3,
        "cross_grain_limit": 1,
        "creep": 2,
        "milling_minutes": 0.5,
        "driving_minutes": 0.25,
        "open_seconds": 480,
        "change_minutes": {
            "cutter": 10,
            "projection": 5,
            "fence": 4,
            "fence_reading": 1,
            "depth_stop": 1,
            "clamp_height": 0.5,
        },
    }


def test_what_is_not_said_has_its_documented_default() -> None:
    (one,) = read(frame()).assemblies
    assert one.kind == "mitred_frame"
    assert (one.quantity, one.sides, one.fit_allowance.mm, one.stock.rabbet_width.mm) == (1, 4, 3, 0)
    spec = read()
    assert (spec.units, spec.customer, spec.sections, spec.rules) == ("mm", None, None, None)
    assert read(sections=[KEY]).sections is not None
    assert read(sections=[KEY]).sections[0].reach_limit.mm == 40  # type: ignore[index]
