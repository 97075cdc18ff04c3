"""What is ticked off at the machine: the test of a set-up first, then its pieces, each under a key that stays.

The key of a piece is that of the set-up sheet, and a set-up's is made of its six values: where a project is
changed, the ticks of everything that did not change still count, and those of the rest count no more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from domain.machine.set_ups import Batch, SetUpWork
from domain.machine.work_time import PIECES_OF_A_TEST

Sums = Mapping[tuple[str, str], int]
"""How many are ticked off, by the keys of set-up and piece; what was taken back is not in them."""


@dataclass(frozen=True, slots=True)
class Tickable:
    """One row to tick off: ``quantity`` equal places (or all its test joints), each with ``slots`` slots to mill.

    ``batch`` is None for the test. Ticks are booked under the first of ``keys``; a test that serves several
    projects has a key for each of them.
    """

    set_up: str
    keys: tuple[str, ...]
    batch: Batch | None
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


def tickables(work: SetUpWork) -> tuple[Tickable, ...]:
    """The rows of a set-up in the order of the work: its test first, also where no test key is driven in it."""
    return (_test(work), *_batches(work))


def is_finished(rows: Sequence[Tickable], sums: Sums) -> bool:
    """Whether everything of a set-up is ticked off."""
    return all(row.done(sums) == row.quantity for row in rows)


def _test(work: SetUpWork) -> Tickable:
    keys = tuple(dict.fromkeys(f"{batch.source}/test" for batch in work.batches))
    # a test that the rules do not count costs no planned time either
    # one tick for all of it, so that the row is the same wherever on the sheet the set-up comes
    return Tickable(work.key, keys, None, 1, PIECES_OF_A_TEST * work.test_joints)


def _batches(work: SetUpWork) -> Iterator[Tickable]:
    for batch in work.batches:
        yield Tickable(work.key, (batch.key,), batch, batch.quantity, len(batch.lies))
