"""What wood is called to whoever reads inches: its name has its sizes in mm, as it is kept, cut and bought."""

from __future__ import annotations

import re

from domain.lengths import Length, Units
from domain.ordering.items import parse_item, wood_of
from domain.problems import BadInput
from webapp.wording.figures import by

_SIZES = re.compile(r"\d+(?:\.\d+)?(?: × \d+(?:\.\d+)?)*$")


def sizes_said(name: str, units: Units) -> str:
    """The sizes of a wood's name in inches; "" where the reader has mm, as the name has, or it has no sizes.

    >>> [sizes_said(name, Units.INCH).split() for name in ("ash 44.45 × 19.05", "glazing", "bar ash 45 × 24 × 96")]
    [['1', '3/4', '×', '3/4', 'in'], [], ['1', '49/64', '×', '15/16', '×', '3', '25/32', 'in']]
    """
    found = _SIZES.search(name)
    if units is Units.MM or found is None or not _is_wood(name):
        return ""
    return by(units, *(Length.from_mm(float(mm)) for mm in found[0].split(" × ")))


def wood_said(name: str, units: Units) -> str:
    """A wood's name with its sizes in the reader's units alone, for whoever keeps and cuts nothing.

    >>> wood_said("ash 44.45 × 19.05", Units.INCH).split(), wood_said("ash 44.45 × 19.05", Units.MM)
    (['ash', '1', '3/4', '×', '3/4', 'in'], 'ash 44.45 × 19.05')
    """
    said = sizes_said(name, units)
    return _SIZES.sub(said, name) if said else name


def _is_wood(name: str) -> bool:
    if wood_of(name) is not None:
        return True
    try:
        return parse_item(name).is_wood
    except BadInput:
        return False
