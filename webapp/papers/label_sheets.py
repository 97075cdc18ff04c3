"""Label sheets of one's own: the user gives a label's width and height, the sheet follows.

Columns and rows are as many as fit the paper inside its margin, and stand in the middle of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import format_mm
from webapp.papers.kinds import Paper

LEAST_WIDTH, LEAST_HEIGHT = 50.0, 28.0
MARGIN = 10.0
"""Paper (mm) that is left free round the labels: printers do not reach the edge, and the foot stands there."""


class LabelSizeError(ValueError):
    """A label that no sheet can carry: its size in mm, and the paper."""

    def __init__(self, width: float, height: float, paper: Paper) -> None:
        self.width = width
        self.height = height
        self.paper = paper
        most = f"{format_mm(paper.width - 2 * MARGIN)} × {format_mm(paper.height - 2 * MARGIN)}"
        super().__init__(
            f"A label of {width:g} × {height:g} mm does not do on {paper.label}: it must be at least"
            f" {LEAST_WIDTH:g} × {LEAST_HEIGHT:g} and at most {most} mm."
        )


@dataclass(frozen=True, slots=True)
class LabelChoices:
    """A label's width and height in mm, and the address that QR codes lead to, the part's mark after it.

    Without an address a QR code says "dovetally:PROJECT/MARK".
    """

    width: float = 63.0
    height: float = 42.0
    address: str | None = None


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """How labels lie on the paper: columns, rows, and the margins (mm) left and above them."""

    columns: int
    rows: int
    left: float
    top: float


def label_sheet(paper: Paper, width: float, height: float) -> LabelSheet:
    """The sheet for a label of this size (mm). Raises LabelSizeError.

    >>> label_sheet(Paper.A4, 63, 42)
    LabelSheet(columns=3, rows=6, left=10.5, top=22.5)
    """
    wide, high = paper.width - 2 * MARGIN, paper.height - 2 * MARGIN
    if not (LEAST_WIDTH <= width <= wide and LEAST_HEIGHT <= height <= high):
        raise LabelSizeError(width, height, paper)
    columns, rows = int(wide / width + 1e-9), int(high / height + 1e-9)
    return LabelSheet(
        columns, rows, round((paper.width - columns * width) / 2, 3), round((paper.height - rows * height) / 2, 3)
    )
