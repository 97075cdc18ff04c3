"""Which slots of square joints are measured from the other edge, so that the fewest fence readings are set.

A slot of a square joint lies u from the reference edge and breadth − u from the edge across from it. With that
edge, or the line where it comes, at the fence, the piece lies as before, entry edge down and mating face to the
machine; only the fence stands on the other side, so hands change over. Both pieces of a joint are turned alike.

Every slot asks for one of two readings, so the fewest readings are a least vertex cover of the graph whose edges
are the slots; it is found exactly: what hangs on one slot alone is settled at once, the rest by trying either.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from domain.lengths import Mm
from domain.machine.changing import by_values
from domain.machine.reachable import TOUCH, nearest_reading
from domain.planning.plans import JointPlan
from domain.planning.set_up import SetUp
from domain.spec.rules import Rules

Pairs = frozenset[tuple[int, int]]
"""The two places of readings that a slot may be milled at, the lesser first."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A slot's set-ups: from the reference edge, and from the other edge. None: it cannot be set so."""

    own: SetUp | None
    other: SetUp | None

    def milled_with(self, *, turned: bool) -> SetUp:
        """The set-up that mills it. Raises ValueError where it cannot be set so."""
        found = self.other if turned else self.own
        if found is None:
            raise ValueError("this slot is not measured from that edge")
        return found


def asked_of(joint: JointPlan, set_up: SetUp, rules: Rules) -> Asked:
    """What a slot may be milled with: no mitre has an edge across from its tip, no fence stands in the cutter.

    Where it would from either edge, the reference edge stays, and a note says what helps.
    """
    other = replace(set_up, fence_reading=Mm(round(joint.joint.face.breadth - set_up.fence_reading, 3)))
    if set_up.mitred or _too_near(other, rules):
        return Asked(set_up, None)
    return Asked(None if _too_near(set_up, rules) else set_up, other)


def _too_near(set_up: SetUp, rules: Rules) -> bool:
    return set_up.fence_reading < nearest_reading(set_up, rules) - TOUCH


def fewest(asked: Sequence[Asked]) -> tuple[bool, ...]:
    """For every slot, whether it is measured from the other edge, so that the set-ups are as few as can be.

    A slot whose reading is set anyway is measured from the reference edge. Of equal choices, the smaller
    readings. Independent of the order of what is asked.
    """
    # those that are equal but for their reading stand beside each other, the smaller reading first
    ordered = sorted({each for one in asked for each in (one.own, one.other) if each is not None}, key=by_values)
    places = {set_up: place for place, set_up in enumerate(ordered)}
    ways = [sorted({places[each] for each in (one.own, one.other) if each is not None}) for one in asked]
    must = {way[0] for way in ways if len(way) == 1}
    pairs = frozenset((way[0], way[1]) for way in ways if not must & set(way))
    chosen = must | _cover(pairs)
    return tuple(one.own is None or places[one.own] not in chosen for one in asked)


def _cover(pairs: Pairs) -> frozenset[int]:
    """The fewest places of which every pair has one."""
    if not pairs:
        return frozenset()
    met = _met(pairs)
    for place in sorted(met):
        if len(met[place]) == 1:
            # its neighbour settles as much and perhaps more; of two alone, the first
            (near,) = met[place]
            taken = near if len(met[near]) > 1 else min(place, near)
            return _cover(_without(pairs, [taken])) | {taken}
    most = min(met, key=lambda place: (-len(met[place]), place))
    with_it = _cover(_without(pairs, [most])) | {most}
    without = _cover(_without(pairs, met[most])) | met[most]
    return min(with_it, without, key=lambda cover: (len(cover), sorted(cover)))


def _met(pairs: Pairs) -> Mapping[int, frozenset[int]]:
    """Every place with those that it is paired with."""
    met: dict[int, set[int]] = {}
    for one, other in pairs:
        met.setdefault(one, set()).add(other)
        met.setdefault(other, set()).add(one)
    return {place: frozenset(others) for place, others in met.items()}


def _without(pairs: Pairs, taken: Iterable[int]) -> Pairs:
    gone = set(taken)
    return frozenset(pair for pair in pairs if not gone & set(pair))
