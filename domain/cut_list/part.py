"""A part as it is cut: its finished and rough sizes, its wood and grain, what is run along it, what was changed.

Lengths in mm. A part that comes out of solid wood is a bar of its section, however wide; all else is a sheet.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum

from domain.lengths import Mm
from domain.parts import Point, Side
from domain.spec.assemblies import Fit
from domain.spec.rules import Rules
from domain.spec.wood import Grain, PartChange
from domain.timber.item_names import WOOD, bar_item, sheet_item
from domain.timber.species import wood_of
from domain.timber.stuff import is_glass, stuff_of

CLOSE = 1e-6
"""Sizes in mm that differ by less are the same."""


class Sort(StrEnum):
    """What a part is cut from: lengths of one section, or sheets of one thickness."""

    BAR = "bar"
    SHEET = "sheet"


@dataclass(frozen=True, slots=True)
class Sizes:
    """Length, width and thickness; no thickness where the maker chooses it."""

    length: Mm
    width: Mm
    thickness: Mm | None


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove or rabbet along some pieces of a part: where it lies, its width and depth, where it stops.

    In which edge or face (``surface``, ``in_edge``) and how far (``offset``) from which side (``edge``). ``stops``
    are the ends of the piece that it stops before, and how far; at any other it runs out.
    """

    fit: Fit
    surface: Side
    in_edge: bool
    edge: Side
    offset: Mm
    width: Mm
    depth: Mm
    stops: tuple[tuple[Side, Mm], ...]
    pieces: int

    @property
    def is_through(self) -> bool:
        """True where it runs out at both ends, and so can be run before the piece is cut to length."""
        return not self.stops


Hollow = tuple[float, float, float, float]
"""What a groove takes out of a section: from and to across it, from and to through it, mm."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What is run along the whole length of a piece: grooves and rabbets by the wood they take, a moulded front.

    ``grooves`` says where they lie as the first of its pieces has them.
    """

    hollows: frozenset[Hollow]
    front: tuple[Point, ...] = ()
    grooves: tuple[Groove, ...] = field(default=(), compare=False)

    @property
    def is_plain(self) -> bool:
        """True where nothing is run along it."""
        return not self.hollows and not self.front


@dataclass(frozen=True, slots=True)
class CutPart:
    """A part to cut, over all copies of its assembly. ``source`` is its project's place in the list, from 0.

    ``finished`` is what the plan needs, ``rough`` what is cut. ``unsaid`` is what it is called without a material.
    ``ends`` are the angles between end and edge, 90 is square; ``bevelled``: they lean through the thickness, so
    the blade is tilted. ``room`` is what a rabbet has for a panel that has no thickness of its own. ``joints`` are
    the marks of those it carries. ``shapes`` are what is run along its pieces, with how many of them.
    ``one_length``: the members of each of the assembly's ``copies`` come from one length. ``as_planned`` is the
    part without ``change``, None where nothing is changed.
    """

    mark: str
    name: str
    source: int
    assembly: str
    assembly_name: str
    copies: int
    quantity: int
    finished: Sizes
    rough: Sizes
    sort: Sort
    is_panel: bool
    unsaid: str
    grain: Grain
    material: str | None = None
    species: str | None = None
    room: Mm | None = None
    ends: tuple[float, float] = (90.0, 90.0)
    short_length: Mm | None = None
    bevelled: bool = False
    joints: tuple[str, ...] = ()
    grooves: tuple[Groove, ...] = ()
    shapes: tuple[tuple[Shape, int], ...] = ()
    one_length: bool = False
    change: PartChange | None = None
    as_planned: CutPart | None = None

    @property
    def item(self) -> str:
        """The wood it is cut from, by the one name that it has everywhere."""
        if self.sort is Sort.SHEET or self.rough.thickness is None:
            return sheet_item(self.material, self.rough.thickness, self.unsaid)
        return bar_item(self.material, self.rough.width, self.rough.thickness)

    @property
    def note(self) -> str | None:
        """What somebody wrote beside it."""
        return None if self.change is None else self.change.note

    @property
    def too_small(self) -> tuple[str, ...]:
        """Which of its rough sizes are less than the finished ones; a sheet's thickness is the sheet's own."""
        pairs = [
            ("length", self.rough.length, self.finished.length),
            ("width", self.rough.width, self.finished.width),
        ]
        if self.sort is Sort.BAR and self.rough.thickness is not None and self.finished.thickness is not None:
            pairs.append(("thickness", self.rough.thickness, self.finished.thickness))
        return tuple(name for name, rough, finished in pairs if rough < finished - CLOSE)


def sort_of(material: str | None, is_panel: bool) -> Sort:
    """Panels are cut from sheets, and so is what is made of plywood or board; solid wood comes in lengths."""
    return Sort.SHEET if is_panel or stuff_of(material).is_sheet or is_glass(material) else Sort.BAR


def grain_of(material: str | None, unsaid: str) -> Grain:
    """Along the length, as a rule; what has no grain may be turned.

    >>> grain_of("birch plywood", "sheet"), grain_of("MDF", "sheet"), grain_of(None, "glazing")
    (<Grain.LENGTH: 'length'>, <Grain.ANY: 'any'>, <Grain.ANY: 'any'>)
    """
    grainless = stuff_of(material).is_grainless or is_glass(material) or (material is None and unsaid == "glazing")
    return Grain.ANY if grainless else Grain.LENGTH


def species_of(material: str | None) -> str | None:
    """The species that a material's name means, as the handbook calls it; None where it leaves that open."""
    wood = None if stuff_of(material).is_sheet else wood_of(material)
    return wood.kinds[0].name if wood is not None and len(wood.kinds) == 1 else None


def rough_sizes(finished: Sizes, sort: Sort, rules: Rules) -> Sizes:
    """The finished sizes with the rules' allowances, which solid wood alone has."""
    if sort is Sort.SHEET:
        return finished
    thick = finished.thickness
    return Sizes(
        Mm(finished.length + rules.length_allowance.mm),
        Mm(finished.width + rules.width_allowance.mm),
        None if thick is None else Mm(thick + rules.thickness_allowance.mm),
    )


def changed(part: CutPart, change: PartChange, rules: Rules) -> CutPart:
    """The part with what somebody wants otherwise; sizes that are not named stay those of the plan."""
    made = replace(part, change=change, as_planned=part)
    if change.material is not None:
        sort = sort_of(change.material, part.is_panel)
        made = replace(
            made,
            material=change.material,
            species=species_of(change.material),
            sort=sort,
            grain=grain_of(change.material, part.unsaid),
            rough=rough_sizes(part.finished, sort, rules),
        )
    rough = Sizes(
        made.rough.length if change.rough_length is None else change.rough_length.mm,
        made.rough.width if change.rough_width is None else change.rough_width.mm,
        made.rough.thickness if change.rough_thickness is None else change.rough_thickness.mm,
    )
    made = replace(made, rough=rough)
    if change.grain is not None and made.sort is Sort.SHEET:
        made = replace(made, grain=change.grain)
    return made


def unsaid_of(name: str, is_panel: bool) -> str:
    """What a part without a material is called in its item: by what it is, as far as its name says so.

    >>> unsaid_of("body lining, side", True), unsaid_of("back", True), unsaid_of("stile", False)
    ('lining', 'sheet', 'wood')
    """
    if not is_panel:
        return WOOD
    word = name.split(",")[0].split()[-1]
    return word if word in {"glazing", "lining", "veneer"} else "sheet"
