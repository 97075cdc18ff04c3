"""Backups in words, once for page and terminal: why one was made, how much there is in it, when, how large."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

WHY = {"hand": "by hand", "daily": "of the day", "restore": "before a restore"}
"""Why a backup was made, by the word in its name."""

COUNTED = (
    ("project", "Projects"),
    ("assembly", "Assemblies"),
    ("revision", "Issued revisions"),
    ("revision_document", "Issued papers"),
    ("quote", "Issued quotes"),
    ("section", "Key sections"),
    ("plug", "Plugs"),
    ("item", "Items in the stockroom"),
    ("movement", "Entries of the ledger"),
    ("supplier", "Suppliers"),
    ("offer", "Offers"),
    ("placed_order", "Orders"),
    ("trial", "Test pieces"),
    ("accepted_start", "Accepted starts"),
    ("calibration", "Calibrations"),
    ("tick", "Ticks"),
)
"""What is counted of a shop, by its table."""


def counted(counts: Mapping[str, int]) -> tuple[tuple[str, int], ...]:
    """What there is, each with its name; what cannot be counted is left out."""
    return tuple((words, counts[table]) for table, words in COUNTED if table in counts)


def compared(there: Mapping[str, int], here: Mapping[str, int]) -> tuple[tuple[str, str, str], ...]:
    """The same of two shops side by side."""
    return tuple(
        (words, str(there.get(table, "–")), str(here.get(table, "–")))
        for table, words in COUNTED
        if table in there
    )


def moment_words(moment: datetime) -> str:
    """A moment as the shop's clock shows it: 2026-02-28 07:05."""
    return f"{moment.astimezone():%Y-%m-%d %H:%M}"


def size_words(size: int) -> str:
    """How large a file is.

    >>> size_words(258_048), size_words(12_345_678)
    ('258 kB', '12.3 MB')
    """
    return f"{size / 1_000_000:.1f} MB" if size >= 1_000_000 else f"{size / 1_000:.0f} kB"
