"""What a shop keeps and buys: keys by section and length, plugs by wood and size, glue by weight, wood.

Keys, plugs, bars and sheets are counted in pieces, glue in grams, boards in cm³ and strips in mm of length; a
quantity is always a whole number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Length, format_mm, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.catalogue import key_item
from domain.timber.item_names import wood_name


class ItemKind(StrEnum):
    """What sort of thing an item is; also the first word of its name."""

    KEY = "key"
    PLUG = "plug"
    GLUE = "glue"
    BAR = "bar"
    """Sawn or planed to a section, in a length."""
    SHEET = "sheet"
    BOARD = "board"
    """Of a rough thickness and random width, sold by volume."""
    STRIP = "strip"
    """Of a section, sold by the running metre."""


WoodKey = tuple[str, tuple[int, ...]]
"""A material without capitals, and the sizes of a section, or a thickness alone, in nm."""
WOOD = frozenset({ItemKind.BAR, ItemKind.SHEET, ItemKind.BOARD, ItemKind.STRIP})
LONGEST_NAME = 120
"""Letters of a name: what an order has room for."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing the shop keeps. ``size`` is a length, of a plug its height; glue, boards and strips have none.

    ``section`` is the key section that a key or a plug belongs to, ``material`` what a plug or wood is of. Bars,
    sheets and strips have a ``width``, and they and boards a ``thickness``.
    """

    kind: ItemKind
    section: str = ""
    size: Length | None = None
    material: str = ""
    width: Length | None = None
    thickness: Length | None = None

    @classmethod
    def key(cls, section: str, length: Length | float) -> Item:
        """A key of a section and a length (a number is mm)."""
        return cls(ItemKind.KEY, section, _length(length))

    @classmethod
    def plug(cls, material: str, section: str, height: Length | float) -> Item:
        """A plug of a wood, for a section, of a height (a number is mm)."""
        return cls(ItemKind.PLUG, section, _length(height), material)

    @classmethod
    def bar(cls, material: str, width: Length | float, thickness: Length | float, length: Length | float) -> Item:
        """A bar of a wood; one section has one name, whichever side is named first."""
        narrow, wide = sorted((_length(width), _length(thickness)))
        return cls(ItemKind.BAR, "", _length(length), material, wide, narrow)

    @classmethod
    def sheet(
        cls, material: str, thickness: Length | float, length: Length | float, width: Length | float
    ) -> Item:
        """A sheet; the grain of its face runs along its length."""
        return cls(ItemKind.SHEET, "", _length(length), material, _length(width), _length(thickness))

    @classmethod
    def board(cls, material: str, thickness: Length | float) -> Item:
        """Boards of a rough thickness, by volume."""
        return cls(ItemKind.BOARD, material=material, thickness=_length(thickness))

    @classmethod
    def strip(cls, material: str, width: Length | float, thickness: Length | float) -> Item:
        """A section that is sold by the running metre; one name, whichever side is named first."""
        narrow, wide = sorted((_length(width), _length(thickness)))
        return cls(ItemKind.STRIP, material=material, width=wide, thickness=narrow)

    @property
    def is_wood(self) -> bool:
        """True of bars, sheets, boards and strips."""
        return self.kind in WOOD

    @property
    def wood(self) -> str:
        """What a cut list calls the same wood, whatever its length.

        >>> Item.bar("ash", 24, 45, 2400).wood, Item.sheet("birch plywood", 18, 2440, 1220).wood
        ('ash 45 × 24', 'birch plywood 18')
        """
        return wood_name(self.material, *(size.mm for size in self._section))

    @property
    def wood_key(self) -> WoodKey:
        """The same for every length of a wood, capitals aside: its material and its section, or its thickness."""
        return self.material.casefold(), tuple(size.nm for size in self._section)

    @property
    def _section(self) -> tuple[Length, ...]:
        sizes = (
            (self.thickness,) if self.kind in {ItemKind.SHEET, ItemKind.BOARD} else (self.width, self.thickness)
        )
        return tuple(size for size in sizes if size is not None)

    @property
    def name(self) -> str:
        """What it is called in orders, on shelves and in files; sizes in mm in every unit system.

        >>> Item.key("14", 16).name, Item.plug("walnut", "14", 3).name, GLUE.name
        ('key 14 × 16', 'plug walnut 14 × 3', 'glue')
        >>> Item.bar("ash", 45, 24, 2400).name, Item.board("ash", 27).name
        ('bar ash 45 × 24 × 2400', 'board ash 27')
        """
        if self.is_wood:
            length = (self.size,) if self.kind is ItemKind.BAR else ()
            area = (self.size, self.width) if self.kind is ItemKind.SHEET else ()
            return " × ".join((f"{self.kind.value} {self.wood}", *(_times(each) for each in (*length, *area))))
        if self.size is None:
            return self.kind.value
        material = (self.material,) if self.material else ()
        return " ".join((self.kind.value, *material, key_item(self.section, self.size.mm)))

    @property
    def unit(self) -> str:
        """What its quantities count: "pcs", "g", "cm³" or "mm"."""
        return _UNITS.get(self.kind, "pcs")

    @property
    def most(self) -> int:
        """The largest quantity that is booked of it at once: a million; of boards 100 m³, of strips 100 km."""
        return 100_000_000 if self.kind in {ItemKind.BOARD, ItemKind.STRIP} else 1_000_000

    @property
    def order(self) -> tuple[int, str, float, str, int, int, int]:
        """What items are sorted by: kind, wood, section (by width where its name is a number), sizes."""
        try:
            width = float(self.section)
        except ValueError:
            width = float("inf")
        kinds = list(ItemKind)
        # within a kind all have the same sizes: what stands for one that is not there orders nothing
        sizes = (size.nm if size else 0 for size in (self.thickness, self.width, self.size))
        thickness, across, length = sizes
        return (kinds.index(self.kind), self.material, width, self.section, thickness, across, length)


_UNITS = {ItemKind.GLUE: "g", ItemKind.BOARD: "cm³", ItemKind.STRIP: "mm"}


GLUE = Item(ItemKind.GLUE)
"""Glue, in grams."""

_KEY = re.compile(r"key (?P<section>.+) × (?P<size>\S+)")
_PLUG = re.compile(r"plug (?P<material>.+) (?P<section>\S+) × (?P<size>\S+)")
# as many sizes as the kind has behind its material, which has no × of its own
_WOODS = {ItemKind.BAR: 3, ItemKind.SHEET: 3, ItemKind.BOARD: 1, ItemKind.STRIP: 2}
HOW_TO_NAME = (
    'write "key 14 × 16", "plug walnut 14 × 3" or "glue", or wood as "bar ash 45 × 24 × 2400", '
    '"sheet birch plywood 18 × 2440 × 1220", "board ash 27" or "strip ash 45 × 24", sizes in mm'
)


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
    if kind.lower() in WOOD:
        return _wood(text, ItemKind(kind.lower()), rest)
    for pattern in (_KEY, _PLUG):
        match = pattern.fullmatch(words)
        if match:
            parts = match.groupdict()
            return Item(
                ItemKind(kind.lower()), parts["section"], _size(text, parts["size"]), parts.get("material", "")
            )
    raise BadInput([_unnamed(text)])


def _wood(text: str, kind: ItemKind, rest: str) -> Item:
    material, *sizes = re.split(r" (?=\S+(?: × \S+)*$)", rest, maxsplit=1)
    read = [_size(text, size) for size in sizes[0].split(" × ")] if sizes else []
    if len(read) != _WOODS[kind] or "×" in material:
        raise BadInput([_unnamed(text)])
    match kind:
        case ItemKind.BAR:
            item = Item.bar(material, *read)
        case ItemKind.SHEET:
            item = Item.sheet(material, *read)
        case ItemKind.BOARD:
            item = Item.board(material, *read)
        case _:
            item = Item.strip(material, *read)
    if len(item.name) > LONGEST_NAME:
        raise BadInput([Problem.of(("item",), text, ProblemCode.TEXT_TOO_LONG, most_n=LONGEST_NAME)])
    return item


def wood_of(text: str) -> WoodKey | None:
    """The key of a wood by its name on a cut list; None for what is none.

    >>> wood_of("Ash 24 x 45") == Item.bar("ash", 45, 24, 2400).wood_key
    True
    """
    for kind in ("strip", "board"):
        try:
            return parse_item(f"{kind} {text}").wood_key
        except BadInput:
            continue
    return None


def _times(*sizes: Length | None) -> str:
    # as fine as lengths are: a name leads back to its item to the nanometre
    return " × ".join(format_mm(size.mm, 6) for size in sizes if size is not None)


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
