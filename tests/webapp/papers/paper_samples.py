"""Projects to print, and how printed paper is read back: words with poppler, lines with pypdf."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from io import BytesIO
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from domain.spec.project import Project
from domain.takeoff.takeoff import Takeoff
from tests.workshop import WORKSHOP
from webapp.papers.kinds import DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.render import render
from webapp.usecases.files import plan_document

DEMOS = ("frame-set", "hall-cabinet", "keepsake-box")
POINT = 25.4 / 72
"""A PDF point in mm: 1/72 inch (ISO 32000-1, 8.3.2.3)."""
SIDES = ("xMin", "yMin", "xMax", "yMax")
STAMP = datetime(2026, 3, 2, tzinfo=UTC)
Planned = tuple[Project, Takeoff]


def pdftotext() -> str:
    found = shutil.which("pdftotext")
    if found is None:
        reason = "there is no pdftotext on this computer (Debian's poppler-utils)"
        if os.environ.get("DOVETALLY_POPPLER_REQUIRED"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@cache
def demo(name: str) -> Planned:
    return plan_document(json.loads((WORKSHOP / f"{name}.json").read_text(encoding="utf-8")))


def project(*assemblies: dict[str, Any], **fields: Any) -> Planned:
    document = {"format": "dovetally-project", "version": 1, "name": "Trial"} | fields
    return plan_document(document | {"assemblies": list(assemblies)})


def heading(planned: Planned, **changes: Any) -> Heading:
    fields: dict[str, Any] = {
        "project": planned[0].name,
        "customer": planned[0].customer or "",
        "shop": "Fernhollow Joinery",
        "revision": "7",
        "date": "2026-03-02",
        "units": planned[0].units,
        "stamp": STAMP,
    }
    return Heading(**(fields | changes))


def set_anew(
    kind: DocumentKind,
    planned: Planned,
    paper: Paper = Paper.A4,
    labels: LabelChoices | None = None,
    **changes: Any,
) -> bytes:
    return render(kind, *planned, heading(planned, **changes), paper, labels)


_set: dict[Any, tuple[Planned, bytes]] = {}
"""Documents beside what they were set from: while that is held, nothing else has its identity."""


def printed(
    kind: DocumentKind,
    planned: Planned,
    paper: Paper = Paper.A4,
    labels: LabelChoices | None = None,
    **changes: Any,
) -> bytes:
    """The document, to be read only: many tests read the same one, and it is set once."""
    key = (kind, id(planned), paper, labels, *sorted(changes.items()))
    if key not in _set:
        _set[key] = planned, set_anew(kind, planned, paper, labels, **changes)
    return _set[key][1]


@cache
def text_of(document: bytes) -> str:
    """All words, a space between each, without the marks that poppler puts round right-to-left text."""
    run = subprocess.run([pdftotext(), "-q", "-", "-"], input=document, capture_output=True, check=True)
    return " ".join(re.sub("[\u202a-\u202e\u2066-\u2069]", "", run.stdout.decode()).split())


@dataclass(frozen=True)
class Word:
    """A word and where it stands, in mm from the page's upper left corner."""

    page: int
    left: float
    top: float
    right: float
    low: float
    text: str


def sides_of(word: ET.Element) -> tuple[float, float, float, float]:
    left, top, right, bottom = (float(word.attrib[side]) * POINT for side in ("xMin", "yMin", "xMax", "yMax"))
    return left, top, right, bottom


def pages_of(document: bytes) -> list[str]:
    """The words of every page; poppler ends a page with a form feed."""
    run = subprocess.run([pdftotext(), "-q", "-", "-"], input=document, capture_output=True, check=True)
    return [" ".join(page.split()) for page in run.stdout.decode().split("\f")[:-1]]


@cache
def words_of(document: bytes) -> list[Word]:
    run = subprocess.run([pdftotext(), "-q", "-bbox", "-", "-"], input=document, capture_output=True, check=True)
    root = ET.fromstring(run.stdout)
    space = "{http://www.w3.org/1999/xhtml}"
    return [
        Word(number, *sides_of(word), word.text or "")
        for number, page in enumerate(root.iter(f"{space}page"))
        for word in page.iter(f"{space}word")
    ]


@dataclass(frozen=True)
class Stroke:
    """A straight line as the PDF draws it: mm from the page's upper left corner, weight in points."""

    page: int
    start: tuple[float, float]
    end: tuple[float, float]
    weight: float
    dashed: bool

    @property
    def upright(self) -> bool:
        return abs(self.start[0] - self.end[0]) < 1e-3

    @property
    def length(self) -> float:
        return float(((self.start[0] - self.end[0]) ** 2 + (self.start[1] - self.end[1]) ** 2) ** 0.5)


Matrix = tuple[float, float, float, float, float, float]


def strokes_of(document: bytes) -> list[Stroke]:
    """Every stroked line of two points, from the page's own drawing operators (ISO 32000-1, 8.5)."""
    reader = PdfReader(BytesIO(document))
    return [stroke for number in range(len(reader.pages)) for stroke in _strokes(reader, number)]


def _strokes(reader: PdfReader, number: int) -> Iterator[Stroke]:
    page = reader.pages[number]
    height = float(page.mediabox.height)
    matrix: Matrix = (1, 0, 0, 1, 0, 0)
    weight, dashed = 1.0, False
    kept: list[tuple[Matrix, float, bool]] = []
    path: list[tuple[float, float]] = []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        match operator:
            case b"q":
                kept.append((matrix, weight, dashed))
            case b"Q":
                matrix, weight, dashed = kept.pop()
            case b"cm":
                matrix = _times(tuple(map(float, operands)), matrix)
            case b"w":
                weight = float(operands[0])
            case b"d":
                dashed = bool(operands[0])
            case b"m" | b"l":
                x, y = map(float, operands)
                path.append((x * matrix[0] + y * matrix[2] + matrix[4], x * matrix[1] + y * matrix[3] + matrix[5]))
            case b"S":
                if len(path) == 2:
                    start, end = (((x * POINT), (height - y) * POINT) for x, y in path)
                    yield Stroke(number, start, end, weight, dashed)
                path = []
            case b"n" | b"f" | b"f*" | b"B" | b"B*" | b"s":
                path = []


def _times(one: Any, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def size_of(document: bytes) -> set[tuple[float, float]]:
    """Every page's width and height in mm."""
    pages = PdfReader(BytesIO(document)).pages
    return {(float(page.mediabox.width) * POINT, float(page.mediabox.height) * POINT) for page in pages}
