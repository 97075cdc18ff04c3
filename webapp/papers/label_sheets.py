"""Label sheets of one's own: the user gives a label's width and height, the sheet follows.

Columns and rows are as many as fit the paper inside its margin, and stand in the middle of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from domain.problems import Refused
from webapp.papers.kinds import Paper
from webapp.wording.problems import InputProblem

LEAST_WIDTH, LEAST_HEIGHT = 50.0, 28.0
MARGIN = 10.0
"""Paper (mm) that is left free round the labels: printers do not reach the edge, and the foot stands there."""


class LabelSizeError(Refused):
    """A label (mm) that no sheet of the paper can carry."""

    def __init__(self, width: float, height: float, paper: Paper) -> None:
        super().__init__(
            InputProblem.LABEL_OFF_PAPER,
            width_bare=width,
            height=height,
            paper_text=paper.label,
            least_width_bare=LEAST_WIDTH,
            least_height_bare=LEAST_HEIGHT,
            most_width_bare=paper.width - 2 * MARGIN,
            most_height=paper.height - 2 * MARGIN,
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
