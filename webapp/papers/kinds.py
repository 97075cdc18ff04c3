"""Which documents there are, on what paper, and what stands in their title block."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum, StrEnum

from domain.lengths import Units
from domain.trials.calibration import Corrections


class DocumentKind(StrEnum):
    """The documents that can be printed; the value is their name on the command line."""

    SCHEDULE = "schedule"
    SET_UPS = "setups"
    MEMBERS = "members"
    KEYS = "keys"
    LABELS = "labels"
    STRIPS = "strips"

    @property
    def heading(self) -> str:
        """What stands at the top of it."""
        return _TITLES[self]


_TITLES = {
    DocumentKind.SCHEDULE: "Joint schedule",
    DocumentKind.SET_UPS: "Set-up sheet",
    DocumentKind.MEMBERS: "Member list",
    DocumentKind.KEYS: "Keys to buy",
    DocumentKind.LABELS: "Part labels",
    DocumentKind.STRIPS: "Marking strips",
}


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
