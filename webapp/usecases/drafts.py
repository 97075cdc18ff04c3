"""A project file's documents as PDF, as drafts of the day, without a store: the API and the command line."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from domain.lengths import LengthError, Units, parse_length
from domain.problems import BadInput, Path, Refused
from webapp.papers.kinds import Heading, LabelChoices, LabelSizeError, Paper, PrintKind, QuotePaper
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff

DRAFT = "draft"


def usual_paper(units: Units) -> Paper:
    """What a shop that works in these units has in its printer."""
    return Paper.A4 if units is Units.MM else Paper.LETTER


def paper_called(name: str) -> Paper:
    """The paper of that name, in large letters or small. Raises Refused."""
    for paper in Paper:
        if paper.label.lower() == name.lower():
            return paper
    raise Refused(InputProblem.NO_SUCH_PAPER)


def label_size(text: str) -> tuple[float, float]:
    """A label's width and height in mm, written as 63x42. Raises Refused."""
    width, _, height = text.lower().replace("×", "x").partition("x")
    try:
        return parse_length(width).mm, parse_length(height).mm
    except LengthError:
        raise Refused(InputProblem.NOT_A_LABEL_SIZE) from None


def draft(
    kind: PrintKind,
    project: Project,
    takeoff: Takeoff,
    heading: Heading,
    paper: Paper,
    labels: LabelChoices,
    *,
    label: Path = ("label",),
) -> bytes:
    """The document as PDF; ``label`` is the place of the label's size.

    Raises BadInput for a letter that the documents' font lacks, a label that cannot be, and what a quote lacks.
    """
    # a compiler of documents is no part of a cold start
    from webapp.papers.kinds import LabelTooSmall
    from webapp.papers.render import quote_of_file, render

    if isinstance(kind, QuotePaper):
        return quote_of_file(kind, project, takeoff, heading, paper)

    try:
        return render(kind, project, takeoff, heading, paper, labels)
    except (LabelSizeError, LabelTooSmall) as refusal:
        size = f"{labels.width:g}x{labels.height:g}"
        raise BadInput([refusal.at(label, size)]) from None


def heading_today(project: Project, shop: str = "") -> Heading:
    """A draft's title block; its moment is the day's beginning, so that a day's drafts are the same."""
    today = date.today()
    return Heading(
        project=project.name,
        customer=project.customer or "",
        shop=shop,
        revision=DRAFT,
        date=today.isoformat(),
        units=project.units,
        stamp=datetime.combine(today, time(), UTC),
    )
