"""One section in one joint: how deep, which stack of keys, how many rows, where.

Order of preference: reach within the section's limit; then the longest stack; then the least reach.
Where no stack brings the reach within the limit: the longest stack whose reach is within 2 mm of the
least possible. One depth for all slots of a joint, so that the machine needs one stop; what two depths of a run
that is entered from both ends would hold more is looked at in ``two_ends.py``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil
from typing import TypeVar

from domain.faces.face import MatingFace
from domain.faces.region import Region
from domain.intervals import TOUCH, Interval, Intervals, intersection, union
from domain.lengths import NM_PER_MM, Length
from domain.notes import Note, NoteCode
from domain.planning.fit import mouth, room_past_end, snug_projection
from domain.planning.footprint import allowed_centres, farthest_centre, slot_extent
from domain.planning.layout import Layout, least_reach_layout, most_keys, snapped
from domain.planning.plans import Cutter, CutterKind
from domain.planning.stack import Stack, stacks
from domain.planning.walls import Walls, walls_of
from domain.spec.catalogue import Section
from domain.spec.choices import Entry, KeyChoices
from domain.spec.rules import Rules
from domain.spec.starts import AcceptedStart

REACH_SLACK = 2.0
"""A longer stack is worth up to this much more reach, in mm, where the limit is out of reach anyway."""


MOST_ROWS = 60
"""Nobody drives more rows into one joint; beyond it the reach is what it is, and the joint says so."""

Filling = TypeVar("Filling")
"""What may be driven: a stack, or one for each end of a run."""


@dataclass(frozen=True)
class Attempt:
    """One way to try: a section, one of its cutters and one entry in a face, under the rules and pins."""

    face: MatingFace
    section: Section
    cutter: Cutter
    entry: Entry
    rules: Rules
    choices: KeyChoices
    at_least: int
    start: AcceptedStart | None = None
    crossing: bool = False
    """Whether slots go through grooves and rabbets that carry no key's load."""

    @cached_property
    def snug(self) -> float:
        """Snug projection of the section with this cutter, as the shop's trials or its sizes have it."""
        if self.start is not None:
            return self.start.snug.mm + self._tip_moved
        return snug_projection(self.section, self.cutter.tip_diameter)

    @cached_property
    def projection(self) -> float:
        """Starting projection: what the shop accepted from its trials, else snug plus its preload."""
        if self.start is not None:
            return self.start.projection.mm + self._tip_moved
        return self.snug + self.rules.preload.mm

    @property
    def _tip_moved(self) -> float:
        """What a cutter ground since the trials adds to a projection: (D − D then) / (2 tan θ), in mm."""
        assert self.start is not None
        return (self.cutter.tip_diameter - self.start.tip_diameter.mm) / (2 * self.section.slope)

    @cached_property
    def mouth(self) -> float:
        """The slot's width at the mating face, in mm."""
        return mouth(self.section, self.cutter.tip_diameter, self.projection)

    @cached_property
    def extent(self) -> Interval:
        """What a slot covers across the stock, about its centre's x."""
        return slot_extent(self.face, self.cutter.tip_diameter, self.mouth, self.projection)

    @cached_property
    def past_end(self) -> Length:
        """How far the slot goes on past the keys, to a whole nanometre that is not too short."""
        waist: float = self.section.waist.mm
        if self.start is not None:
            waist = self.cutter.tip_diameter - 2 * self.snug * self.section.slope
        room = room_past_end(self.section.end, waist, self.cutter.tip_diameter, self.mouth)
        return Length(ceil(round(room * NM_PER_MM, 3)))

    @cached_property
    def walls(self) -> Walls:
        """The least wood beside a slot, by what stands there."""
        return walls_of(self.face, self.rules)

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """The region seen from every edge that keys enter by."""
        seen = (self.face.region_from(entry) for entry in self.face.edges(self.entry))
        return tuple(region.crossed() if self.crossing else region for region in seen)

    @cached_property
    def no_ends(self) -> Intervals:
        """Depths (mm) at which a slot would end in a groove that it crosses, or nearer to it than the skin."""
        if not self.crossing:
            return ()
        entries, skin = self.face.edges(self.entry), self.rules.skin.mm
        voids = (void for entry in entries for void in self.face.region_from(entry).crossable)
        return union([(void.v0 - skin, void.v1 + skin) for void in voids])

    def may_end(self, depth: float) -> bool:
        """True where a slot this deep ends in wood, with the skin between it and what it crosses."""
        return not any(low + TOUCH < depth < high - TOUCH for low, high in self.no_ends)

    @cached_property
    def farthest(self) -> float:
        """The farthest centre from the tip that keeps clear of the slots in a short piece's other end."""
        return farthest_centre(self.face, self.cutter.tip_diameter, self.projection, self.rules.web.mm)

    @property
    def pitch(self) -> float:
        """Least distance between neighbouring centres: tip diameter plus web."""
        return self.cutter.tip_diameter + self.rules.web.mm

    @cached_property
    def recess(self) -> Length:
        """How far keys are wanted below the edge."""
        plug = self.choices.plug
        if plug is not None:
            return max(Length(plug.height.nm - self.rules.plug_proud.nm), self.rules.least_recess)
        return self.rules.recess if self.choices.recess is None else self.choices.recess

    @cached_property
    def least_recess(self) -> Length:
        """The shallowest recess that will do; one that a plug needs, or that is pinned, is not bargained with."""
        if self.choices.plug is not None or self.choices.recess is not None:
            return self.recess
        return min(self.rules.least_recess, self.recess)

    @cached_property
    def deepest(self) -> Length:
        """The deepest slot that the run and the stroke allow, voids aside; where it begins higher, the less."""
        run, rules = self.face.run, self.rules
        room = (run - rules.wall.mm) / 2 if self.entry is Entry.BOTH else run - rules.skin.mm
        return min(Length.from_mm(room), rules.stroke - Length.from_mm(self.face.raised(self.entry)))

    @property
    def reach_limit(self) -> float:
        """The section's reach limit in mm, with a nanometre for the arithmetic: 60 − 51.8 is 8.2 and a bit."""
        return self.section.reach_limit.mm + 1e-6

    @property
    def drive_limit(self) -> Length:
        """The deepest that a key is driven with this cutter."""
        close = self.cutter.kind is CutterKind.CLOSE
        return min(self.section.drive_limit, self.rules.stroke) if close else self.rules.stroke

    def longest_within(self, limit: Length) -> Length:
        """How long a stack may be that is no longer than ``limit``: as the run takes it with the least recess."""
        return min(limit, self.deepest - self.least_recess - self.past_end)

    def stacks_within(self, limit: Length) -> tuple[Stack, ...]:
        """Stacks no longer than ``limit`` that the run takes with the least recess."""
        every = stacks(self.section.lengths, self.longest_within(limit))
        if not self.no_ends:
            return every
        return tuple(one for one in every if self.may_end(self.wanted_slot(one).mm))

    def least_slot(self, stack: Stack) -> Length:
        """The shallowest slot that takes this stack."""
        return stack.total + self.past_end + self.least_recess

    def wanted_slot(self, stack: Stack) -> Length:
        """The slot that takes this stack as far below the edge as it is wanted, where the run is long enough."""
        return min(stack.total + self.past_end + self.recess, self.deepest)

    def allowed(self, depth: float) -> Intervals:
        """Allowed centres of slots this deep."""
        found: Intervals = ((float("-inf"), self.farthest),)
        for region in self.regions:
            top = depth + self.rules.skin.mm
            here = allowed_centres(self.face, region, self.extent, self.walls, top)
            found = intersection(found, here)
        return found

    def budget(self, centres: tuple[float, ...]) -> float:
        """The deepest slot that the wood at these centres allows."""
        # the short grain of an end is there at every depth, and the centres keep clear of it already
        (low, high), wall, sine = self.extent, self.walls.usual, self.face.sine
        clear = min(
            region.clear_run(u * sine + low - wall, u * sine + high + wall)
            for region in self.regions
            for u in centres
        )
        return min(clear - self.rules.skin.mm, self.deepest.mm)

    def snapped(self, layout: Layout, allowed: Intervals) -> Layout:
        """The layout on the shop's setting steps, where the allowed centres have such a one."""
        step = self.rules.setting_step.mm
        return snapped(layout, allowed, self.face.breadth, self.pitch, step, self.reach_limit)

    def recess_in(self, depth: float, stack: Stack) -> float:
        """How far below the edge this stack ends in a slot so deep, in mm."""
        return round(depth - (stack.total + self.past_end).mm, 6)


