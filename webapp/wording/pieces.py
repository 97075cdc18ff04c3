"""Single pieces in words: their names, where a joint lies on one, and the letter of its hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from domain.lengths import Units
from domain.parts import Side
from domain.spec.choices import Entry
from domain.takeoff.pieces import Hand, Joined, Piece
from webapp.wording.figures import as_set

LETTERS = {Hand.LEFT: "L", Hand.RIGHT: "R"}
HANDS = {Hand.LEFT: "left-hand", Hand.RIGHT: "right-hand"}
SURFACES = {side: {Side.TOP: "upper", Side.BOTTOM: "lower"}.get(side, side.value) for side in Side}
"""What the edge or face is called that lies there: "upper edge", "inside face"."""
AWAY = {
    Side.BOTTOM: "above",
    Side.TOP: "below",
    Side.LEFT: "right of it",
    Side.RIGHT: "left of it",
    Side.FRONT: "behind it",
    Side.BACK: "before it",
}
"""On which side of a line something lies that runs away from there."""
MOST_NAMED = 6
"""So many pieces are named one by one; of more, every how-manieth one."""


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


def hand_letters(one: Joined, entry: Entry) -> str:
    """The piece's hand in every pass: "L"; where it is turned over for a second one, "L, then R"."""
    entries = one.joint.face.ends if entry is Entry.BOTH else (entry,)
    return ", then ".join(LETTERS[one.hand_with(each)] for each in entries)


def line_words(one: Joined, units: Units) -> str:
    """A marked line, and on which side of it the slot lies: "line 560 mm from the bottom, slot above"."""
    spot = one.spot
    if spot.start is None:
        return "marked line"
    return f"line {as_set(spot.offset, units)} from the {spot.start}, slot {AWAY[spot.start]}"


def named(here: Sequence[Joined], copies: int) -> str:
    """The pieces of these places by their names, over all copies: "A1 1/4, 3/4"; all of a mark: "A1 1–4/4".

    Of many, every how-manieth one: "A1 1/80, 3/80 … 79/80".
    """
    mark, each = here[0].piece.mark, here[0].piece.total
    firsts = sorted({one.piece.number for one in here})
    total = each * copies
    if len(firsts) == each and total > 2:
        words = [f"1–{total}/{total}"]
    elif len(firsts) * copies <= MOST_NAMED:
        numbers = sorted(first + copy * each for first in firsts for copy in range(copies))
        words = [f"{number}/{total}" for number in numbers]
    elif copies == 1:
        words = [f"{low}/{total}" if low == high else f"{low}–{high}/{total}" for low, high in _runs(firsts)]
    else:
        words = [_every(first, each, copies, total) for first in firsts]
    return f"{mark} {', '.join(words)}".replace(" ", "\xa0", 1)


def _every(first: int, each: int, copies: int, total: int) -> str:
    if copies == 2:
        return f"{first}/{total}, {first + each}/{total}"
    return f"{first}/{total}, {first + each}/{total} … {first + (copies - 1) * each}/{total}"


def _runs(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """Numbers that follow each other, as first and last."""
    runs: list[tuple[int, int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs
