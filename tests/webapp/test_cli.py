"""The command line as a person or a script meets it: judged by output and status, here and as a program."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.terminal import Run, dovetally
from tests.workshop import WORKSHOP

ROOT = Path(__file__).parents[2]
Write = Callable[[object], str]


def as_a_program(*arguments: str, stdin: str = "") -> Run:
    command = [sys.executable, "-m", "webapp.terminal.cli", *arguments]
    run = subprocess.run(command, input=stdin.encode(), capture_output=True, cwd=ROOT, check=False)
    return Run(run.returncode, run.stdout, run.stderr)


def frame(**changes: Any) -> dict[str, Any]:
    stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
    assembly = {
        "kind": "mitred_frame",
        "mark": "A",
        "measure": "glass",
        "width": 400,
        "height": 300,
        "stock": stock,
    }
    return {"format": "dovetally-project", "version": 1, "name": "Frame", "assemblies": [assembly | changes]}


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def written(document: object) -> str:
        path = tmp_path / "project.json"
        path.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
        return str(path)

    return written


def test_takeoff_prints_joints_and_what_to_buy(write: Write) -> None:
    run = dovetally("takeoff", write(frame()))
    text = run.stdout.decode()
    assert run.returncode == 0
    # glass 400 + allowance 3 + 2 × (45 − 6) = 481 outside
    assert "481 mm" in text
    # 20 thick, with the demo's own keys: 13 is meant for it (15–34), an 18 goes in with its skin of 1.5
    assert "13 × 18" in text
    assert run.stderr == b""


def test_takeoff_as_json_from_standard_input() -> None:
    run = dovetally("takeoff", "-", "--json", stdin=json.dumps(frame(quantity=3)))
    document = json.loads(run.stdout)
    assert run.returncode == 0
    assert document["format"] == "dovetally-takeoff"
    assert [joint["quantity"] for joint in document["assemblies"][0]["joints"]] == [12]


def test_a_joint_that_cannot_be_made_ends_with_1_and_the_rest_is_counted(write: Write) -> None:
    project = frame()
    narrow = {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}
    project["assemblies"].append(narrow)
    run = dovetally("takeoff", write(project), "--json")
    document = json.loads(run.stdout)
    assert run.returncode == 1
    assert document["assemblies"][1]["joints"][0]["section"] is None
    assert document["keys"][0]["used"] == 8
    check = dovetally("check", write(project))
    assert check.returncode == 1
    assert check.stdout.decode().startswith("B-J1: cannot be made: ")
    told = dovetally("check", write(project), "--json")
    assert told.returncode == 1
    assert [refused["mark"] for refused in json.loads(told.stdout)["refused"]] == ["B-J1"]


@pytest.mark.parametrize(
    ("document", "lines"),
    [
        (frame(width="wide"), ["assemblies[0].width: 'wide': not a length; write a length such as"]),
        (
            frame(width=-1, hight=3),
            ["assemblies[0].width: -1: must be more than 0", "assemblies[0].hight: 3: is not a"],
        ),
        (frame(keys={"section": "99"}), ["assemblies[0].keys.section: '99': there is no such section"]),
        (frame(joints={"A-J7": {"count": 1}}), ["assemblies[0].joints.A-J7: 'A-J7': no such joint here"]),
        (frame(kind="crate"), ["assemblies[0]: "]),
        ([1, 2], ["the file: [1, 2]: must be an object with fields"]),
        ("{", ["line 1, column 2: 'the end': this is no JSON"]),
        ('{"format": 1, "format": 2}', ["the file: 'format': this field stands twice"]),
        ('{"name": NaN}', ["name: nan: write a finite number"]),
        ('{"name": "a\\u0000b"}', ["name: "]),
        ('{"name": "\\ud800"}', ["name: "]),
        ("[" * 100_000, ["the file: 'brackets': nest the values less deeply"]),
    ],
)
def test_bad_input_ends_with_2_and_one_line_per_error(write: Write, document: object, lines: list[str]) -> None:
    name = write(document)
    for command in ("takeoff", "check"):
        run = dovetally(command, name)
        said = run.stderr.decode().splitlines()
        assert run.returncode == 2
        assert run.stdout == b""
        assert len(said) == len(lines)
        assert all(line.startswith(start) for line, start in zip(said, lines, strict=True)), said


@pytest.mark.parametrize("name", ["nowhere.json", ".", "a\tb.json"])
def test_a_file_that_cannot_be_read_is_named(name: str) -> None:
    run = dovetally("check", name)
    assert run.returncode == 2
    assert len(run.stderr.decode().splitlines()) == 1
    assert "cannot be read" in run.stderr.decode()


def test_bytes_that_are_no_text_are_refused() -> None:
    run = dovetally("check", "-", stdin=b"\xff\xfe\x00{")
    assert (run.returncode, run.stdout) == (2, b"")
    assert run.stderr.decode().strip() == "the file: 'bytes': write the file as UTF-8 text"


def test_a_good_file_checks_in_one_line(write: Write) -> None:
    run = dovetally("check", write(frame()))
    assert run.returncode == 0
    assert run.stdout.decode() == "Frame: good. Assemblies: 1. Joints: 4.\n"


@pytest.mark.parametrize("arguments", [[], ["takeoff"], ["plan", "x"], ["serve", "--port", "70000"]])
def test_a_wrong_command_line_ends_with_2_and_the_usage(arguments: list[str]) -> None:
    run = dovetally(*arguments)
    assert run.returncode == 2
    assert b"usage: dovetally" in run.stderr
    assert b"Traceback" not in run.stderr


CABINET = (WORKSHOP / "hall-cabinet.json").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "stdin", "status"),
    [
        (["takeoff", "-"], CABINET, 0),
        (["takeoff", "-", "--json"], json.dumps(frame(quantity=3) | {"name": "Türen"}), 0),
        (["check", "-"], json.dumps(frame(width="wide")), 2),
        (["check", "-"], json.dumps(frame(joints={"A-J1": {"section": "99"}})), 2),
        (["setups", "-", "--json"], CABINET, 0),
        (["plan", "x"], "", 2),
    ],
    ids=["text", "json", "a length", "a section", "set-ups", "no command"],
)
def test_a_process_of_its_own_says_the_same(arguments: list[str], stdin: str, status: int) -> None:
    here, there = dovetally(*arguments, stdin=stdin), as_a_program(*arguments, stdin=stdin)
    assert here == there
    assert there.returncode == status