@dataclass(frozen=True, slots=True)
class Sunk:
    """A stack in a slot: the slot's depth, and how far below the edge the keys end (mm)."""

    stack: Stack
    depth: float
    recess: float


@dataclass(frozen=True, slots=True)
class Seating:
    """An attempt that works out: the stack, its rows, depth and recess (mm), and the allowed centres there.

    ``far`` is what goes into the far end of a run that is entered from both, where that differs.
    """

    stack: Stack
    layout: Layout
    depth: float
    recess: float
    allowed: Intervals
    far: Sunk | None = None

    @property
    def far_depth(self) -> float:
        """How deep the slots from the far end of the run are, in mm."""
        return self.depth if self.far is None else self.far.depth

    @property
    def shallowest(self) -> float:
        """The lesser recess of the two ends, in mm."""
        return self.recess if self.far is None else min(self.recess, self.far.recess)

    @property
    def held(self) -> Length:
        """The keys of one row together, where they come from both ends of the run."""
        return self.stack.total + (self.stack if self.far is None else self.far.stack).total


def seat(attempt: Attempt) -> Seating | Note:
    """The best way to seat keys in this attempt, one depth for all, or the note that says why there is none."""
    choice = _fill(attempt)
    if isinstance(choice, Note):
        return choice
    stack, layout = choice
    depth = round(min(attempt.budget(layout.centres), attempt.wanted_slot(stack).mm), 6)
    if not attempt.may_end(depth):
        return _no_room(attempt, stack)
    allowed = attempt.allowed(depth)
    return Seating(stack, attempt.snapped(layout, allowed), depth, attempt.recess_in(depth, stack), allowed)


