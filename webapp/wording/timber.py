"""Wood to buy in words: volumes in m³ and in board feet, lengths and faces in the reader's units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.cut_list.part import Sort
from domain.cut_list.priced import Bought, PricedWood
from domain.cut_list.timber import MaterialSum, Measured, added
from domain.cut_list.wanted import BoughtAs
from domain.lengths import Units
from domain.ordering.items import Item
from domain.timber.measures import FOOT, board_feet, cubic_metres
from webapp.wording.amounts import amount, plain
from webapp.wording.figures import by, size
from webapp.wording.money import format_money

ABOUT = (
    "All of rough sizes. Volumes with waste have the rules’ waste on top; bars and sheets are counted by the"
    " cutting plan, as if nothing were on hand of what can be bought. A board foot is 144 in³, a cubic foot is 12"
    " of them."
)
"""How the page is read, said once on it."""
_FACE_FOOT = (FOOT / 1000) ** 2
"""A square foot in m²."""
_FEET_IN_A_CUBE = 12
"""Board feet, of 144 in³, in a cubic foot of 1728 in³."""


@dataclass(frozen=True, slots=True)
class MeasureWords:
    """Figures of a wood: bare, each column's heading has its unit; "" where there is nothing to say.

    ``other`` is what ``gross`` is in another measure of volume.
    """

    length: str
    net: str
    gross: str
    other: str
    area: str


@dataclass(frozen=True, slots=True)
class Headings:
    """What the columns are called, with their units."""

    length: str
    net: str
    gross: str
    other: str
    area: str


def headings(units: Units) -> Headings:
    """The columns' headings in the reader's units: inches have board feet and cubic feet, and no m³."""
    if units is Units.MM:
        return Headings("Length, m", "Net, m³", "With waste, m³", "With waste, bd ft", "Faces, m²")
    return Headings("Length, ft", "Net, bd ft", "With waste, bd ft", "With waste, ft³", "Faces, ft²")


def measure_words(measured: Measured, sort: Sort | None, units: Units) -> MeasureWords:
    """A wood's figures: running lengths of bars, faces of sheets, volumes of all whose thickness is known."""
    metric = units is Units.MM
    length = measured.length / (1000 if metric else FOOT)
    face = measured.area if metric else measured.area / _FACE_FOOT
    volume, places = (cubic_metres, 4) if metric else (board_feet, 2)
    gross = measured.gross
    return MeasureWords(
        length="" if sort is Sort.SHEET else fixed(length, 2),
        net="" if measured.net is None else fixed(volume(measured.net), places),
        gross="" if gross is None else fixed(volume(gross), places),
        other="" if gross is None else fixed(board_feet(gross) / (1 if metric else _FEET_IN_A_CUBE), 2),
        area="" if sort is Sort.BAR else fixed(face, 2),
    )


def fixed(number: Fraction, places: int) -> str:
    """A number with so many decimals, half to even.

    >>> fixed(Fraction(1, 3), 2), fixed(Fraction(5), 2)
    ('0.33', '5.00')
    """
    scaled = round(number * 10**places)
    whole, rest = divmod(scaled, 10**places)
    return f"{whole}.{rest:0{places}d}"


@dataclass(frozen=True, slots=True)
class TimberRow:
    """A wood: its figures, in what form it is bought, how much board of the mean width, and its price in words."""

    item: str
    section: str
    pieces: int
    measures: MeasureWords
    bought: str
    boards: str
    price: str
    is_priced: bool


@dataclass(frozen=True, slots=True)
class TimberGroup:
    """The woods of one material, with its sums where there are several."""

    material: str
    rows: tuple[TimberRow, ...]
    sums: MeasureWords | None


@dataclass(frozen=True, slots=True)
class TimberWords:
    """Everything to buy. ``total`` is what has a price, ``unpriced`` the woods that have none."""

    groups: tuple[TimberGroup, ...]
    whole: MeasureWords | None
    total: str
    unpriced: tuple[str, ...]


