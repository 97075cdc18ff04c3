"""A run that is entered from both ends: a depth for each of them, where that holds more than one for both.

One end may have a groove or rabbet before it and the other not; or the run may be too short for a long stack from
both ends, and long enough for a long and a shorter one. Each end then takes keys as a joint entered from there
alone would, and the two slots leave the wall between them. The order of preference is that of ``depth.py``, the
stack being what both ends take together. A second depth costs a change of the stop, so there is one where the hold
is equal.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby, product

from domain.intervals import Intervals, intersection
from domain.lengths import Length
from domain.notes import Note
from domain.planning.depth import Attempt, Seating, Sunk, best_filled, seat
from domain.planning.layout import Layout
from domain.planning.stack import Stack
from domain.spec.choices import Entry

Pair = tuple[Stack, Stack]
"""What goes into the first end of the run, and what into the far one."""


def seat_each_end(attempt: Attempt) -> Seating | Note:
    """The best way to seat keys in this attempt, with a depth for each end of the run where that holds more."""
    alike = seat(attempt)
    if attempt.entry is not Entry.BOTH or (isinstance(alike, Note) and not attempt.no_ends):
        # where the shortest key finds no room at one of the ends, it is no help that the other has more
        return alike
    held = alike.held if isinstance(alike, Seating) else Length(0)
    near, far = (replace(attempt, entry=end) for end in attempt.face.ends)
    stacks = [end.stacks_within(end.drive_limit) for end in (near, far)]
    if not all(stacks) or held_by((stacks[0][0], stacks[1][0])) <= held:
        return alike
    longest = _longest(attempt, *stacks)
    if longest is None or held_by(longest) <= held:
        return alike
    rooms = [
        (pair, allowed)
        for (here, first), (there, second) in product(_by_room(near, stacks[0]), _by_room(far, stacks[1]))
        if (allowed := intersection(here, there)) and (pair := _longest(attempt, first, second)) is not None
    ]
    best = best_filled(attempt, sorted(rooms, key=lambda room: -held_by(room[0]).nm)) if rooms else None
    if best is None or isinstance(best, Note) or held_by(best[0]) <= held:
        return alike
    return _sunk(attempt, (near, far), *best) or alike


def held_by(pair: Pair) -> Length:
    """The keys of both ends together."""
    return pair[0].total + pair[1].total


def _room(attempt: Attempt) -> Length:
    """What the depths of both ends may come to."""
    return Length.from_mm(attempt.face.run - attempt.rules.wall.mm)


def _longest(attempt: Attempt, first: Sequence[Stack], second: Sequence[Stack]) -> Pair | None:
    """Of these stacks, longest first, the pair that the run takes and that holds most.

    Of equal ones that with the fewest keys, then the two that are most alike, then the longer at the first end.
    """
    past_keys = attempt.past_end + attempt.least_recess
    room = (_room(attempt) - past_keys - past_keys).nm
    best: tuple[tuple[int, int, int, int], Pair] | None = None
    at = len(second)
    for here in first:
        # the shorter the one, the longer the other may be
        while at > 0 and here.total.nm + second[at - 1].total.nm <= room:
            at -= 1
        if at < len(second):
            there = second[at]
            one, other = here.total.nm, there.total.nm
            worth = (one + other, -len(here.keys) - len(there.keys), -abs(one - other), one)
            if best is None or worth > best[0]:
                best = worth, (here, there)
    return None if best is None else best[1]


def _by_room(end: Attempt, stacks: Sequence[Stack]) -> Iterator[tuple[Intervals, tuple[Stack, ...]]]:
    """Stacks, longest first, by the allowed centres that they leave at this end; none that leaves none."""
    found: dict[int, Intervals] = {}

    def look(low: int, high: int) -> None:
        for at in (low, high):
            if at not in found:
                found[at] = end.allowed(end.least_slot(stacks[at]).mm)
        if found[low] == found[high]:
            # allowed centres only grow towards shorter stacks: what lies between has the same
            found.update((at, found[low]) for at in range(low + 1, high))
        elif high - low > 1:
            look(low, (low + high) // 2)
            look((low + high) // 2, high)

    if stacks:
        look(0, len(stacks) - 1)
    for allowed, same in groupby(range(len(stacks)), key=found.__getitem__):
        if allowed:
            yield allowed, tuple(stacks[at] for at in same)


def _sunk(attempt: Attempt, ends: tuple[Attempt, Attempt], pair: Pair, layout: Layout) -> Seating | None:
    """The pair as far below its edges as it is wanted, or as the wood at these centres and the run allow.

    None where a slot would end in a groove that it crosses.
    """
    near, far = (
        min(end.budget(layout.centres), end.wanted_slot(stack).mm) for end, stack in zip(ends, pair, strict=True)
    )
    spare = [deep - end.least_slot(stack).mm for deep, end, stack in zip((near, far), ends, pair, strict=True)]
    over = near + far - _room(attempt).mm
    if over > 0:
        # each gives up half of what is too much, or what it has
        given = max(min(over / 2, spare[0]), over - spare[1])
        near, far = near - given, far - (over - given)
    near, far = round(near, 6), round(far, 6)
    if not (ends[0].may_end(near) and ends[1].may_end(far)):
        return None
    allowed = intersection(ends[0].allowed(near), ends[1].allowed(far))
    sunk = Sunk(pair[1], far, attempt.recess_in(far, pair[1]))
    centres = attempt.snapped(layout, allowed)
    return Seating(pair[0], centres, near, attempt.recess_in(near, pair[0]), allowed, sunk)


def undriven(attempt: Attempt, seating: Seating) -> Length | None:
    """What keys a slot could take, where it is only the drive limit that keeps it to less; else None."""
    if seating.far is None:
        return _undriven(attempt, seating.stack, attempt.deepest)
    near, far = (replace(attempt, entry=end) for end in attempt.face.ends)
    room = _room(attempt) - attempt.past_end - attempt.least_recess
    slots = ((near, seating.stack, seating.far.depth), (far, seating.far.stack, seating.depth))
    found = (_undriven(end, stack, room - Length.from_mm(other)) for end, stack, other in slots)
    return next((total for total in found if total is not None), None)


def _undriven(attempt: Attempt, stack: Stack, limit: Length) -> Length | None:
    possible = attempt.stacks_within(limit)
    kept = possible[0].total > stack.total and stack == attempt.stacks_within(attempt.drive_limit)[0]
    return possible[0].total if kept else None