def _fill(attempt: Attempt) -> tuple[Stack, Layout] | Note:
    shortest = Stack((min(attempt.section.lengths),))
    if shortest.total > attempt.longest_within(attempt.drive_limit):
        return _run_too_short(attempt)
    # what the shortest stack does not find room for, none does: allowed centres only shrink with depth
    if not attempt.allowed(attempt.least_slot(shortest).mm):
        return _no_room(attempt, shortest)
    possible = attempt.stacks_within(attempt.drive_limit)
    if not possible:
        return _run_too_short(attempt)
    pinned = attempt.choices.count
    rooms = _rooms(attempt, possible)
    longest = next(rooms)
    # the usual case: the longest stack sits well as it is, and no shorter one need be looked at
    usual = _lay_out(attempt, longest[1], pinned or attempt.at_least, pinned)
    if usual is not None and usual.reach <= attempt.reach_limit:
        return longest[0], usual
    return best_filled(attempt, [longest, *rooms])


def _rooms(attempt: Attempt, possible: tuple[Stack, ...]) -> Iterator[tuple[Stack, Intervals]]:
    """The stacks worth trying, longest first: a shorter one only where it opens more room."""
    before: Intervals = ()
    for stack in possible:
        allowed = attempt.allowed(attempt.least_slot(stack).mm)
        if allowed != before:
            yield stack, allowed
        before = allowed


