"""What a shop keeps and buys: keys by section and length, plugs by wood and size, glue by weight.

Keys and plugs are counted in pieces, glue in grams; a quantity is always a whole number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Length, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.catalogue import key_item


class ItemKind(StrEnum):
    """What sort of thing an item is; also the first word of its name."""

    KEY = "key"
    PLUG = "plug"
    GLUE = "glue"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing the shop keeps. ``size`` is a key's length or a plug's height; glue has neither.

    ``section`` is the key section that a key or a plug belongs to, ``material`` a plug's wood.
    """

    kind: ItemKind
    section: str = ""
    size: Length | None = None
    material: str = ""

    @classmethod
    def key(cls, section: str, length: Length | float) -> Item:
        """A key of a section and a length (a number is mm)."""
        return cls(ItemKind.KEY, section, _length(length))

    @classmethod
    def plug(cls, material: str, section: str, height: Length | float) -> Item:
        """A plug of a wood, for a section, of a height (a number is mm)."""
        return cls(ItemKind.PLUG, section, _length(height), material)

    @property
    def name(self) -> str:
        """What it is called in orders, on shelves and in files; sizes in mm in every unit system.

        >>> Item.key("14", 16).name, Item.plug("walnut", "14", 3).name, GLUE.name
        ('key 14 × 16', 'plug walnut 14 × 3', 'glue')
        """
        if self.size is None:
            return self.kind.value
        material = (self.material,) if self.material else ()
        return " ".join((self.kind.value, *material, key_item(self.section, self.size.mm)))

    @property
    def unit(self) -> str:
        """What its quantities count: "pcs" or "g"."""
        return "g" if self.kind is ItemKind.GLUE else "pcs"

    @property
    def order(self) -> tuple[int, str, float, str, int]:
        """What items are sorted by: kind, wood, section (by width where its name is a number), size."""
        try:
            width = float(self.section)
        except ValueError:
            width = float("inf")
        kinds = list(ItemKind)
        # glue alone has no size, and is alone of its kind: what stands for one orders nothing
        return (kinds.index(self.kind), self.material, width, self.section, self.size.nm if self.size else 0)


GLUE = Item(ItemKind.GLUE)
"""Glue, in grams."""

_KEY = re.compile(r"key (?P<section>.+) × (?P<size>\S+)")
_PLUG = re.compile(r"plug (?P<material>.+) (?P<section>\S+) × (?P<size>\S+)")
HOW_TO_NAME = 'write "key 14 × 16", "plug walnut 14 × 3" or "glue", sizes in mm'


def parse_item(text: str) -> Item:
    """The item of a name; an x or a * will do for the ×. Raises BadInput.

    >>> parse_item("Key 14x16").name
    'key 14 × 16'
    """
    words = re.sub(r"\s*(?:×|(?<=[\s\d])[xX*](?=[\s\d]))\s*", " × ", " ".join(text.split()))
    kind, _, rest = words.partition(" ")
    words = f"{kind.lower()} {rest}".strip()
    if words == GLUE.name:
        return GLUE
    for pattern in (_KEY, _PLUG):
        match = pattern.fullmatch(words)
        if match:
            parts = match.groupdict()
            return Item(
                ItemKind(kind.lower()), parts["section"], _size(text, parts["size"]), parts.get("material", "")
            )
    raise BadInput([_unnamed(text)])


def _size(text: str, size: str) -> Length:
    try:
        length = parse_length(size)
    except ValueError:
        raise BadInput([_unnamed(text)]) from None
    if length.nm <= 0:
        raise BadInput([Problem.of(("item",), text, ProblemCode.SIZE_NOT_ABOVE_ZERO)])
    return length


def _unnamed(text: str) -> Problem:
    return Problem.of(("item",), text, ProblemCode.NOT_AN_ITEM, how_text=HOW_TO_NAME)


def _length(value: Length | float) -> Length:
    return value if isinstance(value, Length) else Length.from_mm(value)
