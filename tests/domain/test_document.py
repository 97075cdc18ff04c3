"""The takeoff as open JSON, against its written contract: every field, its kind, and nothing else."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from domain.takeoff.build import take_off
from domain.takeoff.document import takeoff_document
from tests.domain.builders import (
    KEY,
    Json,
    box,
    carcass,
    demo_document,
    demo_sections,
    frame,
    polygon,
    railed,
    read,
    rules,
    single,
)

ROOT = Path(__file__).parents[2]
Check = Callable[[Any], bool]


def number(value: Any) -> bool:
    return type(value) in {int, float} and value == round(value, 3) and repr(value) != "-0.0"


def whole(value: Any) -> bool:
    return type(value) is int and value >= 0


def text(value: Any) -> bool:
    return type(value) is str and value.isprintable()


def truth(value: Any) -> bool:
    return type(value) is bool


def maybe(check: Check) -> Check:
    return lambda value: value is None or check(value)


def one_of(*words: Any) -> Check:
    return lambda value: value in words


def each(check: Check) -> Check:
    return lambda value: type(value) is list and all(check(one) for one in value)


def document(fields: dict[str, Check]) -> Check:
    """A dictionary of exactly these fields; a name that ends in ``?`` may be absent."""

    def check(value: Any) -> bool:
        assert type(value) is dict
        needed = {name for name in fields if not name.endswith("?")}
        known = {name.rstrip("?"): kind for name, kind in fields.items()}
        assert needed <= set(value), needed - set(value)
        assert set(value) <= set(known), set(value) - set(known)
        for name, inner in value.items():
            assert known[name](inner), f"{name}: {inner!r}"
        return True

    return check


MEMBER = document({
    "mark": text, "name": text, "quantity": whole, "length": number, "width": number, "thickness": number,
    "short_length?": number, "ends": each(number), "material": maybe(text),
})  # fmt: skip
PANEL = document({
    "mark": text, "name": text, "quantity": whole, "length": number, "width": number, "thickness": number,
    "material?": text, "room?": number,
})  # fmt: skip
SLOT = document({
    "entry": one_of("back", "front", "top", "bottom"), "centre": number, "depth": number, "keys": each(number),
    "recess": number,
})  # fmt: skip
ALTERNATIVE = document({
    "section": text, "fits": truth, "count?": whole, "reach?": number, "hold?": number, "why_not?": text,
})  # fmt: skip
NEEDED = {
    "mark": text, "kind": one_of("mitre", "butt", "tee", "edge_mitre", "edge_butt", "edge_tee"), "quantity": whole,
    "members": each(text), "angle": number, "breadth": number, "run": number, "section": maybe(text),
    "slots": each(SLOT), "alternatives": each(ALTERNATIVE), "notes": each(text),
}  # fmt: skip
PLANNED = {
    "cutter": one_of("close", "free"), "projection": number, "snug_projection": number, "reach": number,
    "hold": number, "depth_stop": number, "end": one_of("round", "square"),
}  # fmt: skip


def joint(value: Any) -> bool:
    """A joint that cannot be made has a section of null, no slots, and none of a plan's figures."""
    return document(NEEDED if value["section"] is None else NEEDED | PLANNED)(value)


ASSEMBLY = document({
    "mark": text, "quantity": whole, "members": each(MEMBER), "panels": each(PANEL), "joints": each(joint),
    "notes": each(text),
})  # fmt: skip
KEYS = document({"section": text, "length": number, "used": whole, "tests": whole, "spare": whole, "total": whole})
PLUGS = document({
    "material": text, "section": text, "height": number, "used": whole, "spare": whole, "total": whole,
})  # fmt: skip
TAKEOFF = document({
    "format": one_of("dovetally-takeoff"), "version": one_of(1), "project": text, "assemblies": each(ASSEMBLY),
    "keys": each(KEYS), "plugs": each(PLUGS), "glue_grams": number, "notes": each(text),
})  # fmt: skip


