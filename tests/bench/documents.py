"""A joint schedule of 200 joints, from its project, beside typst setting the same table from constant data."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from domain.lengths import Units
from domain.spec.project import read_project
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.bench.workload import project
from webapp.papers.kinds import DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.render import document_data, render
from webapp.papers.typesetting import set_document

JOINTS = 200
ROUNDS = 3


@dataclass(frozen=True)
class DocumentRatio:
    """Seconds of the whole way and of typst alone, and the joints in the schedule."""

    joints: int
    ours: float
    typst: float

    @property
    def ratio(self) -> float:
        """The whole way over typst alone."""
        return self.ours / self.typst


def measure() -> DocumentRatio:
    """The best of a few, turn about. The takeoff is at hand, as it is when a project is printed."""
    document = project(70)
    heading = Heading("Bench", "", "Bench", "1", "2026-01-01", Units.MM, datetime(2026, 1, 1, tzinfo=UTC))
    read = read_project(document)
    sections = read.sections or ()

    takeoff = take_off(read, sections, Rules())
    data = document_data(DocumentKind.SCHEDULE, read, takeoff, heading, Paper.A4, LabelChoices())

    def ours() -> None:
        render(DocumentKind.SCHEDULE, read, takeoff, heading, Paper.A4)

    def typst() -> None:
        set_document(DocumentKind.SCHEDULE.value, data, heading.stamp, ())

    rounds = [(_seconds(ours), _seconds(typst)) for _ in range(ROUNDS)]
    joints = sum(len(assembly.joints) for assembly in takeoff.assemblies)
    return DocumentRatio(joints, min(our for our, _ in rounds), min(their for _, their in rounds))


def _seconds(act: Callable[[], None]) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start
