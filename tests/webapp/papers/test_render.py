"""Every document's frame: paper, title block, pages, the archive standard, and the same bytes each time."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterable
from io import BytesIO
from itertools import cycle, product
from math import ceil
from pathlib import Path

import pytest
from pypdf import PdfReader

from domain.lengths import Units, format_inches, format_mm
from tests.torture import torture
from tests.webapp.papers.paper_samples import (
    DEMOS,
    POINT,
    demo,
    pages_of,
    printed,
    set_anew,
    size_of,
    text_of,
    words_of,
)
from webapp.papers.kinds import DocumentKind, Paper

ROOT = Path(__file__).parents[3]
# ISO 216 and ANSI/ASME Y14.1, in mm
UPRIGHT = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
ON_ITS_SIDE = {DocumentKind.SCHEDULE, DocumentKind.STRIPS}
HASHES = """
import hashlib, json
from tests.webapp.papers.paper_samples import demo, printed
from webapp.papers.kinds import DocumentKind
every = [("keepsake-box", kind) for kind in DocumentKind] + [("hall-cabinet", DocumentKind.SCHEDULE)]
print(json.dumps([hashlib.sha256(printed(kind, demo(name))).hexdigest() for name, kind in every]))
"""


def whole(document: bytes) -> PdfReader:
    return PdfReader(BytesIO(document))


SEEDS, ZONES = ("0", "1", "4321"), ("UTC", "Pacific/Auckland")


def same_bytes(ways: Iterable[tuple[str, str]]) -> None:
    """Set every kind in a process of its own with each hash seed and time zone."""
    found = set()
    for seed, zone in ways:
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone}
        run = subprocess.run(
            [sys.executable, "-c", HASHES], cwd=ROOT, env=environment, capture_output=True, check=True
        )
        found.add(run.stdout)
    assert len(found) == 1
    assert len(set(json.loads(found.pop()))) == len(DocumentKind) + 1


def test_the_same_input_gives_the_same_bytes() -> None:
    same_bytes(zip(SEEDS, cycle(ZONES), strict=False))


@torture
def test_the_same_input_gives_the_same_bytes_whichever_the_seed_in_whichever_zone() -> None:
    same_bytes(product(SEEDS, ZONES))


def test_another_moment_is_another_document() -> None:
    one = set_anew(DocumentKind.KEYS, demo("frame-set"))
    assert one == set_anew(DocumentKind.KEYS, demo("frame-set"))
    assert one != printed(DocumentKind.KEYS, demo("frame-set"), revision="8")
    assert whole(one).metadata is not None
    assert str(whole(one).metadata.creation_date).startswith("2026-03-02 00:00:00")  # type: ignore[union-attr]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("kind", DocumentKind)
def test_the_paper_is_the_one_that_was_asked_for(kind: DocumentKind, paper: Paper) -> None:
    width, height = UPRIGHT[paper]
    wanted = (height, width) if kind in ON_ITS_SIDE else (width, height)
    (size,) = size_of(printed(kind, demo("keepsake-box"), paper))
    assert size == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("kind", DocumentKind)
def test_every_page_says_what_it_belongs_to_and_its_number(kind: DocumentKind, paper: Paper) -> None:
    document = printed(kind, demo("hall-cabinet"), paper)
    pages = len(whole(document).pages)
    for number, foot in enumerate(pages_of(document), 1):
        assert f"page {number} of {pages}" in foot
        assert f"{kind.heading} · Hall cabinet · revision 7 · 2026-03-02 · millimetres" in foot


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("kind", DocumentKind)
@pytest.mark.parametrize("name", DEMOS)
def test_nothing_stands_outside_the_paper(name: str, kind: DocumentKind, paper: Paper) -> None:
    document = printed(kind, demo(name), paper)
    ((width, height),) = size_of(document)
    for word in words_of(document):
        assert word.left > 4
        assert word.top > 4
        assert word.right < width - 4
        assert word.low < height - 4


def test_the_title_block_has_everything() -> None:
    for kind in set(DocumentKind) - {DocumentKind.LABELS}:
        text = text_of(printed(kind, demo("keepsake-box"), revision="12"))
        for words in (
            kind.heading,
            "Keepsake box",
            "Ilse Brandt",
            "Fernhollow Joinery",
            "12",
            "2026-03-02",
            "inches",
        ):
            assert words in text, kind


@pytest.mark.parametrize("kind", DocumentKind)
def test_documents_are_for_the_archive_and_carry_their_fonts(kind: DocumentKind) -> None:
    document = printed(kind, demo("frame-set"))
    # PDF/A-2b as its own metadata claims it (ISO 19005-2, 6.6.4)
    assert b"<pdfaid:part>2</pdfaid:part>" in document
    assert b"<pdfaid:conformance>B</pdfaid:conformance>" in document
    fonts = {
        str(font.get_object()["/BaseFont"]).split("+")[-1]
        for page in whole(document).pages
        for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
    }
    assert fonts <= {"DejaVuSans", "DejaVuSans-Bold"}


@pytest.mark.parametrize("name", DEMOS)
def test_members_are_listed_with_their_sizes_in_the_project_s_units(name: str) -> None:
    project, takeoff = demo(name)
    text = text_of(printed(DocumentKind.MEMBERS, demo(name)))
    for assembly in takeoff.assemblies:
        for part in assembly.expansion.parts:
            for mm in (part.length, part.width, part.thickness):
                assert (format_mm(mm, 2) if project.units is Units.MM else format_inches(mm)) in text
            assert part.name in text
            assert part.mark in text.split()
        for member in assembly.expansion.members:
            if member.short_length is not None:
                short = format_mm(member.short_length, 2)
                assert (short if project.units is Units.MM else format_inches(member.short_length)) in text


@pytest.mark.parametrize("name", DEMOS)
def test_keys_are_counted_line_by_line(name: str) -> None:
    totals = demo(name)[1].totals
    words = words_of(printed(DocumentKind.KEYS, demo(name)))
    lines: dict[int, list[str]] = {}
    for word in sorted(words, key=lambda word: word.left):
        lines.setdefault(round(word.top / POINT / 2), []).append(word.text)
    rows = [" ".join(line) for line in lines.values()]
    for key in totals.keys:
        assert f"{key.item} {key.used} {key.tests} {key.spare} {key.total}" in rows
    for plug in totals.plugs:
        ends = f"{plug.used} {plug.spare} {plug.total}"
        assert any(row.startswith(plug.material) and row.endswith(ends) for row in rows)
    assert f"{ceil(totals.glue_grams)} g" in rows
    text = text_of(printed(DocumentKind.KEYS, demo(name)))
    assert "Tests: 1 test joint for every cutter, projection and wood" in text
    assert "Spare: 5 % of what is used, rounded up" in text
