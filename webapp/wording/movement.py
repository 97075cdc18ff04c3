"""How a project's wood moves, in words: the same on page, paper, spreadsheet and terminal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from domain.lengths import Units, format_inches, format_mm
from domain.moving.cross_grain import CrossGrain
from domain.moving.mitres import MitreOpening
from domain.moving.movement import Movement
from domain.moving.panels import PanelFit
from domain.moving.parts import PartMovement, Season
from domain.moving.places import Places, moisture_of
from domain.spec.wood import Air, Climate, Sawn
from domain.takeoff.takeoff import AssemblyTakeoff
from domain.timber.movement import Change
from domain.timber.moving_species import Known
from webapp.wording.figures import Figure, fine, size

MINUS = "−"
PLACES = ("in the shop", "in its place", "in the other season")
IN_PLACES = {
    "from": "In the shop",
    "to": "Where it goes",
    "other_to": "Where it goes, in the other season",
}
"""The places of a climate, by the names of its fields, as headings say them."""
ABOUT = (
    "Wood swells across its grain where the air is damper than in the shop, and shrinks where it is drier. Figures"
    " are averages of the Wood Handbook: single boards differ, so leave a little more room than they say."
)
NO_CLIMATE = "The project tells no climate, so movement is not reckoned."
NOTHING_MOVES = "Nothing of this project is of solid wood, so nothing moves."
SAWN_WORDS = {Sawn.FLAT: "flat", Sawn.QUARTER: "quartered", Sawn.UNKNOWN: "not said: as flat"}


@dataclass(frozen=True, slots=True)
class SeasonWords:
    """What a part comes to in one place: its change across the grain, and in its thickness."""

    moisture: str
    change: str
    thickness: str


@dataclass(frozen=True, slots=True)
class MovingWords:
    """A part that moves: ``wood`` is what it was reckoned as. ``other`` is None without another season."""

    mark: str
    name: str
    quantity: int
    across: Figure
    wood: str
    sawn: str
    home: SeasonWords
    other: SeasonWords | None

    @property
    def seasons(self) -> tuple[SeasonWords, ...]:
        """In its place, then there in the other season."""
        return (self.home,) if self.other is None else (self.home, self.other)


@dataclass(frozen=True, slots=True)
class PanelWords:
    """A panel in its groove: what to cut it to, and how much stays in at its narrowest and widest."""

    mark: str
    name: str
    fit: str
    listed: Figure
    cut_to: Figure
    narrow: str
    wide: str
    assumed: bool
    stays: bool

    @property
    def says(self) -> str:
        """Its name, and what it is let into."""
        return f"{self.name}, in a {self.fit}{', if it is of solid wood' if self.assumed else ''}"


@dataclass(frozen=True, slots=True)
class MitreWords:
    """A mitre in one place: how far it wants to open, and where."""

    joint: str
    place: str
    across: Figure
    moisture: str
    gap: str
    side: str
    angle: str


@dataclass(frozen=True, slots=True)
class CrossingWords:
    """Wood that moves and wood that holds it: by how much they part, over which length."""

    moves: str
    held: str
    length: Figure
    differ: str


@dataclass(frozen=True, slots=True)
class MovementWords:
    """All of one assembly."""

    mark: str
    name: str
    parts: tuple[MovingWords, ...]
    panels: tuple[PanelWords, ...]
    mitres: tuple[MitreWords, ...]
    crossings: tuple[CrossingWords, ...]


def percent(moisture: float) -> str:
    """A moisture content, to a tenth.

    >>> percent(8.0), percent(9.271)
    ('8 %', '9.3 %')
    """
    return f"{round(moisture, 1):g} %"


def climate_said(document: Mapping[str, Mapping[str, float]] | None) -> str | None:
    """A climate as a project file writes it, in words; None for none.

    >>> climate_said({"from": {"moisture": 8}, "to": {"temperature": 20, "humidity": 65}})
    'in the shop 8 %, in its place 20 °C and 65 % humidity'
    """
    if document is None:
        return None
    told = zip(("from", "to", "other_to"), PLACES, strict=True)
    return ", ".join(f"{name} {_air(document[key])}" for key, name in told if key in document)


def _air(air: Mapping[str, float]) -> str:
    if "moisture" in air:
        return f"{air['moisture']:g} %"
    return f"{air['temperature']:g} °C and {air['humidity']:g} % humidity"


def air_word(place: str, air: Air) -> str:
    """What wood comes to in the air of a place, which is called as a climate's field is.

    >>> air_word("from", Air(moisture=8))
    'In the shop: wood comes to 8 % of moisture.'
    """
    return f"{IN_PLACES[place]}: wood comes to {percent(moisture_of(air))} of moisture."


def air_words(climate: Climate) -> tuple[str, ...]:
    """The same of every place of a climate."""
    places = {"from": climate.from_, "to": climate.to, "other_to": climate.other_to}
    return tuple(air_word(place, air) for place, air in places.items() if air is not None)


def seasons_heading(places: Places) -> tuple[str, ...]:
    """The headings of a part's changes, in its place and in the other season."""
    names = ("In its place", "In the other season")
    return tuple(f"{name}, {percent(each)}" for name, each in zip(names, places.away, strict=False))


