"""Part labels: one for every piece, saying what it is and where it goes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from domain.lengths import Units
from domain.machine.set_ups import Source, set_up_works
from domain.parts import Member, Panel
from domain.setting_out.sheets import set_out
from domain.spec.rules import Rules
from domain.takeoff.pieces import Hand, Joined, Piece, PieceName, pieces
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.drawings.qr import qr_svg
from webapp.papers.kinds import LabelChoices, Paper, label_sheet
from webapp.papers.pictures import Json
from webapp.wording.parts import SQUARE, part_words
from webapp.wording.pieces import letters_text, pieces_text, place_on_piece, standing

Place = tuple[str, int, int, PieceName]
"""A piece's place in a joint: the joint's mark and number, which of its members, and the piece."""
Hands = Mapping[Place, Sequence[Hand]]


def labels_data(
    takeoff: Takeoff, project: str, units: Units, paper: Paper, choices: LabelChoices, rules: Rules
) -> Json:
    """What the labels' template sets. Raises LabelSizeError."""
    hands = _hands(takeoff, rules)
    sheet = label_sheet(paper, choices.width, choices.height)
    marks = [part.mark for each in takeoff.assemblies for part in each.expansion.parts]
    return {
        "columns": sheet.columns,
        "rows": sheet.rows,
        "left": sheet.left,
        "top": sheet.top,
        "width": choices.width,
        "height": choices.height,
        "codes": {mark: qr_svg(f"{choices.address or f'dovetally:{project}/'}{mark}") for mark in marks},
        "labels": [label for each in takeoff.assemblies for label in _labels(each, hands, units)],
    }


def _hands(takeoff: Takeoff, rules: Rules) -> Hands:
    """The hands in which every piece is milled at its joints, as the set-up sheet has them.

    A slot that is measured from the other edge is milled with the other hand.
    """
    found: dict[Place, list[Hand]] = {}
    for work in set_up_works([Source(takeoff.project, takeoff, rules)]):
        for batch in work.batches:
            for one in batch.places():
                found.setdefault(_place(one), []).extend(lie.hand for lie in batch.lies)
    return found


def _place(one: Joined) -> Place:
    return one.joint.mark, one.number, one.index, one.piece


def _labels(assembly: AssemblyTakeoff, hands: Hands, units: Units) -> list[Json]:
    expansion = assembly.expansion
    named = f"{expansion.mark} · {expansion.name}"
    drawn = {name: pieces_text(entry.pieces[:1]) for entry in set_out(assembly) for name in entry.pieces}
    labels = []
    for piece in pieces(expansion):
        copy = f", {piece.copy} of {expansion.quantity}" if expansion.quantity > 1 else ""
        label = _label(piece, f"{named}{copy}", hands, units)
        labels.append(label | {"set_out": drawn.get(piece.name, "")})
    return labels


def _label(piece: Piece, assembly: str, hands: Hands, units: Units) -> Json:
    part = piece.part
    return {
        "mark": part.mark,
        "number": f"{piece.name.number}/{piece.name.total}",
        "name": part.name,
        "stands": standing(piece),
        "size": _size(part, units),
        "material": part.material or "",
        "assembly": assembly,
        "joints": [_joint(one, hands.get(_place(one), ()), units) for one in piece.joints],
    }


def _size(part: Member | Panel, units: Units) -> str:
    """The part's size with the saw's angle where its ends are not square; a line may end between two figures."""
    words = part_words(part, units)
    size = words.size.replace("\xa0×\xa0", " × ")
    return size if words.ends in {"", SQUARE} else f"{size}, {words.ends}"


def _joint(one: Joined, hands: Sequence[Hand], units: Units) -> Json:
    """A joint of the piece; a joint that cannot be made has no hand."""
    return {
        "place": place_on_piece(one, units),
        "joint": f"{one.joint.mark} {one.number}/{one.total}",
        "hand": letters_text(hands),
        "partner": str(one.partner),
    }
