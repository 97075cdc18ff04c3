"""What wood is called where it is bought, kept and cut: by its material and its section, or its thickness.

One name everywhere: on the parts list, in a cutting plan, in the stockroom and on an order. Sizes in mm in any
project, like those of a key, and as fine as lengths are; of a section the wider side first.
"""

from __future__ import annotations

from domain.lengths import format_mm

WOOD = "wood"
"""Solid wood that nobody named."""
SHEET = "sheet"
"""A sheet that nobody named."""
PLACES = 6
"""Decimals of a millimetre: a name leads back to its sizes to the nanometre."""
LONGEST_NAME = 120
"""Letters of an item's name: a material that leaves no room for its sizes is cut short."""


def wood_name(material: str, *sizes: float) -> str:
    """A material with sizes in mm.

    >>> wood_name("birch plywood", 18.0), wood_name("glazing")
    ('birch plywood 18', 'glazing')
    """
    figures = " × ".join(format_mm(size, PLACES) for size in sizes)
    named = " ".join(material.split())
    return f"{named[: LONGEST_NAME - len(figures) - 1].rstrip()} {figures}" if figures else named


def bar_item(material: str | None, width: float, thickness: float) -> str:
    """Solid wood by its section, sizes in mm: one name, whichever side is the wider.

    >>> bar_item("ash", 45.0, 24.0), bar_item("ash", 24.0, 45.0), bar_item(None, 109.5375, 17.4625)
    ('ash 45 × 24', 'ash 45 × 24', 'wood 109.5375 × 17.4625')
    """
    return wood_name(material or WOOD, *sorted((width, thickness), reverse=True))


def sheet_item(material: str | None, thickness: float | None, unsaid: str = SHEET) -> str:
    """A sheet by its thickness in mm, None where the maker chooses it; ``unsaid`` stands for a material.

    >>> sheet_item("birch plywood", 18.0), sheet_item(None, 6.0), sheet_item(None, None, "glazing")
    ('birch plywood 18', 'sheet 6', 'glazing')
    """
    return wood_name(material or unsaid, *(() if thickness is None else (thickness,)))


def item_key(item: str) -> str:
    """What two names of one item have alike, however they were typed.

    >>> item_key("Ash 45 × 24") == item_key("ash  45 × 24")
    True
    """
    return " ".join(item.split()).casefold()