def everything() -> Json:
    """One of each kind with all that may be on it, and a joint that cannot be made."""
    plugged = {"plug": {"material": "oak", "height": 3}}
    spec = read(
        frame(keys=plugged, material="ash", quantity=3),
        polygon(7, 500, mark="B", stock={"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 8}),
        railed(mark="C", panel={"fit": "groove", "depth": 9, "width": 6, "thickness": 6}),
        box(
            mark="D",
            wall="5/8 in",
            bottom={"fit": "groove", "thickness": 5, "depth": 4, "up": 6},
            top={"material": "glass", "thickness": 3, "depth": 4, "down": 4},
            lid={"height": 40, "kerf": 2, "lip": 6},
            lining=1.5,
            veneer=0.6,
        ),
        carcass(mark="E", shelves=[300], partitions=[400], plinth=80),
        single(mark="F", breadth=9),
    )
    return takeoff_document(take_off(spec, demo_sections(), rules()))


@pytest.mark.parametrize(
    "made", [*(demo_document(name) for name in ("frame-set", "keepsake-box", "hall-cabinet")), everything()],
    ids=["frames", "box", "cabinet", "everything"],
)  # fmt: skip
def test_every_field_is_there_with_its_kind_and_nothing_else(made: Json) -> None:
    assert TAKEOFF(made)
    assert json.loads(json.dumps(made, allow_nan=False)) == made
    for one in made["assemblies"]:
        assert_ids_hold(one)
    for key in made["keys"]:
        assert key["total"] == key["used"] + key["tests"] + key["spare"]
    for plug in made["plugs"]:
        assert plug["total"] == plug["used"] + plug["spare"]
    assert_keys_add_up(made)


def assert_ids_hold(one: Json) -> None:
    members = [member["mark"] for member in one["members"]]
    panels = [panel["mark"] for panel in one["panels"]]
    assert sorted(members + panels, key=lambda mark: int(mark[1:])) == [
        f"{one['mark']}{number}" for number in range(1, len(members) + len(panels) + 1)
    ]
    assert [item["mark"] for item in one["joints"]] == [
        f"{one['mark']}-J{number}" for number in range(1, len(one["joints"]) + 1)
    ]
    for item in one["joints"]:
        assert len(item["members"]) == 2
        assert set(item["members"]) <= set(members)
        assert item["quantity"] % one["quantity"] == 0
        for other in item["alternatives"]:
            assert ("why_not" in other) is not other["fits"]
            assert ("count" in other) is other["fits"]
    for part in one["members"] + one["panels"]:
        assert part["quantity"] % one["quantity"] == 0


def assert_keys_add_up(made: Json) -> None:
    """Used keys are those of the slots, joint by joint: nothing is lost on the way to the list."""
    counted: dict[tuple[str, float], int] = {}
    for one in made["assemblies"]:
        for item in one["joints"]:
            for slot in item["slots"]:
                for length in slot["keys"]:
                    name = (item["section"], length)
                    counted[name] = counted.get(name, 0) + item["quantity"]
    assert counted == {(key["section"], key["length"]): key["used"] for key in made["keys"]}


def test_a_joint_that_cannot_be_made_has_no_section_and_says_why() -> None:
    made = everything()
    (item,) = made["assemblies"][-1]["joints"]
    assert (item["section"], item["slots"]) == (None, [])
    said = "The 7 key's slot with its edge wood on each side needs 11.04 mm across the stock"
    assert item["notes"][0].startswith(said)
    assert [other["fits"] for other in item["alternatives"]] == [False] * 4
    # frames 1 + 1, railed 2, box 2, carcass 2 + 2 + 4 + 1, single 1
    assert made["notes"] == ["1 of 16 joints cannot be made as they stand; they are not counted."]


@pytest.mark.parametrize(
    ("size", "written"), [(300, "300"), ("300.0004", "300"), ("300.0006", "300.001"), ("11 13/16 in", "300.038")]
)
def test_lengths_are_rounded_to_a_thousandth_and_whole_ones_have_no_point(size: object, written: str) -> None:
    # 11.8125 in × 25.4 = 300.0375
    made = takeoff_document(take_off(read(frame(height=size)), demo_sections(), rules()))
    assert repr(made["assemblies"][0]["members"][1]["length"]) == written


def test_the_takeoff_says_which_project_it_is_of() -> None:
    spec = read(name="Garten-Tür № 3", sections=[KEY])
    made = takeoff_document(take_off(spec, (), rules()))
    assert (made["format"], made["version"], made["project"]) == ("dovetally-takeoff", 1, "Garten-Tür № 3")


SCRIPT = """
import json
from tests.domain.builders import demo_document
from tests.domain.test_document import everything
names = ("frame-set", "keepsake-box", "hall-cabinet")
print(json.dumps([*map(demo_document, names), everything()]))
"""


def test_the_same_project_gives_the_same_bytes_whatever_the_hash_seed() -> None:
    outputs = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=ROOT,
            env=os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "2")
    }
    assert len(outputs) == 1
    assert len(outputs.pop()) > 10_000
