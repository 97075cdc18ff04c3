"""In what order parts go together, found by taking the assembly apart.

A set of parts comes apart along a direction where one side of it runs into nothing of the other (the blocking
graph of R. Wilson and J.-C. Latombe, *Geometric reasoning about mechanical assembly*, Artificial Intelligence
71, 1994). Joints whose keys could not be driven while a part lies before them keep their two parts on one side
until that part is off. Both hindrances only ever grow less as parts leave, so whatever can leave now can still
leave later: any way of taking apart that is possible may be taken, none has to be taken back, and where nothing
can leave there is no order at all. The search is therefore exact about whether there is an order; which of the
possible ones is told is weighed step by step: dry panels alone, faces that meet square on and are not slid
along, work that fits the glue's open time, then the fewest steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.assembling.relations import Join, Parts, Relations
from domain.parts import Vector
from domain.space.body import dot

SLIDES = 0.1
"""A face closes from the front where the way meets its normal by more than this cosine; else it slides along."""
RING = 12
"""The most sides that a frame has."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A part or sub-assembly that comes along ``way``, and the joints that this closes."""

    parts: Parts
    way: Vector
    joins: tuple[Join, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """Arrivals that all go to one part or sub-assembly; a ``held`` base is several that nothing joins yet."""

    base: Parts
    arrivals: tuple[Arrival, ...]
    held: bool = False

    @property
    def joins(self) -> tuple[Join, ...]:
        """Every joint that the step closes."""
        return tuple(join for arrival in self.arrivals for join in arrival.joins)

    @property
    def parts(self) -> Parts:
        """What it makes."""
        return self.base | sum(arrival.parts for arrival in self.arrivals)


@dataclass(frozen=True, slots=True)
class Stuck:
    """Parts that cannot be put together in any order.

    ``keys`` tells that they could but for keys that something covers, ``trapped`` are panels without which they
    could.
    """

    parts: Parts
    keys: bool
    trapped: Parts


@dataclass(frozen=True, slots=True)
class Order:
    """Steps in the order in which they are done, and what cannot be put together."""

    steps: tuple[Step, ...]
    stuck: tuple[Stuck, ...] = ()


def members_of(parts: Parts) -> Iterator[int]:
    """The parts of a set, from the first."""
    while parts:
        lowest = parts & -parts
        yield lowest.bit_length() - 1
        parts ^= lowest


def order_of(relations: Relations, minutes_a_key: float, open_minutes: float) -> Order:
    """The order of an assembly; a step should fit the open time, and driving a key takes ``minutes_a_key``."""
    return _Search(relations, minutes_a_key, open_minutes).order()


class _Search:
    def __init__(self, relations: Relations, minutes_a_key: float, open_minutes: float) -> None:
        self._relations, self._open = relations, open_minutes
        self._panels = relations.panels
        self._minutes = [join.keys * minutes_a_key for join in relations.joins]
        self._lean = [[abs(dot(way, join.normal)) for join in relations.joins] for way in relations.ways]
        self._covered = [join for join in relations.joins if join.covered]
        self._of_part: list[list[int]] = [[] for _ in relations.bodies]
        self._beside = [0] * len(relations.bodies)
        self._slides = [[0] * len(relations.bodies) for _ in relations.ways]
        for index, join in enumerate(relations.joins):
            for part, other in ((join.first, join.second), (join.second, join.first)):
                self._of_part[part].append(index)
                self._beside[part] |= 1 << other
                for way, leans in enumerate(self._lean):
                    if leans[index] < SLIDES:
                        self._slides[way][part] |= 1 << other
        self._stuck: list[Stuck] = []

    def order(self) -> Order:
        steps = tuple(self._build(self._relations.everything))
        return Order(steps, tuple(self._stuck))

    def _build(self, parts: Parts) -> Iterator[Step]:
        """The steps that make these parts one, deepest first."""
        if not parts & (parts - 1):
            return
        parting = self._best(parts)
        if parting is None:
            self._stuck.append(self._why(parts))
            return
        leaves, way = parting
        going, staying = self._things(leaves), self._things(parts & ~leaves)
        # panels come to members, what falls into more things to what holds together, the smaller to the larger
        dry = not leaves & ~self._panels
        if dry or (len(staying), leaves.bit_count()) <= (len(going), (parts & ~leaves).bit_count()):
            base, coming, way = staying, going, way ^ 1
        else:
            base, coming = going, staying
        for thing in (*base, *coming):
            yield from self._build(thing)
        yield from self._steps(base, coming, way)

    def _steps(self, base: Sequence[Parts], coming: Sequence[Parts], way: int) -> Iterator[Step]:
        """One step, or more where the keys of all arrivals would take longer than the glue stays open."""
        batch: list[Arrival] = []
        spent, standing, held = 0.0, sum(base), len(base) > 1
        there = standing
        for thing in self._by_reach(coming, way):
            closes = [index for index in self._joins_of(thing) if self._relations.joins[index].both & there]
            minutes = sum(self._minutes[index] for index in closes)
            if batch and spent + minutes > self._open:
                yield Step(standing, tuple(batch), held)
                held, standing, batch, spent = False, there, [], 0.0
            joins = tuple(self._relations.joins[index] for index in closes)
            batch.append(Arrival(thing, self._relations.ways[way], joins))
            spent += minutes
            there |= thing
        yield Step(standing, tuple(batch), held)

    def _joins_of(self, parts: Parts) -> list[int]:
        """Joints between these parts and others, in their order."""
        found = {index for part in members_of(parts) for index in self._of_part[part]}
        return sorted(index for index in found if self._relations.joins[index].both & ~parts)

    def _by_reach(self, coming: Sequence[Parts], way: int) -> list[Parts]:
        """Arrivals so that none runs into one that is there already: what lies farthest along the way first."""
        left, found = list(coming), list[Parts]()
        hits = {thing: self._hit(thing, way) for thing in coming}
        while left:
            first = next(
                (one for one in left if not any(hits[other] & one for other in left if other != one)), left[0]
            )
            left.remove(first)
            found.append(first)
        return found

    def _hit(self, parts: Parts, way: int) -> Parts:
        table, found = self._relations.in_the_way[way], 0
        for part in members_of(parts):
            found |= table[part]
        return found

    # --- taking apart: what leaves, and along which way

    def _best(self, parts: Parts) -> tuple[Parts, int] | None:
        things = self._things(parts)
        if len(things) > 1:
            # nothing holds them together: one stands on the other
            for way in range(len(self._relations.ways)):
                for thing in things[:0:-1]:
                    if not self._hit(thing, way) & parts & ~thing:
                        return thing, way
        held = self._held(parts)
        found = list(self._singly(parts, held))
        if not found:
            found = [
                (group, way) for way in range(len(self._relations.ways)) for group in self._tied(parts, way, held)
            ]
        found = self._worth_weighing(parts, found) + list(self._arcs(parts, held))
        return min(found, key=lambda one: self._weight(parts, *one), default=None)

    def _worth_weighing(self, parts: Parts, found: list[tuple[Parts, int]]) -> list[tuple[Parts, int]]:
        """Panels where any can leave, or else what slides along no face, where there is such."""
        dry = [(leaves, way) for leaves, way in found if not leaves & ~self._panels]
        if dry:
            return dry
        clean = [
            (leaves, way)
            for leaves, way in found
            if leaves & (leaves - 1) or not self._slides[way][leaves.bit_length() - 1] & parts
        ]
        return clean or found

    def _why(self, parts: Parts) -> Stuck:
        """What would let these parts come apart: other ways in for keys, or one panel less."""
        trapped = sum(
            1 << panel
            for panel in members_of(parts & self._panels)
            if self._comes_apart(parts & ~(1 << panel), self._held(parts))
        )
        return Stuck(parts, self._comes_apart(parts, {}), trapped)

    def _comes_apart(self, parts: Parts, held: dict[int, Parts]) -> bool:
        return any(group for way in range(len(self._relations.ways)) for group in self._tied(parts, way, held))

    def _held(self, parts: Parts) -> dict[int, Parts]:
        """What a part must leave together with, whatever the way: joints whose keys something covers."""
        held: dict[int, Parts] = {}
        for join in self._covered:
            if not join.both & ~parts and join.covered & parts:
                held[join.first] = held.get(join.first, 0) | 1 << join.second
                held[join.second] = held.get(join.second, 0) | 1 << join.first
        return held

    def _singly(self, parts: Parts, held: dict[int, Parts]) -> Iterator[tuple[Parts, int]]:
        """What can leave on its own, and together along one way: panels, and members that slide along no face."""
        free = [part for part in members_of(parts) if part not in held]
        for way, table in enumerate(self._relations.in_the_way):
            slides, together = self._slides[way], [0, 0]
            for part in free:
                if table[part] & parts:
                    continue
                yield 1 << part, way
                if not slides[part] & parts:
                    together[self._panels >> part & 1] |= 1 << part
            for group in together:
                if group & (group - 1) and group != parts:
                    yield group, way

    def _tied(self, parts: Parts, way: int, held: dict[int, Parts]) -> Iterator[Parts]:
        """Where nothing leaves singly: every part with all that it must take along."""
        table = self._relations.in_the_way[way]
        pulls = {part: (table[part] | held.get(part, 0)) & parts for part in members_of(parts)}
        yield from sorted({_closure(part, pulls) for part in pulls} - {parts})

    def _arcs(self, parts: Parts, held: dict[int, Parts]) -> Iterator[tuple[Parts, int]]:
        """Where the parts are a ring, all its stretches of two or more that can leave."""
        ring = self._ring(parts & ~self._panels)
        for first in range(len(ring)):
            arc = 1 << ring[first]
            for length in range(1, len(ring) - 2):
                arc |= 1 << ring[(first + length) % len(ring)]
                if any(held.get(part, 0) & ~arc for part in members_of(arc)):
                    continue
                for way in range(len(self._relations.ways)):
                    if not self._hit(arc, way) & parts & ~arc:
                        yield arc, way

    def _ring(self, parts: Parts) -> list[int]:
        """Members in turn where each of them meets two others and these are one ring."""
        if not 4 <= parts.bit_count() <= RING:
            return []
        beside = {part: self._beside[part] & parts for part in members_of(parts)}
        if any(each.bit_count() != 2 for each in beside.values()):
            return []
        start = next(iter(beside))
        ring, seen = [start], 1 << start
        while after := beside[ring[-1]] & ~seen:
            ring.append(next(members_of(after)))
            seen |= 1 << ring[-1]
        return ring

    def _things(self, parts: Parts) -> list[Parts]:
        """What holds together: members that joints connect, and each panel with those that hold most of it."""
        left, found = parts & ~self._panels, list[Parts]()
        while left:
            group = grown = left & -left
            while grown:
                around = 0
                for part in members_of(grown):
                    around |= self._beside[part]
                grown = around & left & ~group
                group |= grown
            found.append(group)
            left &= ~group
        held = list(found)
        for panel in members_of(parts & self._panels):
            near = self._relations.let_into[panel]
            most = max(range(len(held)), key=lambda index: (held[index] & near).bit_count(), default=None)
            if most is None or not held[most] & near:
                found.append(1 << panel)
            else:
                found[most] |= 1 << panel
        return found

    def _weight(self, parts: Parts, leaves: Parts, way: int) -> tuple[float, ...]:
        """What speaks against letting this leave, the weightiest first."""
        stays, leans = parts & ~leaves, self._lean[way]
        dry = not leaves & ~self._panels
        closes = [index for index in self._joins_of(leaves) if self._relations.joins[index].both & stays]
        minutes: dict[int, float] = {}
        for index in closes:
            join = self._relations.joins[index]
            mine = join.first if leaves >> join.first & 1 else join.second
            minutes[mine] = minutes.get(mine, 0.0) + self._minutes[index]
        many = bool(leaves & (leaves - 1))
        things = len(self._things(leaves)) if many and not dry else 1
        return (
            float(not dry),
            0.0 - (leaves.bit_count() if dry else 0),
            float(things > 1 and len(self._things(stays)) > 1),
            float(sum(leans[index] < SLIDES for index in closes)),
            float(max(minutes.values(), default=0.0) > self._open + 1e-9),
            round(sum(1 - leans[index] for index in closes), 4),
            0.0 - things,
            float(min(leaves.bit_count(), stays.bit_count())),
            float(way),
            0.0 - leaves,
        )


def _closure(part: int, pulls: dict[int, Parts]) -> Parts:
    """A part with all that it must take along."""
    group = grown = 1 << part
    while grown:
        pulled = 0
        for each in members_of(grown):
            pulled |= pulls[each]
        grown = pulled & ~group
        group |= grown
    return group
