"""Which documents there are, on what paper and what labels, and what stands in their title block."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from enum import Enum, StrEnum

from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.trials.calibration import Corrections
from webapp.wording.problems import InputProblem


class DocumentKind(StrEnum):
    """The documents that can be printed; the value is their name in commands, addresses and what is issued.

    The parts list answers to "parts" too, as it is called; "members" is what issued revisions know it by.
    """

    SCHEDULE = "schedule"
    SET_UPS = "setups"
    SETTING_OUT = "setting-out"
    ASSEMBLY = "assembly"
    MEMBERS = "members"
    CUTTING = "cutting"
    KEYS = "keys"
    LABELS = "labels"
    STRIPS = "strips"
    MOVEMENT = "movement"

    @classmethod
    def _missing_(cls, value: object) -> DocumentKind | None:
        return cls.MEMBERS if value == "parts" else None

    @property
    def command(self) -> str:
        """What a command calls it."""
        return "parts" if self is DocumentKind.MEMBERS else self.value

    @property
    def heading(self) -> str:
        """What stands at the top of it."""
        return _TITLES[self]


_TITLES = {
    DocumentKind.SCHEDULE: "Joint schedule",
    DocumentKind.SET_UPS: "Set-up sheet",
    DocumentKind.SETTING_OUT: "Setting-out sheet",
    DocumentKind.ASSEMBLY: "Assembly sheet",
    DocumentKind.MEMBERS: "Parts list",
    DocumentKind.CUTTING: "Cutting plan",
    DocumentKind.KEYS: "Keys to buy",
    DocumentKind.LABELS: "Part labels",
    DocumentKind.STRIPS: "Marking strips",
    DocumentKind.MOVEMENT: "Climate and movement",
}


ISSUED = tuple(kind for kind in DocumentKind if kind not in {DocumentKind.CUTTING, DocumentKind.MOVEMENT})
"""The documents of a revision. A cutting plan is none: it is of the stock of one day; nor is how the wood moves:
what is to be done about it stands on the schedule."""


class QuotePaper(StrEnum):
    """The papers of a quote: the customer's, and the shop's own reckoning of it."""

    QUOTE = "quote"
    RECKONING = "reckoning"

    @property
    def command(self) -> str:
        """What a command calls it."""
        return self.value

    @property
    def heading(self) -> str:
        """What it is called."""
        return {QuotePaper.QUOTE: "Quote", QuotePaper.RECKONING: "Reckoning of the quote"}[self]


PrintKind = DocumentKind | QuotePaper
"""All that can be printed of a project."""


def print_kind(name: str) -> PrintKind:
    """What is called so. Raises Refused with every name that there is."""
    for kinds in (QuotePaper, DocumentKind):
        with suppress(ValueError):
            return kinds(name)
    words = ", ".join(kind.command for kind in (*DocumentKind, *QuotePaper))
    raise Refused(ProblemCode.NOT_AMONG, words_text=words)


class Paper(Enum):
    """A paper size: its name, typst's name for it, and its width and height upright, in mm.

    A4: ISO 216. Letter: ANSI/ASME Y14.1 size A, 8.5 by 11 inches.
    """

    A4 = ("A4", "a4", 210.0, 297.0)
    LETTER = ("Letter", "us-letter", 215.9, 279.4)

    def __init__(self, label: str, typst: str, width: float, height: float) -> None:
        self.label = label
        self.typst = typst
        self.width = width
        self.height = height


PAPERS = {paper.label: paper for paper in Paper}
"""Every paper by the label under which documents are issued on it."""


@dataclass(frozen=True, slots=True)
class Heading:
    """The title block. ``revision`` is its number or "draft", ``date`` is set as it stands.

    ``stamp`` is the moment written into the PDF; it must know its time zone. ``customer`` and ``shop``
    may be empty. ``corrections`` are what the machine's scales are out by on that day.
    """

    project: str
    customer: str
    shop: str
    revision: str
    date: str
    units: Units
    stamp: datetime
    corrections: Corrections | None = None


@dataclass(frozen=True, slots=True)
class Letterhead:
    """Whose quote it is, to whom, and until when it holds; ``number`` is "" for a draft.

    ``work`` says what is made, assembly by assembly. Days are set as they stand; the PDF carries ``stamp``.
    """

    project: str
    customer: str
    address: tuple[str, ...]
    shop: str
    shop_address: tuple[str, ...]
    number: str
    date: str
    valid_until: str
    units: Units
    stamp: datetime
    work: tuple[str, ...] = ()
    note: tuple[str, ...] = ()
    closing: tuple[str, ...] = ()


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


class LabelTooSmall(Refused):
    """A label without room for what must stand on it, of the part of that mark."""

    def __init__(self, mark: str) -> None:
        super().__init__(InputProblem.LABEL_WITHOUT_ROOM, mark_text=mark)
