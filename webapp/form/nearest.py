"""Where a size is refused for a limit: the nearest size that works, as the form's field would have it typed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import ceil, floor

from domain.lengths import NM_PER_INCH, NM_PER_MM, Length, Units, format_inches, format_mm
from domain.problems import Problem
from webapp.form.fields import Sort
from webapp.form.reading import Reading

STEPS = {Units.MM: NM_PER_MM // 10, Units.INCH: NM_PER_INCH // 64}
"""What a proposed size is a whole number of, in nm: sizes that one would type."""


def nearest_values(
    reading: Reading,
    problems: Iterable[Problem],
    sorts: Mapping[str, Sort],
    units: Units,
    works: Callable[[str, str], bool],
) -> dict[str, str]:
    """By field, a text that works there, where a problem names the least or the most that does.

    ``sorts`` tells the sort of each of the form's fields, ``works`` whether a field with that text is refused
    no more: what does not work is not proposed.
    """
    found: dict[str, str] = {}
    for problem in problems:
        name = reading.field(problem.path)
        if sorts.get(name) is not Sort.LENGTH or name in found:
            continue
        for length in _candidates(dict(problem.figures), STEPS[units]):
            text = format_mm(length.mm, 3) if units is Units.MM else format_inches(length.mm)
            if length.nm > 0 and works(name, text):
                found[name] = text
                break
    return found


def _candidates(figures: Mapping[str, float | str], step: int) -> Iterable[Length]:
    """The limit itself, where it is a whole step, and the next step on the good side of it."""
    for name, way in (("least", 1), ("most", -1)):
        limit = figures.get(name)
        if isinstance(limit, int | float):
            steps = Length.from_mm(limit).nm / step
            nearest = ceil(steps - 1e-6) if way > 0 else floor(steps + 1e-6)
            yield Length(nearest * step)
            yield Length((nearest + way) * step)
