"""How anything that the domain has to say is put into words: a code with its figures, worded late.

A saying holds lengths in millimetres and is worded in the units of whoever reads it. So tests and programs
compare codes, not sentences, and one saying reads "16.5 mm" on one page and "21/32 in" on another.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Units, format_fine, format_inches, format_length, format_mm, format_set, format_share

Figures = tuple[tuple[str, float | str], ...]


class Code(StrEnum):
    """A kind of saying, with its sentence.

    ``{name}`` is a length in mm, ``{name:set}`` one that is set at the machine or decides by a hair, never a
    fraction of an inch where that would lie; ``{name_bare}`` one whose unit the next length says,
    ``{name_fine}`` one that matters to the hundredth, ``{name_n}`` a plain number, ``{name_n:share}`` a share as
    percent, ``{name_text}`` words.
    """

    sentence: str

    def __new__(cls, value: str, sentence: str) -> Code:
        """A member whose value is its code and whose sentence comes along."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.sentence = sentence
        return member


def worded(code: Code, figures: Figures, units: Units, *, exact: bool = False) -> str:
    """The saying as a sentence, its lengths in ``units``.

    ``exact`` is for a limit that somebody must keep to: nothing is rounded away, so that inches have the
    exact millimetres beside them.
    """
    word = _exact_word if exact else _told_word
    return code.sentence.format(**{name: word(name, value, units) for name, value in figures})


@dataclass(frozen=True, slots=True)
class _Length:
    """A length in words, as a sentence asks for it."""

    size: str
    as_set: str

    def __format__(self, spec: str) -> str:
        return self.as_set if spec == "set" else self.size


@dataclass(frozen=True, slots=True)
class _Number:
    """A plain number in words, or the share that it is."""

    value: float

    def __format__(self, spec: str) -> str:
        if spec == "share":
            return format_share(self.value)
        return str(self.value) if isinstance(self.value, int) else f"{round(self.value, 3):g}"


def _word(name: str, value: float | str, units: Units) -> str | _Length | _Number:
    if isinstance(value, str):
        return value
    if name.endswith("_n"):
        return _Number(value)
    if name.endswith("_fine"):
        return format_fine(value, units)
    if name.endswith("_bare"):
        return format_mm(value, 2) if units is Units.MM else format_inches(value)
    return _Length(format_length(value, units), format_set(value, units))


def _told_word(name: str, value: float | str, units: Units) -> str | _Length | _Number:
    """As a sentence has it: inches with their sign, for "in" is a word of its own there."""
    word = _word(name, value, units)
    if units is Units.MM or isinstance(value, str) or isinstance(word, _Number):
        return word
    if isinstance(word, _Length):
        return _Length(with_sign(word.size), with_sign(word.as_set))
    return with_sign(word)


def with_sign(figure: str) -> str:
    """A figure with its unit, inches by their sign.

    >>> with_sign("3 7/8 in"), with_sign("12.5 mm")
    ('3 7/8″', '12.5 mm')
    """
    return f"{figure.removesuffix(' in')}″" if figure.endswith(" in") else figure


def _exact_word(name: str, value: float | str, units: Units) -> str | _Length | _Number:
    if isinstance(value, str) or name.endswith("_n"):
        return _word(name, value, units)
    # an exact length is a whole number of nanometres
    number = format_mm(value, 2 if name.endswith("_fine") else 6)
    if units is Units.INCH:
        # beside its exact millimetres every inch has its unit
        return f"{_word(name.removesuffix('_bare'), value, units)} ({number} mm)"
    return number if name.endswith("_bare") else f"{number} mm"
