"""What somebody else changed while a form was open, for its editor to compare."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that stands differently in the form and in the store, both as text."""

    label: str
    typed: str
    stored: str


def differences(typed: Mapping[str, str], stored: Mapping[str, str]) -> tuple[Difference, ...]:
    """Where the texts, both by label, differ; in the order of what is stored."""
    return tuple(
        Difference(label, typed.get(label, ""), text)
        for label, text in stored.items()
        if typed.get(label, "").strip() != text.strip()
    )