def signed(mm: float, units: Units) -> str:
    """A change with its sign: to 0.01 mm, or to a thousandth of an inch with the nearest fraction beside it.

    >>> signed(1.328, Units.MM), signed(-1.328, Units.INCH), signed(0, Units.MM)
    ('+1.33 mm', '−0.052 in (3/64)', '0 mm')
    """
    way = "" if _is_nothing(mm, units) else "+" if mm > 0 else MINUS
    return way + _plain(abs(mm), units)


def _plain(mm: float, units: Units) -> str:
    if units is Units.MM:
        return f"{format_mm(mm, 2)} mm"
    fraction = format_inches(mm)
    beside = "" if fraction == "0" else f" ({fraction})"
    return f"{mm / 25.4:.3f} in{beside}"


def _is_nothing(mm: float, units: Units) -> bool:
    return round(abs(mm), 2) == 0 if units is Units.MM else round(abs(mm) / 25.4, 3) == 0


def change_words(change: Change, several: bool, units: Units) -> str:
    """A change, or from which to which where a wood's name means several kinds."""
    if several and change.most != change.least:
        return f"{signed(change.least, units)} to {signed(change.most, units)}"
    return signed(change.most, units)


def moving_words(part: PartMovement, units: Units) -> MovingWords:
    """A part's movement, worded in ``units``."""
    several = part.wood.known is not Known.ROW

    def season(each: Season) -> SeasonWords:
        return SeasonWords(
            percent(each.moisture),
            change_words(each.across, several, units),
            change_words(each.thickness, several, units),
        )

    return MovingWords(
        mark=part.mark,
        name=part.name,
        quantity=part.quantity,
        across=size(part.across, units),
        wood=part.wood.said,
        sawn=SAWN_WORDS[part.cut],
        home=season(part.home),
        other=None if part.other is None else season(part.other),
    )


def panel_words(panel: PanelFit, units: Units) -> PanelWords:
    """A panel's fit, worded in ``units``."""
    narrow = fine(panel.narrow, units) if panel.narrow > 0 else "drops out"
    return PanelWords(
        mark=panel.part.mark,
        name=panel.part.name,
        fit=panel.let_in.fit.value,
        listed=size(panel.listed, units),
        cut_to=size(panel.cut_to, units),
        narrow=f"{narrow} at {percent(panel.dry)}",
        wide=f"{fine(panel.wide, units)} at {percent(panel.wet)}",
        assumed=panel.part.assumed,
        stays=panel.stays,
    )


def _mitre(opening: MitreOpening, units: Units) -> MitreWords:
    closed = _is_nothing(opening.gap, units)
    return MitreWords(
        joint=opening.joint,
        place=opening.place,
        across=size(opening.across, units),
        moisture=percent(opening.moisture),
        gap=_plain(opening.gap, units),
        side="stays shut" if closed else "at the inside" if opening.inside else "at the outside",
        angle=f"{opening.angle:.2f}°",
    )


def _crossing(each: CrossGrain, units: Units) -> CrossingWords:
    return CrossingWords(
        f"{each.moves.mark} {each.moves.name}", each.held, size(each.length, units), signed(each.differ, units)
    )


def movement_words(takeoff: AssemblyTakeoff, movement: Movement, units: Units) -> MovementWords:
    """An assembly's movement, worded in ``units``."""
    return MovementWords(
        takeoff.expansion.mark,
        takeoff.expansion.name,
        tuple(moving_words(part, units) for part in movement.parts),
        tuple(panel_words(panel, units) for panel in movement.panels),
        tuple(_mitre(opening, units) for opening in movement.mitres),
        tuple(_crossing(each, units) for each in movement.crossings),
    )
