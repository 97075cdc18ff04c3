"""``dovetally print`` as a person or a script meets it."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.terminal import dovetally
from webapp.papers.kinds import DocumentKind

ROOT = Path(__file__).parents[3]
FRAME: dict[str, Any] = {
    "kind": "mitred_frame",
    "mark": "A",
    "measure": "outside",
    "width": 400,
    "height": 300,
    "stock": {"width": 45, "thickness": 20},
}
NARROW = {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}


@dataclass(frozen=True)
class Printed:
    returncode: int
    stdout: str
    stderr: str


def print_(
    tmp_path: Path, *arguments: str, name: str = "Frame", assemblies: tuple[Any, ...] = (FRAME,)
) -> Printed:
    document = {"format": "dovetally-project", "version": 1, "name": name, "assemblies": assemblies}
    file = tmp_path / "project.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    run = dovetally("print", str(file), *arguments)
    return Printed(run.returncode, run.stdout.decode(), run.stderr.decode())


def left_over(tmp_path: Path) -> set[str]:
    return {path.name for path in tmp_path.iterdir()} - {"project.json"}


@pytest.mark.parametrize(
    "kind",
    [*map(str, DocumentKind), "parts"],
)
def test_it_writes_the_document_and_nothing_else(tmp_path: Path, kind: str) -> None:
    out = tmp_path / "out.pdf"
    run = print_(tmp_path, kind, "-o", str(out), "--paper", "letter")
    assert (run.returncode, run.stdout, run.stderr) == (0, "", "")
    assert left_over(tmp_path) == {"out.pdf"}
    box = PdfReader(out).pages[0].mediabox
    assert sorted((float(box.width), float(box.height))) == pytest.approx([612, 792], abs=0.01)


def test_a_joint_that_cannot_be_made_ends_with_1_and_the_paper_is_written(tmp_path: Path) -> None:
    run = print_(tmp_path, "schedule", "-o", str(tmp_path / "out.pdf"), assemblies=(FRAME, NARROW))
    assert run.returncode == 1
    pages = PdfReader(tmp_path / "out.pdf").pages
    assert any("Cannot be made" in page.extract_text() for page in pages)


def test_a_letter_without_a_glyph_ends_with_2_and_leaves_what_was_there(tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    out.write_bytes(b"the last print")
    run = print_(tmp_path, "keys", "-o", str(out), name="漆")
    assert run.returncode == 2
    assert "'漆': the letter 漆 (U+6F06) is not in the font" in run.stderr
    assert len(run.stderr.splitlines()) == 1
    assert out.read_bytes() == b"the last print"
    assert left_over(tmp_path) == {"out.pdf"}


@pytest.mark.parametrize("place", ["nowhere/out.pdf", ".", "project.json/out.pdf"])
def test_a_place_that_cannot_be_written_is_named(tmp_path: Path, place: str) -> None:
    run = print_(tmp_path, "keys", "-o", str(tmp_path / place))
    assert run.returncode == 2
    assert len(run.stderr.splitlines()) == 1
    assert run.stderr.startswith("-o: ")
    assert "cannot be written: " in run.stderr
    assert left_over(tmp_path) == set()


def test_labels_have_the_size_that_was_asked_for(tmp_path: Path) -> None:
    small, large = tmp_path / "small.pdf", tmp_path / "large.pdf"
    assert print_(tmp_path, "labels", "-o", str(small), "--label", "50x28").returncode == 0
    assert print_(tmp_path, "labels", "-o", str(large), "--label", "190×270").returncode == 0
    assert (len(PdfReader(small).pages), len(PdfReader(large).pages)) == (1, 4)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["labels", "--label", "20x10"], "--label: '20x10': A label of 20 × 10 mm does not do on A4"),
        (["labels", "--label", "wide"], "'wide' is no label size; write it as 63x42"),
        (["keys", "--paper", "A5"], "'A5' is no paper here; there is A4 and Letter"),
        (
            ["plans"],
            "'plans' is no document; there is schedule, setups, setting-out, assembly,"
            " parts, cutting, keys, labels, strips",
        ),
    ],
)
def test_what_cannot_be_printed_is_said(tmp_path: Path, arguments: list[str], said: str) -> None:
    run = print_(tmp_path, *arguments, "-o", str(tmp_path / "out.pdf"))
    assert run.returncode == 2
    assert said in run.stderr
    assert "Traceback" not in run.stderr
    assert left_over(tmp_path) == set()


def test_a_bad_project_prints_nothing(tmp_path: Path) -> None:
    run = print_(tmp_path, "keys", "-o", str(tmp_path / "out.pdf"), assemblies=(FRAME | {"width": "wide"},))
    assert run.returncode == 2
    assert run.stderr.startswith("assemblies[0].width: 'wide'")
    assert left_over(tmp_path) == set()


def test_other_commands_start_without_the_typesetter() -> None:
    code = (
        "import sys, webapp.terminal.cli;"
        " print({'typst', 'segno', 'jinja2', 'webapp.papers.render'} & {*sys.modules})"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True)
    assert run.stdout.strip() == b"set()"


def test_a_process_of_its_own_prints_the_same(tmp_path: Path) -> None:
    here, there = tmp_path / "here.pdf", tmp_path / "there.pdf"
    assert print_(tmp_path, "keys", "-o", str(here)).returncode == 0
    command = [sys.executable, "-m", "webapp.terminal.cli", "print", str(tmp_path / "project.json"), "keys"]
    run = subprocess.run([*command, "-o", str(there)], cwd=ROOT, check=False, capture_output=True)
    assert (run.returncode, run.stdout, run.stderr) == (0, b"", b"")
    assert PdfReader(there).pages[0].extract_text() == PdfReader(here).pages[0].extract_text()
