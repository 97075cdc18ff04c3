"""By how much every part of solid wood changes across the grain between the shop and its place.

The grain runs along a part's length unless somebody turned it on the parts list; then it is the length that moves.
What was sawn flat moves along the growth rings in its width and across them in its thickness, what was quartered
the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from domain.lengths import Mm
from domain.moving.places import Places
from domain.parts import Expansion, Member, Panel
from domain.spec.assemblies import AssemblyBase
from domain.spec.wood import Grain, PartChange, Sawn
from domain.timber.movement import Across, Change, change
from domain.timber.moving_species import MovingWood, moving_wood
from domain.timber.names import words_of
from domain.timber.stuff import stuff_of

PartChanges = Mapping[str, PartChange]
_NO_WOOD = words_of(
    "glass mirror acrylic polycarbonate plastic metal steel brass aluminium aluminum copper tin zinc leather felt"
    " cloth fabric cork stone marble slate tile card cardboard paper baize rubber"
)
_LAID_ON = ("veneer", "lining", "body lining", "lid lining")
"""What is glued flat on other wood goes with it."""


@dataclass(frozen=True, slots=True)
class Season:
    """What a part comes to in one place: by how much its size across the grain and its thickness change (mm)."""

    moisture: float
    across: Change
    thickness: Change


@dataclass(frozen=True, slots=True)
class PartMovement:
    """A part of solid wood: ``across`` is its size across the grain as made in the shop, mm.

    ``assumed``: nobody said what a panel is made of, and it was taken as the assembly's wood. ``turned``: the
    grain runs along its width, so its length moves.
    """

    mark: str
    name: str
    quantity: int
    panel: bool
    across: Mm
    thickness: Mm
    wood: MovingWood
    cut: Sawn
    shop: float
    home: Season
    other: Season | None
    turned: bool = False
    assumed: bool = False

    @property
    def seasons(self) -> tuple[Season, ...]:
        """Where it goes, then the same in the other season."""
        return (self.home,) if self.other is None else (self.home, self.other)

    @property
    def swell(self) -> float:
        """By how much it is ever wider than in the shop, mm, as the kind that moves most."""
        return max(0.0, *(season.across.most for season in self.seasons))

    @property
    def shrink(self) -> float:
        """By how much it is ever narrower than in the shop, mm, as the kind that moves most."""
        return -min(0.0, *(season.across.most for season in self.seasons))

    @property
    def most(self) -> float:
        """The larger of the two, with its sign."""
        return max((season.across.most for season in self.seasons), key=abs)


def part_movements(
    spec: AssemblyBase, expansion: Expansion, places: Places, changes: PartChanges
) -> tuple[PartMovement, ...]:
    """Every part of solid wood, members first; sheets, glass and what is laid on other wood are left out."""
    return tuple(_movements(spec, expansion, places, changes))


def _movements(
    spec: AssemblyBase, expansion: Expansion, places: Places, changes: PartChanges
) -> Iterator[PartMovement]:
    cut = spec.cut or Sawn.UNKNOWN
    for part in expansion.parts:
        own = changes.get(part.mark)
        named = own.material if own is not None else None
        if not _is_solid(spec, part, named):
            continue
        wood = moving_wood(named or _told(spec, part))
        turned = own is not None and own.grain is Grain.WIDTH
        across = part.length if turned else part.width
        seasons = [_season(wood, cut, (across, part.thickness), places.shop, each) for each in places.away]
        panel = isinstance(part, Panel)
        yield PartMovement(
            mark=part.mark,
            name=part.name,
            quantity=part.quantity,
            panel=panel,
            across=across,
            thickness=part.thickness,
            wood=wood,
            cut=cut,
            shop=places.shop,
            home=seasons[0],
            other=seasons[1] if len(seasons) > 1 else None,
            turned=turned,
            assumed=panel and part.material is None and named is None,
        )


def _told(spec: AssemblyBase, part: Member | Panel) -> str | None:
    """What somebody said of a part's wood: a panel's own name, else the assembly's species or wood."""
    if isinstance(part, Panel) and part.material is not None:
        return part.material
    return spec.species or spec.material


def _is_solid(spec: AssemblyBase, part: Member | Panel, named: str | None) -> bool:
    if isinstance(part, Panel) and (part.room is not None or part.name.startswith(_LAID_ON)):
        return False
    material = named or part.material or spec.material
    return not stuff_of(material).is_sheet and not words_of(material or "") & _NO_WOOD


def across_of(cut: Sawn) -> Across:
    """Which way a board's width lies in the tree; one that nobody knows is taken as flat sawn."""
    return Across.RADIAL if cut is Sawn.QUARTER else Across.TANGENTIAL


def _season(wood: MovingWood, cut: Sawn, sizes: tuple[float, float], shop: float, moisture: float) -> Season:
    across, thickness = sizes
    way = across_of(cut)
    return Season(
        moisture,
        change(wood, way, across, shop, moisture),
        change(wood, way.other, thickness, shop, moisture),
    )
