"""Lengths that stand together, where a unit that is said once goes for all of them that say none."""

from __future__ import annotations

import re
from collections.abc import Sequence

from domain.lengths import HOW_TO_WRITE, Length, LengthError, Units, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Refused

_UNIT = re.compile(r"""(?:(mm|cm|m)|(in\.?|inch|inches|["″”])|(ft\.?|feet|foot|['′’]))$""", re.IGNORECASE)
_INCHES = re.compile(r"[/⁄¼-¾⅐-⅞'′’]|\d\s*(?:ft|feet|foot)", re.IGNORECASE)


def with_units(texts: Sequence[str]) -> tuple[str, ...]:
    """The lengths' texts, each with its unit where one of them says one; a fraction says inches.

    Raises Refused where two units are said, and a length says none.

    >>> with_units(("9 3/4", "11"))
    ('9 3/4', '11 in')
    """
    said = [unit_of(text) for text in texts]
    units = sorted({unit for unit in said if unit is not None})
    if None in said and len(units) > 1:
        raise Refused(ProblemCode.SIZES_UNITS)
    shared = f" {units[0]}" if units else ""
    return tuple(text if unit is not None else text + shared for text, unit in zip(texts, said, strict=True))


def length_above_zero(text: str, units: Units) -> Length:
    """A length of more than nothing; plain numbers are ``units``. Raises Refused, the text in its sentence."""
    try:
        length = parse_length(text, units)
    except LengthError:
        raise Refused(ProblemCode.SIZES_NO_LENGTH, size_text=text, how_text=HOW_TO_WRITE) from None
    if length.nm <= 0:
        raise Refused(ProblemCode.SIZE_NOT_ABOVE_ZERO)
    return length


def unit_of(size: str) -> str | None:
    """The unit that a size says: mm, cm, m, in or ft; None for a plain number."""
    found = _UNIT.search(size)
    if found is None:
        return "in" if _INCHES.search(size) else None
    metric, inches, _ = found.groups()
    return str(metric).lower() if metric else "in" if inches or "''" in size else "ft"
