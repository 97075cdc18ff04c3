"""``dovetally print``: a project file's documents as PDF, without a store and without the browser."""

from __future__ import annotations

import argparse
import contextlib
import os
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from domain.lengths import LengthError, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from webapp.papers.kinds import DocumentKind, Heading, Paper
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff
    from webapp.papers.label_sheets import LabelChoices

ISSUE = "draft"


def add_parser(commands: Any) -> argparse.ArgumentParser:
    """The command's own parser, among the others."""
    parser: argparse.ArgumentParser = commands.add_parser("print", help="print a project file's documents as PDF")
    parser.add_argument("file", metavar="FILE", help="the project file, or - for standard input")
    parser.add_argument("kind", type=_kind, metavar="DOCUMENT", help="one of " + ", ".join(DocumentKind))
    parser.add_argument("-o", "--output", metavar="OUT.pdf", required=True, help="the PDF to write")
    parser.add_argument("--paper", type=_paper, default=Paper.A4, help="A4 (usual) or Letter")
    parser.add_argument(
        "--label", type=_label, metavar="WIDTHxHEIGHT", help="size of part labels, such as 63x42 (mm)"
    )
    parser.add_argument("--address", help="what QR codes on labels lead to; the part's mark follows it")
    return parser


def _kind(text: str) -> DocumentKind:
    try:
        return DocumentKind(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no document; there is {', '.join(DocumentKind)}") from None


def _paper(text: str) -> Paper:
    for paper in Paper:
        if paper.label.lower() == text.lower():
            return paper
    raise argparse.ArgumentTypeError(f"{text!r} is no paper here; there is A4 and Letter")


def _label(text: str) -> tuple[float, float]:
    width, _, height = text.lower().replace("×", "x").partition("x")
    try:
        return parse_length(width).mm, parse_length(height).mm
    except LengthError:
        raise argparse.ArgumentTypeError(f"{text!r} is no label size; write it as 63x42") from None


def print_document(options: argparse.Namespace, project: Project, takeoff: Takeoff) -> None:
    """Write the document that was asked for. Raises BadInput where it cannot be set or written."""
    from webapp.papers.label_sheets import LabelSizeError
    from webapp.papers.render import render
    from webapp.papers.setting import LabelTooSmall, UnprintableText

    try:
        document = render(
            options.kind, project, takeoff, heading_today(project), options.paper, label_choices(options)
        )
    except UnprintableText as refusal:
        raise BadInput(
            [Problem.of((options.file,), refusal.text, ProblemCode.AS_TOLD, told_text=refusal.remedy)]
        ) from None
    except (LabelSizeError, LabelTooSmall) as refusal:
        raise BadInput(
            [Problem.of(("--label",), label_text(options), ProblemCode.AS_TOLD, told_text=str(refusal))]
        ) from None
    write_whole(options.output, document)


def label_choices(options: argparse.Namespace) -> LabelChoices:
    """The label's size and address that were asked for, or the usual ones."""
    from webapp.papers.label_sheets import LabelChoices

    usual = LabelChoices()
    width, height = options.label or (usual.width, usual.height)
    return LabelChoices(width, height, options.address)


def label_text(options: argparse.Namespace) -> str:
    """The label's size as one writes it."""
    choices = label_choices(options)
    return f"{choices.width:g}x{choices.height:g}"


def heading_today(project: Project) -> Heading:
    """A draft's title block; its moment is the day's beginning, so that a day's drafts are the same."""
    today = date.today()
    return Heading(
        project=project.name,
        customer=project.customer or "",
        shop="",
        issue=ISSUE,
        date=today.isoformat(),
        units=project.units,
        stamp=datetime.combine(today, time(), UTC),
    )


def write_whole(name: str, document: bytes) -> None:
    """Write a file whole or not at all: beside it first, then in its place. Raises BadInput."""
    path = Path(name)
    if path.is_dir():
        raise _unwritten(name, "it is a folder; name a file in it")
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with beside.open("xb") as file:
            file.write(document)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except (OSError, ValueError) as error:
        with contextlib.suppress(OSError, ValueError):
            beside.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or str(error)
        raise _unwritten(name, reason.lower()) from None


def _unwritten(name: str, reason: str) -> BadInput:
    return BadInput([Problem.of(("-o",), name, InputProblem.CANNOT_WRITE, reason_text=reason)])
