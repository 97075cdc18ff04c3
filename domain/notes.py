"""What the program has to say about a joint or an assembly: a code with its figures, worded late.

A note holds lengths in millimetres; ``note.text(units)`` words it in the project's units. So the same
note reads "16.5 mm" on one page and "21/32 in" on another, and tests compare codes, not sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Units, format_length


class NoteCode(StrEnum):
    """Every note there is, with its sentence. ``{name}`` is a length unless it ends in ``_n`` or ``_text``."""

    # the fuller list is kept in order of appearance: face, section, layout, depth, cutter, counting
    sentence: str

    def __new__(cls, value: str, sentence: str) -> NoteCode:
        """An enum member whose value is its code and whose sentence comes along."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.sentence = sentence
        return member

    TOO_NARROW = (
        "too_narrow",
        "{section_text} key: the slot needs {needed} of wood across the stock, {available} is clear",
    )


@dataclass(frozen=True, slots=True)
class Note:
    """One note: its code and its figures (lengths in mm, ``_n`` plain numbers, ``_text`` words)."""

    code: NoteCode
    figures: tuple[tuple[str, float | str], ...] = ()

    @classmethod
    def of(cls, code: NoteCode, **figures: float | str) -> Note:
        """A note with its figures by name."""
        return cls(code, tuple(figures.items()))

    def text(self, units: Units = Units.MM) -> str:
        """The note as a sentence, lengths in ``units``."""
        return self.code.sentence.format(**{name: _word(name, value, units) for name, value in self.figures})


def _word(name: str, value: float | str, units: Units) -> str:
    if isinstance(value, str):
        return value
    return f"{value:g}" if name.endswith("_n") else format_length(value, units)
