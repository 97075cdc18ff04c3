"""How a project's wood moves, on paper: the page's own tables, panels drawn in their grooves."""

from __future__ import annotations

from domain.lengths import Units
from domain.moving.movement import Movement, notes_on_movement
from domain.moving.places import places_of
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.panel_fit import draw_panel_fit
from webapp.papers.pictures import Json, picture
from webapp.wording.movement import (
    ABOUT,
    NO_CLIMATE,
    NOTHING_MOVES,
    MovingWords,
    PanelWords,
    air_words,
    movement_words,
    seasons_heading,
)
from webapp.wording.words import notes_text


def movement_data(project: Project, takeoff: Takeoff, units: Units) -> Json:
    """What the sheet's template sets; without a climate, or where nothing moves, the sentence that says so."""
    climate, rules = project.climate, project.rules or Rules()
    moving = [(each, each.movement) for each in takeoff.assemblies if each.movement and each.movement.parts]
    nothing = NO_CLIMATE if climate is None else NOTHING_MOVES
    return {
        "about": ABOUT,
        "air": [] if climate is None else list(air_words(climate)),
        "nothing": "" if moving else nothing,
        "seasons": [] if climate is None else list(seasons_heading(places_of(climate))),
        "assemblies": [_assembly(each, movement, rules, units) for each, movement in moving],
    }


def _assembly(takeoff: AssemblyTakeoff, movement: Movement, rules: Rules, units: Units) -> Json:
    words = movement_words(takeoff, movement, units)
    return {
        "mark": words.mark,
        "name": words.name,
        "quantity": takeoff.expansion.quantity,
        "notes": list(notes_text(notes_on_movement(movement, rules), units)),
        "parts": [_part(part) for part in words.parts],
        "panels": [_panel(panel) for panel in words.panels],
        "pictures": [
            {"mark": panel.part.mark, "drawing": picture(drawing), "says": drawing.describes}
            for panel in movement.panels
            for drawing in [draw_panel_fit(panel, units)]
        ],
        "mitres": [
            [each.joint, each.place, str(each.across), each.moisture, each.gap, each.side, each.angle]
            for each in words.mitres
        ],
        "crossings": [[each.moves, each.held, str(each.length), each.differ] for each in words.crossings],
    }


def _part(words: MovingWords) -> Json:
    return {
        "mark": words.mark,
        "name": words.name,
        "cells": [words.wood, words.sawn, str(words.across)],
        "seasons": [{"change": each.change, "thickness": each.thickness} for each in words.seasons],
    }


def _panel(words: PanelWords) -> Json:
    return {
        "mark": words.mark,
        "name": words.says,
        "cells": [str(words.listed), str(words.cut_to)],
        "narrow": words.narrow,
        "stays": words.stays,
        "wide": words.wide,
    }