def best_filled(attempt: Attempt, rooms: Sequence[tuple[Filling, Intervals]]) -> tuple[Filling, Layout] | Note:
    """Of what may be driven, longest first, with the allowed centres there, the best, and where its rows are."""
    limit, pinned = attempt.reach_limit, attempt.choices.count
    most = max(most_keys(allowed, attempt.pitch) for _, allowed in rooms)
    if pinned is not None and pinned > most:
        return Note.of(NoteCode.TOO_MANY_KEYS, asked_n=pinned, most_n=most)
    fewest = pinned or min(attempt.at_least, most)
    found = []
    for filling, allowed in rooms:
        layout = _lay_out(attempt, allowed, fewest, pinned)
        if layout is None:
            continue
        if layout.reach <= limit:
            return filling, layout
        found.append((filling, layout))
    least = min(layout.reach for _, layout in found)
    return next(one for one in found if one[1].reach <= least + REACH_SLACK + 1e-6)


def _lay_out(attempt: Attempt, allowed: Intervals, fewest: int, most: int | None) -> Layout | None:
    """The fewest keys that bring the reach within the limit, or else the least reach there is."""
    breadth, limit = attempt.face.breadth, attempt.reach_limit
    here = min(most_keys(allowed, attempt.pitch), MOST_ROWS if most is None else most)
    if here < fewest:
        return None
    ends_reach = max(allowed[0][0], breadth - allowed[-1][1])
    # fewer than this cannot come within the limit, wherever they sit
    enough = ceil(breadth / (2 * limit)) if ends_reach <= limit else fewest
    best: Layout | None = None
    for count in range(min(max(fewest, enough), here), here + 1):
        layout = least_reach_layout(allowed, breadth, count, attempt.pitch)
        if layout is None:
            continue
        if layout.reach <= limit:
            return layout
        if best is None or layout.reach < best.reach - 1e-6:
            best = layout
        if best.reach <= ends_reach + 1e-6:
            break
    return best


def _run_too_short(attempt: Attempt) -> Note:
    shortest = min(attempt.section.lengths) + attempt.past_end + attempt.least_recess
    both = attempt.entry is Entry.BOTH
    needed = 2 * shortest.mm + attempt.rules.wall.mm if both else shortest.mm + attempt.rules.skin.mm
    return Note.of(
        NoteCode.RUN_TOO_SHORT, section_text=attempt.section.name, needed=needed, available=attempt.face.run
    )


def _no_room(attempt: Attempt, shortest: Stack) -> Note:
    first = (attempt.walls.first - attempt.extent[0]) / attempt.face.sine
    if attempt.farthest < first and attempt.face.long_point is not None:
        more = 2 * (first - attempt.farthest) * attempt.face.cosine
        return Note.of(
            NoteCode.PIECE_TOO_SHORT,
            section_text=attempt.section.name,
            needed=attempt.face.long_point + more,
            available=attempt.face.long_point,
        )
    top = (attempt.least_slot(shortest) + attempt.rules.skin).mm
    needed, clear = max((_nearest_gap(attempt, region, top) for region in attempt.regions), key=_missing)
    return Note.of(
        NoteCode.NO_ROOM,
        section_text=attempt.section.name,
        needed=needed,
        available=clear,
    )


def _nearest_gap(attempt: Attempt, region: Region, top: float) -> tuple[float, float]:
    """What a slot with its walls needs of the gap that comes nearest to taking it, and what that gap has (mm)."""
    (low, high), walls = attempt.extent, attempt.walls
    found = [
        (high - low + max(walls.first - start, walls.usual) + walls.usual, end - start)
        for start, end in region.clear_gaps(top)
    ]
    return min(found, key=_missing, default=(high - low + walls.first + walls.usual, 0.0))


def _missing(gap: tuple[float, float]) -> float:
    needed, there = gap
    return needed - there
