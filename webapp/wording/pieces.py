"""Single pieces in words: their names, where a joint lies on one, and the letter of its hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from domain.lengths import Mm, Units
from domain.machine.hands import Datum, Place, datum_of, place_of
from domain.parts import Side
from domain.spec.choices import Entry
from domain.takeoff.pieces import Hand, Joined, Piece, PieceName
from webapp.wording.figures import as_set

LETTERS = {Hand.LEFT: "L", Hand.RIGHT: "R"}
HANDS = {Hand.LEFT: "left-hand", Hand.RIGHT: "right-hand"}
ENDS = {Place.MITRED_END: "mitred end", Place.SQUARE_END: "square end"}
SURFACES = {side: {Side.TOP: "upper", Side.BOTTOM: "lower"}.get(side, side.value) for side in Side}
"""What the edge or face is called that lies there: "upper edge", "inside face"."""
AWAY = {
    Side.BOTTOM: "above it",
    Side.TOP: "below it",
    Side.LEFT: "right of it",
    Side.RIGHT: "left of it",
    Side.FRONT: "behind it",
    Side.BACK: "before it",
}
"""On which side of a line something lies that runs away from there."""
MOST_NAMED = 6
"""So many pieces are named one by one; of more, what they have in common."""
MOST_IN_A_RUN = 3
"""Of more that follow in even steps, the first two and the last are named."""


def place_on_piece(one: Joined, units: Units) -> str:
    """Where a joint lies on a piece: "left end", "560 mm from the bottom".

    An end by its side, a joint line that starts away from the end by its distance.
    """
    spot = one.spot
    if spot.whole:
        return f"{spot.surface} side"
    if one.index == 0 or spot.start is None:
        return f"{spot.surface} end"
    if not spot.offset:
        return f"{spot.start} {'edge' if spot.across else 'end'}"
    words = f"{as_set(spot.offset, units)} from the {spot.start}"
    return words if spot.surface is Side.INSIDE else f"{words}, {surface(one)}"


def surface(one: Joined) -> str:
    """What the edge or face of a piece is called that a joint is on: "upper edge", "inside face"."""
    return f"{SURFACES[one.spot.surface]} {'face' if one.joint.kind.on_edge else 'edge'}"


def standing(piece: Piece) -> str:
    """Where a piece of mirror images stands, as one looks at the front: "left side"; "" for the rest."""
    return "" if piece.stands is None else f"{piece.stands} {piece.part.name}"


def letters_text(hands: Iterable[Hand]) -> str:
    """The hands that a piece is milled with: "L", or "L and R" where it lies both ways; "" for none."""
    return " and ".join(sorted({LETTERS[hand] for hand in hands}))


def line_words(one: Joined, units: Units, *, turned: bool = False) -> str:
    """A marked line, and which part comes on which side of it: "line 560 mm from the bottom end, A5 above it".

    ``turned``: the part's other line, where the edge across from its reference edge comes.
    """
    spot = one.spot
    if spot.start is None:
        return "marked line"
    start = f"{spot.start} {'edge' if spot.across else 'end'}"
    offset = Mm(spot.offset + one.joint.face.breadth) if turned else spot.offset
    side = AWAY[spot.start.facing if turned else spot.start]
    return f"line {as_set(offset, units)} from the {start}, {one.partner.mark} {side}"


def edge_down(entry: Entry, spacer: Mm, units: Units) -> str:
    """The edge that lies on the table, or on the spacer there: "back", "back on a spacer of 6 mm"."""
    return f"{entry.value} on a spacer of {as_set(spacer, units)}" if spacer else entry.value


def slotted(one: Joined) -> str:
    """What of the piece is slotted; an edge or a face by the side that lies to the machine."""
    place = place_of(one.joint.kind, one.index)
    return ENDS[place] if place.is_end else f"{surface(one)} to the machine"


def at_fence(one: Joined, units: Units, *, turned: bool = False) -> str:
    """What of the piece is at the fence; ``turned``, the other edge or the line where that edge comes."""
    start = one.spot.start
    datum = datum_of(one.joint.kind, one.index)
    if turned:
        return (
            f"other edge{_which(one, turned=True)}"
            if datum is Datum.REFERENCE_EDGE
            else line_words(one, units, turned=True)
        )
    match datum:
        case Datum.TIP:
            return "mitre tip"
        case Datum.REFERENCE_EDGE:
            return f"reference edge{_which(one)}"
        case Datum.FLUSH_END:
            return f"{start} {'edge' if one.spot.across else 'end'}, flush with {one.partner.mark}"
        case Datum.MARKED_LINE:
            return line_words(one, units)


def _which(one: Joined, *, turned: bool = False) -> str:
    """Which edge the reference edge, or the one across from it, is, in brackets: of a board, it is a face."""
    start = one.spot.start
    if start is None:
        return ""
    side = start.facing if turned else start
    return f" ({SURFACES[side]} {'face' if one.joint.kind.on_edge else 'edge'})"


def named(here: Sequence[Joined], copies: int) -> str:
    """The pieces of these places by their names, over all copies: "A1 1/4, 3/4".

    Of many that follow in even steps the first two and the last: "A1 1/80, 3/80 … 79/80".
    """
    mark, each = here[0].piece.mark, here[0].piece.total
    firsts = sorted({one.piece.number for one in here})
    if len(firsts) == each:
        runs = [range(1, each * copies + 1)]
    elif copies == 1:
        runs = list(_runs(firsts))
    else:
        runs = [range(first, each * copies + 1, each) for first in firsts]
    # a handful is named in order, whatever copy each belongs to
    if len(firsts) * copies <= MOST_NAMED and len(runs) > 1:
        runs = [range(number, number + 1) for number in sorted(number for run in runs for number in run)]
    return f"{mark}\xa0{', '.join(_run(run, each * copies) for run in runs)}"


def pieces_text(names: Sequence[PieceName]) -> str:
    """Pieces of a mark by their names, in their order; of many that follow in even steps the first and the last.

    >>> pieces_text([PieceName("A1", number, 80) for number in range(1, 80, 2)]).split()
    ['A1', '1/80,', '3/80', '…', '79/80']
    """
    mark, total = names[0].mark, names[0].total
    numbers = [name.number for name in names]
    steps = {after - before for before, after in pairwise(numbers)}
    if len(numbers) <= MOST_NAMED and len(steps) != 1:
        runs = [range(number, number + 1) for number in numbers]
    else:
        runs = [range(numbers[0], numbers[-1] + 1, *steps)] if len(steps) == 1 else list(_runs(numbers))
    shown, left = runs[:MOST_NAMED], sum(map(len, runs[MOST_NAMED:]))
    more = f" and {left} more" if left else ""
    return f"{mark}\xa0{', '.join(_run(run, total) for run in shown)}{more}"


def _run(numbers: range, total: int) -> str:
    if len(numbers) <= MOST_IN_A_RUN:
        return ", ".join(f"{number}/{total}" for number in numbers)
    return f"{numbers[0]}/{total}, {numbers[1]}/{total} … {numbers[-1]}/{total}"


def _runs(numbers: Iterable[int]) -> Iterator[range]:
    """Numbers that follow each other, together."""
    run = range(0)
    for number in numbers:
        if run and number == run.stop:
            run = range(run.start, number + 1)
        else:
            if run:
                yield run
            run = range(number, number + 1)
    yield run
