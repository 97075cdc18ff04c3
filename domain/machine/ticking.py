"""What is ticked off at the machine: the test of a set-up first, then its pieces, each under a key that stays.

The key of a piece is that of the set-up sheet, and a set-up's is made of its six values: where a project is
changed, the ticks of everything that did not change still count, and those of the rest count no more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from domain.machine.set_ups import Milling, Piece
from domain.machine.work_time import PIECES_OF_A_TEST

Sums = Mapping[tuple[str, str], int]
"""How many are ticked off, by the keys of set-up and piece; what was taken back is not in them."""


@dataclass(frozen=True, slots=True)
class Tickable:
    """One row to tick off: ``quantity`` equal pieces (or test joints), each with ``slots`` slots to mill.

    ``piece`` is None for the test. Ticks are booked under the first of ``keys``; a test that serves several
    projects has a key for each of them.
    """

    set_up: str
    keys: tuple[str, ...]
    piece: Piece | None
    quantity: int
    slots: int

    @property
    def key(self) -> str:
        """The key that a tick is booked under."""
        return self.keys[0]

    def done(self, sums: Sums) -> int:
        """How many of them are ticked off. Two people may have ticked the same: it is never more than there are.

        A test that serves several projects is done for all where it was done for one.
        """
        most = max(sums.get((self.set_up, key), 0) for key in self.keys)
        return min(max(0, most), self.quantity)


def tickables(milling: Milling) -> tuple[Tickable, ...]:
    """The rows of a set-up in the order of the work: its test first, also where the rules ask for no test key."""
    return (_test(milling), *_pieces(milling))


def is_finished(rows: Sequence[Tickable], sums: Sums) -> bool:
    """Whether everything of a set-up is ticked off."""
    return all(row.done(sums) == row.quantity for row in rows)


def _test(milling: Milling) -> Tickable:
    keys = tuple(dict.fromkeys(f"{piece.source}/test" for piece in milling.pieces))
    # a test that the rules do not count costs no planned time either
    return Tickable(milling.key, keys, None, max(1, milling.tests), PIECES_OF_A_TEST if milling.tests else 0)


def _pieces(milling: Milling) -> Iterator[Tickable]:
    for piece in milling.pieces:
        yield Tickable(milling.key, (piece.key,), piece, piece.quantity, len(piece.lies))