def timber_words(
    lines: Sequence[PricedWood], sums: Sequence[MaterialSum], currency: str, total: int, units: Units
) -> TimberWords:
    """The wood of projects, worded in ``units``."""
    by_item = {(each.line.group.sort, each.line.group.item): each for each in lines}
    groups = []
    for material in sums:
        found = [by_item[line.group.sort, line.group.item] for line in material.lines]
        rows = tuple(timber_row(each, currency, units) for each in found)
        summed = measure_words(material.measured, material.sort, units) if len(rows) > 1 else None
        groups.append(TimberGroup(material.material, rows, summed))
    return TimberWords(
        groups=tuple(groups),
        whole=measure_words(added(each.line.measured for each in lines), None, units) if len(groups) > 1 else None,
        total=format_money(total, currency) if any(each.price is not None for each in lines) else "",
        unpriced=tuple(each.line.group.item for each in lines if each.price is None),
    )


def timber_row(wood: PricedWood, currency: str, units: Units) -> TimberRow:
    """One wood, worded."""
    group = wood.line.group
    sizes = (group.rough.width, group.rough.thickness) if wood.line.is_solid else (group.rough.thickness,)
    return TimberRow(
        item=group.item,
        section="" if units is Units.MM or None in sizes else by(units, *sizes),
        pieces=group.pieces,
        measures=measure_words(wood.line.measured, group.sort, units),
        bought=bought_text(wood.bought, units),
        boards=boards_text(wood, units),
        price=unpriced_text(wood.unpriced) if wood.price is None else format_money(round(wood.price), currency),
        is_priced=wood.price is not None,
    )


def bought_text(bought: Bought, units: Units) -> str:
    """In what form a wood is bought: "3 × bar ash 45 × 24 × 2310", or "0.0214 m³ of board ash 27"."""
    wanted, missing = bought.wanted, bought.wanted.missing
    if bought.own:
        text = f"{_counted(bought.used, 'length or sheet', 'lengths or sheets')} of the project’s own stock"
    elif wanted.bought_as is BoughtAs.NOTHING:
        return "nothing kept or offered to cut it from"
    elif wanted.bought_as is BoughtAs.PLANNED:
        text = ", ".join(f"{int(count)} × {item.name}" for item, count in wanted.items.items())
    else:
        whole = {item: -(-count.numerator // count.denominator) for item, count in wanted.items.items()}
        text = ", ".join(f"{amount(count, item.unit, units)} of {item.name}" for item, count in whole.items())
    return f"{text}; {_counted(missing, 'piece has', 'pieces have')} nothing to be cut from" if missing else text


def boards_text(wood: PricedWood, units: Units) -> str:
    """How much board of the mean width a wood takes; "" of sheets, or where no width was typed."""
    if wood.mean_width is None or not wood.line.is_solid:
        return ""
    if wood.boards is None:
        return f"wider than {size(wood.mean_width, units).kept}"
    return f"{fixed(wood.boards / 1000, 2)}\xa0m" if units is Units.MM else f"{fixed(wood.boards / FOOT, 2)}\xa0ft"


def unpriced_text(items: Sequence[Item]) -> str:
    """What of a wood has no price."""
    return f"no price of {', '.join(item.name for item in items)}" if items else "no price"


def without_price(items: Sequence[str]) -> str:
    """What the sum is without; "" where it is whole."""
    return f"Without a price, and not in the sum: {'; '.join(items)}." if items else ""


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def waste_text(shares: Sequence[float]) -> str:
    """The rules' waste, as one says it: "15 %", or of several projects each.

    >>> waste_text([0.15, 0.15]), waste_text([0.15, 0.2])
    ('15 %', '15 %, 20 %')
    """
    return ", ".join(dict.fromkeys(f"{plain(Fraction(str(share)) * 100, 2)} %" for share in shares))
