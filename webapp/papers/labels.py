"""Part labels: one for every piece, saying what it is and where it goes."""

from __future__ import annotations

from io import BytesIO

import segno

from domain.lengths import Units
from domain.parts import Member, Panel
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.papers.kinds import Paper
from webapp.papers.label_sheets import LabelChoices, label_sheet
from webapp.papers.pictures import Json
from webapp.papers.pieces import Meeting, Piece, pieces
from webapp.wording.figures import as_set
from webapp.wording.parts import SQUARE, part_words, parts_of


def labels_data(takeoff: Takeoff, project: str, units: Units, paper: Paper, choices: LabelChoices) -> Json:
    """What the labels' template sets. Raises LabelSizeError."""
    sheet = label_sheet(paper, choices.width, choices.height)
    marks = [part.mark for each in takeoff.assemblies for part in parts_of(each.expansion)]
    return {
        "columns": sheet.columns,
        "rows": sheet.rows,
        "left": sheet.left,
        "top": sheet.top,
        "width": choices.width,
        "height": choices.height,
        "codes": {mark: qr_svg(f"{choices.address or f'dovetally:{project}/'}{mark}") for mark in marks},
        "labels": [label for each in takeoff.assemblies for label in _labels(each, units)],
    }


def _labels(assembly: AssemblyTakeoff, units: Units) -> list[Json]:
    expansion = assembly.expansion
    named = f"{expansion.mark} · {expansion.name}"
    labels = []
    for piece in pieces(expansion):
        copy = f", {piece.copy} of {expansion.quantity}" if expansion.quantity > 1 else ""
        labels.append(_label(piece, f"{named}{copy}", units))
    return labels


def _label(piece: Piece, assembly: str, units: Units) -> Json:
    part = piece.part
    return {
        "mark": part.mark,
        "number": f"{piece.number}/{piece.total}",
        "name": part.name,
        "hand": "" if piece.hand is None else piece.hand.value,
        "size": _size(part, units),
        "material": part.material or "",
        "assembly": assembly,
        "meetings": [_meeting(meeting, units) for meeting in piece.meetings],
    }


def _size(part: Member | Panel, units: Units) -> str:
    """The part's size with its ends where they are not square; a line may end between two figures."""
    words = part_words(part, units)
    size = words.size.replace("\xa0×\xa0", " × ")
    return size if words.ends in {"", SQUARE} else f"{size}, ends\xa0{words.ends}"


def _meeting(meeting: Meeting, units: Units) -> Json:
    along = "" if meeting.along is None else f"{as_set(meeting.along, units)} "
    return {
        "place": f"{along}{meeting.place}",
        "joint": f"{meeting.joint} {meeting.number}/{meeting.total}",
        "partner": f"{meeting.partner} {meeting.partner_number}/{meeting.partner_total}",
    }


def qr_svg(text: str) -> str:
    """A QR code (ISO/IEC 18004) of the text as SVG, in black, with its quiet zone."""
    out = BytesIO()
    segno.make(text, micro=False, error="m").save(
        out, kind="svg", border=4, xmldecl=False, svgclass=None, lineclass=None
    )
    return out.getvalue().decode()
