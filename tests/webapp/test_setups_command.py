"""``dovetally setups`` as a person or a script meets it: judged by output and status."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.terminal import dovetally
from tests.webapp.test_cli import frame
from tests.workshop import WORKSHOP

FRAMES, KEEPSAKE, CABINET = (
    str(WORKSHOP / f"{name}.json") for name in ("frame-set", "keepsake-box", "hall-cabinet")
)


def setups(*arguments: str, stdin: str = "") -> tuple[int, dict[str, Any]]:
    run = dovetally("setups", *arguments, "--json", stdin=stdin)
    assert run.stderr == b""
    return run.returncode, json.loads(run.stdout)


def written(folder: Path, name: str, document: object) -> str:
    path = folder / name
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def test_set_ups_as_json_from_standard_input() -> None:
    status, document = setups("-", stdin=json.dumps(frame(quantity=3)))
    assert status == 0
    assert (document["format"], document["version"]) == ("dovetally-setups", 1)
    # two centres of one joint: everything, then the fence reading
    assert [line["changes"] for line in document["setups"]][1:] == [["fence_reading"]]
    assert [(line["left"], line["right"]) for line in document["setups"]] == [(12, 12), (12, 12)]
    assert document["minutes"] == document["bound"] == 22.5


def test_several_projects_are_set_up_together() -> None:
    status, document = setups(FRAMES, KEEPSAKE, CABINET)
    assert (status, document["minutes"], document["bound"], len(document["setups"])) == (0, 111, 111, 17)
    twice = setups(FRAMES, FRAMES)[1]
    once = setups(FRAMES)[1]
    assert twice["minutes"] == once["minutes"] == 48.5
    assert [line["left"] for line in twice["setups"]] == [2 * line["left"] for line in once["setups"]]


def test_a_projects_own_minutes_are_those_of_the_machine(tmp_path: Path) -> None:
    own = frame() | {"rules": {"change_minutes": {"fence_reading": 0.1, "cutter": 0}}}
    first = written(tmp_path, "own.json", own)
    # 0 + 5 + 4 + 0.1 + 1 + 0.5, and 0.1
    assert setups(first)[1]["minutes"] == 10.7
    assert setups(written(tmp_path, "plain.json", frame()), first)[1]["minutes"] == 10.7


def test_the_sheet_to_read() -> None:
    run = dovetally("setups", CABINET)
    lines = run.stdout.decode().splitlines()
    assert (run.returncode, run.stderr) == (0, b"")
    assert [cell for cell in re.split(" {2,}", lines[1]) if cell] == [
        "1",
        "14 close-fit, 14.06 mm tip",
        "6.24 mm",
        "square, 90°",
        "18.5 mm",
        "16.5 mm",
        "20 mm",
        "8",
        "8",
        "21.5 min",
    ]
    assert "45 min of changing. No order takes less." in lines
    test = "Run the test piece of this set-up first, a left and a right, and drive a key."
    changed = [line for line in lines if line.startswith("Set-up ")]
    assert changed[0] == f"Set-up 1: Set all six values. {test}"
    # the close-fit cutter in cherry and in birch, the free-fit one in birch: three tests for nine set-ups
    tested = [number for number, line in enumerate(changed, 1) if line.endswith(test)]
    assert tested == [1, 8, 9]
    before = "The fit in cherry was tested in set-up 1 (same cutter, projection and wood). First check fence"
    assert all(before in line for line in changed[1:7])
    (plinth,) = [line for line in lines if line.startswith("  A6     plinth")]
    assert " ".join(plinth.split()) == (
        "A6 plinth A-J7 square end reference edge (front face) bottom 1: A6 1/1 1: A6 1/1"
    )
    side = next(line for line in lines if "A-J5" in line and line.startswith("  A1"))
    # 560 from the floor; the left side's inner face to the machine, its front down: the bottom lies to the left
    assert " ".join(side.split()) == (
        "A1 side A-J5 inside face to the machine line 560 mm from the bottom end, A5 above it"
        " front 1: A1 1/2 1: A1 2/2"
    )
    assert any(line.startswith("  B5, mid stile: 130 mm long, less than the 150 mm") for line in lines)


def test_in_inches_and_of_several_projects() -> None:
    text = dovetally("setups", KEEPSAKE, FRAMES).stdout.decode()
    assert "2.539 in" in text
    assert "Keepsake box, A1" in text
    assert "Botanical frame set, C1" in text


def test_no_test_joints_and_no_set_ups(tmp_path: Path) -> None:
    text = dovetally(
        "setups", written(tmp_path, "own.json", frame() | {"rules": {"test_joints": 0}})
    ).stdout.decode()
    assert text.count("a left and a right; no test key is counted (shop settings).") == 1
    run = dovetally("setups", written(tmp_path, "none.json", frame() | {"assemblies": []}))
    assert run.returncode == 0
    assert "0 min of changing. No order takes less." in run.stdout.decode()


def test_a_joint_that_cannot_be_made_ends_with_1_and_the_rest_is_set_up(tmp_path: Path) -> None:
    project = frame()
    project["assemblies"].append(
        {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}
    )
    status, document = setups(written(tmp_path, "narrow.json", project))
    assert (status, len(document["setups"])) == (1, 2)


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["{bad}"], ["assemblies[0].width: 'wide': not a length"]),
        (["{good}", "{bad}"], ["bad.json.assemblies[0].width: 'wide': not a length"]),
        (["{bad}", "{bad}"], ["bad.json.assemblies[0].width: 'wide'"] * 2),
        (["-", "-"], ["the file: '-': standard input can be read once"]),
        (["nowhere.json"], ["the file: 'nowhere.json': cannot be read"]),
    ],
)
def test_bad_input_ends_with_2_and_one_line_per_error(tmp_path: Path, names: list[str], said: list[str]) -> None:
    files = {"good": FRAMES, "bad": written(tmp_path, "bad.json", frame(width="wide"))}
    run = dovetally("setups", *(name.format(**files) for name in names))
    lines = run.stderr.decode().splitlines()
    assert (run.returncode, run.stdout) == (2, b"")
    assert len(lines) == len(said)
    assert all(line.startswith(start) for line, start in zip(lines, said, strict=True)), lines


def test_a_file_is_needed() -> None:
    run = dovetally("setups")
    assert run.returncode == 2
    assert b"usage: dovetally" in run.stderr
