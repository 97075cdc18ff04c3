"""``dovetally print``: a project file's documents as PDF, without a store and without the browser."""

from __future__ import annotations

import argparse
import contextlib
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from domain.problems import BadInput, Problem, Refused
from webapp.papers.kinds import DocumentKind, LabelChoices, Paper, PrintKind, QuotePaper, print_kind
from webapp.usecases.drafts import draft, heading_today, label_size, paper_called
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff

_KINDS = ", ".join(kind.command for kind in (*DocumentKind, *QuotePaper))


def add_parser(commands: Any) -> argparse.ArgumentParser:
    """The command's own parser, among the others."""
    parser: argparse.ArgumentParser = commands.add_parser("print", help="print a project file's documents as PDF")
    parser.add_argument("file", metavar="FILE", help="the project file, or - for standard input")
    parser.add_argument("kind", type=_kind, metavar="DOCUMENT", help="one of " + _KINDS)
    parser.add_argument("-o", "--output", metavar="OUT.pdf", required=True, help="the PDF to write")
    parser.add_argument("--paper", type=_paper, default=Paper.A4, help="A4 (usual) or Letter")
    parser.add_argument(
        "--label", type=_label, metavar="WIDTHxHEIGHT", help="size of part labels, such as 63x42 (mm)"
    )
    parser.add_argument("--address", help="what QR codes on labels lead to; the part's mark follows it")
    return parser


def _kind(text: str) -> PrintKind:
    try:
        return print_kind(text)
    except Refused:
        raise argparse.ArgumentTypeError(f"{text!r} is no document; there is {_KINDS}") from None


def _paper(text: str) -> Paper:
    try:
        return paper_called(text)
    except Refused as refusal:
        raise argparse.ArgumentTypeError(f"{text!r} {refusal}") from None


def _label(text: str) -> tuple[float, float]:
    try:
        return label_size(text)
    except Refused as refusal:
        raise argparse.ArgumentTypeError(f"{text!r} {refusal}") from None


def print_document(options: argparse.Namespace, project: Project, takeoff: Takeoff) -> None:
    """Write the document that was asked for. Raises BadInput where it cannot be set or written."""
    usual = LabelChoices()
    width, height = options.label or (usual.width, usual.height)
    document = draft(
        options.kind,
        project,
        takeoff,
        heading_today(project),
        options.paper,
        LabelChoices(width, height, options.address),
        label=("--label",),
    )
    write_whole(options.output, document)


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
