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


def differences(
    typed: Mapping[str, str], stored: Mapping[str, str], labels: Mapping[str, str]
) -> tuple[Difference, ...]:
    """The fields of ``labels`` that differ, in its order."""
    return tuple(
        Difference(label, typed.get(name, ""), stored.get(name, ""))
        for name, label in labels.items()
        if typed.get(name, "") != stored.get(name, "")
    )
