"""All that a climate does to one assembly, and the notes that say it, the warnings first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from domain.lengths import Mm
from domain.moving.cross_grain import CrossGrain, Crossing, cross_grains
from domain.moving.mitres import MitreOpening, mitre_openings
from domain.moving.panels import PanelFit, panel_fits
from domain.moving.parts import PartMovement, part_movements
from domain.moving.places import Places, places_of
from domain.notes import Note, NoteCode
from domain.parts import Expansion
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.spec.wood import Climate, PartChange, Sawn
from domain.timber.moving_species import Known

TIGHT = 0.1
"""By how much (mm) a panel may outgrow its groove's width unsaid: common practice (no source)."""
_CROSSINGS = {
    Crossing.RAIL: NoteCode.CROSSING_RAIL,
    Crossing.EDGE: NoteCode.CROSSING_EDGE,
    Crossing.PLINTH: NoteCode.CROSSING_PLINTH,
    Crossing.PLINTH_FRAME: NoteCode.CROSSING_PLINTH_FRAME,
    Crossing.TOP_OVER: NoteCode.CROSSING_TOP,
}


@dataclass(frozen=True, slots=True)
class Movement:
    """An assembly's parts, panels, mitres and crossings of grain, between its places."""

    places: Places
    parts: tuple[PartMovement, ...]
    panels: tuple[PanelFit, ...]
    mitres: tuple[MitreOpening, ...]
    crossings: tuple[CrossGrain, ...]


def movement_of(
    spec: Assembly, expansion: Expansion, climate: Climate, changes: Mapping[str, PartChange], rules: Rules
) -> Movement:
    """What the climate does to this assembly; ``changes`` are those of the parts list, by mark."""
    places = places_of(climate)
    parts = part_movements(spec, expansion, places, changes)
    moving = {part.mark: part for part in parts}
    return Movement(
        places,
        parts,
        panel_fits(spec, expansion, moving, rules.panel_cover.mm),
        mitre_openings(expansion, moving),
        cross_grains(spec, expansion, moving, rules.cross_grain_limit.mm),
    )


def notes_on_movement(movement: Movement, rules: Rules) -> Iterator[Note]:
    """What is said of an assembly's movement; nothing where none of its parts is of solid wood."""
    if not movement.parts:
        return
    yield from _of_crossings(movement.crossings)
    yield from _of_mitres(movement.mitres, rules.mitre_gap.mm)
    for panel in movement.panels:
        yield from _of_panel(panel)
    yield from _of_wood(movement)


def _of_crossings(crossings: tuple[CrossGrain, ...]) -> Iterator[Note]:
    said: set[tuple[object, ...]] = set()
    for each in crossings:
        alike = (each.crossing, each.moves.mark, each.held)
        if alike in said:
            continue
        said.add(alike)
        yield Note.of(
            _CROSSINGS[each.crossing],
            piece_text=f"{each.moves.mark} {each.moves.name}",
            held_text=each.held,
            change_fine=abs(each.differ),
            way_text="narrower" if each.differ < 0 else "wider",
            length=each.length,
            third=round(each.length / 3),
        )


def _of_mitres(mitres: tuple[MitreOpening, ...], limit: Mm) -> Iterator[Note]:
    worst: dict[str, MitreOpening] = {}
    for each in mitres:
        if each.joint not in worst or each.gap > worst[each.joint].gap:
            worst[each.joint] = each
    for each in worst.values():
        if each.gap > limit:
            yield Note.of(
                NoteCode.MITRE_OPENS,
                joint_text=each.joint,
                side_text="inside" if each.inside else "outside",
                gap_fine=each.gap,
                moisture_n=round(each.moisture, 1),
                across=each.across,
                limit_fine=limit,
            )


def _of_panel(panel: PanelFit) -> Iterator[Note]:
    words = {
        "piece_text": f"{panel.part.mark} {panel.part.name}",
        "fit_text": panel.let_in.fit.value,
        "dry_n": round(panel.dry, 1),
        "wet_n": round(panel.wet, 1),
        "if_text": "If it is of solid wood: " if panel.part.assumed else "",
    }
    if panel.narrow <= 0:
        yield Note.of(NoteCode.PANEL_DROPS_OUT, **words, least=panel.least, more_fine=panel.deeper)
    elif not panel.stays:
        figures = {"stays_fine": panel.narrow, "least": panel.least, "more_fine": panel.deeper}
        yield Note.of(NoteCode.PANEL_LEAVES, **words, **figures)
    if panel.ease:
        yield Note.of(NoteCode.PANEL_SWELLS, **words, ease_fine=panel.ease, size=panel.cut_to)
    if panel.stays:
        yield Note.of(NoteCode.PANEL_STAYS, **words, stays_fine=panel.narrow)
    if panel.tight > TIGHT:
        yield Note.of(NoteCode.PANEL_TIGHT, **words, more_fine=panel.tight)


def _of_wood(movement: Movement) -> Iterator[Note]:
    """What moves most, what it was reckoned as, and by which formula."""
    most = max(movement.parts, key=lambda part: abs(part.most))
    season = max(most.seasons, key=lambda each: abs(each.across.most))
    ranged = most.wood.known is not Known.ROW
    yield Note.of(
        NoteCode.MOVES_BETWEEN if ranged else NoteCode.MOVES,
        shop_n=round(most.shop, 1),
        moisture_n=round(season.moisture, 1),
        piece_text=f"{most.mark} {most.name}",
        size=most.across,
        change_fine=abs(season.across.most),
        least_fine=abs(season.across.least),
        way_text="narrower" if season.across.most < 0 else "wider",
        wood_text=most.wood.said,
        sawn_text="quarter sawn" if most.cut is Sawn.QUARTER else "flat sawn",
    )
    if any(part.cut is Sawn.UNKNOWN for part in movement.parts):
        yield Note.of(NoteCode.SAWN_UNKNOWN)
    for name in dict.fromkeys(part.wood.name for part in movement.parts if part.wood.known is Known.GROUP):
        yield Note.of(NoteCode.WOOD_NOT_IN_TABLE, wood_text=name or "")
    if any(part.wood.known is Known.NOTHING for part in movement.parts):
        yield Note.of(NoteCode.NO_WOOD_NAMED)
    if not movement.places.by_coefficients:
        yield Note.of(NoteCode.OTHER_FORMULA)
