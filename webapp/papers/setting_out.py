"""The setting-out sheet on paper: every piece with its views, as the page has it."""

from __future__ import annotations

from domain.lengths import Units
from domain.setting_out.sheets import SetOut, set_out
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.setting_out import draw_view
from webapp.papers.pictures import Json, picture
from webapp.wording.setting_out import ABOUT, HEADINGS, set_out_words
from webapp.wording.words import notes_text


def setting_out_data(takeoff: Takeoff, units: Units) -> Json:
    """What the setting-out sheet's template sets."""
    return {
        "about": ABOUT,
        "headings": list(HEADINGS),
        "notes": list(notes_text(takeoff.notes, units)),
        "assemblies": [_assembly(each, units) for each in takeoff.assemblies],
    }


def _assembly(assembly: AssemblyTakeoff, units: Units) -> Json:
    expansion = assembly.expansion
    return {
        "mark": expansion.mark,
        "name": expansion.name,
        "quantity": expansion.quantity,
        "pieces": [_piece(entry, assembly, units) for entry in set_out(assembly)],
    }


def _piece(entry: SetOut, assembly: AssemblyTakeoff, units: Units) -> Json:
    words = set_out_words(entry, assembly.joints, units)
    return {
        "pieces": words.pieces,
        "name": words.name,
        "said": words.said,
        "shape": words.shape,
        "views": [
            {
                "name": each.name,
                "end": view.place.is_end,
                "drawing": picture(draw_view(view, units, words.pieces)),
                "rows": [[row.joint, row.part, row.where, row.slots, row.lies] for row in each.rows],
                "fastened": list(each.fastened),
                "channels": list(each.channels),
            }
            for view, each in zip(entry.views, words.views, strict=True)
        ],
    }
