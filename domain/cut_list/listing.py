"""The cut list: the parts of one project or several, by the wood they are cut from.

Rough sizes are the finished ones and the rules' allowances, for solid members alone: it is sawn long and planed.
Sheets are sawn to size, and panels are as large as their grooves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.cut_list.along import NOTHING, Along, along_parts
from domain.cut_list.part import (
    CutPart,
    Sizes,
    Sort,
    changed,
    grain_of,
    rough_sizes,
    sort_of,
    species_of,
    unsaid_of,
)
from domain.lengths import Mm
from domain.parts import Expansion, JointKind, Member, Panel
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.spec.wood import PartChange
from domain.timber.item_names import item_key


@dataclass(frozen=True, slots=True)
class Job:
    """A project to list: its assemblies, each with what it comes to or None where its sizes clash; what counts."""

    name: str
    assemblies: tuple[tuple[Assembly, Expansion | None], ...]
    rules: Rules
    changes: tuple[tuple[str, PartChange], ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Parts that come from one wood: from bars of ``width`` × ``thickness``, or from sheets of ``thickness``, mm.

    ``kerf`` is what a cut takes, ``trim`` what comes off every end or edge of the stock, ``least_offcut`` the
    shortest offcut that is kept. Never without a part.
    """

    item: str
    sort: Sort
    parts: tuple[CutPart, ...]
    kerf: Mm
    trim: Mm
    least_offcut: Mm

    @property
    def rough(self) -> Sizes:
        """The section, or the thickness, that all have; length and width of a sheet are the first part's."""
        return self.parts[0].rough

    @property
    def pieces(self) -> int:
        """How many pieces there are."""
        return sum(part.quantity for part in self.parts)

    @property
    def length(self) -> Mm:
        """All pieces one after the other, mm, without a cut between them."""
        return Mm(sum(part.quantity * part.rough.length for part in self.parts))

    @property
    def sawn_length(self) -> Mm:
        """All pieces out of one length, mm: with a kerf between any two neighbours."""
        return Mm(self.length + self.kerf * (self.pieces - 1))

    @property
    def area(self) -> float:
        """Length × width of all pieces, mm²."""
        return sum(part.quantity * part.rough.length * part.rough.width for part in self.parts)

    @property
    def strip(self) -> Mm:
        """How wide a strip is ripped for these out of a board, mm: the wider side of the rough section."""
        return Mm(max(self.rough.width, self.rough.thickness or 0.0))

    @property
    def strip_takes(self) -> Mm:
        """What every strip takes of a board's width, mm: itself and a kerf."""
        return Mm(self.strip + self.kerf)


@dataclass(frozen=True, slots=True)
class LostChange:
    """A change for a mark that no part has any more, of the project at that place."""

    source: int
    mark: str
    change: PartChange


@dataclass(frozen=True, slots=True)
class CutList:
    """Everything to cut: bars by material and section, then sheets. ``projects`` are the names, in order."""

    projects: tuple[str, ...]
    groups: tuple[Group, ...]
    lost: tuple[LostChange, ...] = ()

    @property
    def parts(self) -> tuple[CutPart, ...]:
        """Every part, group by group."""
        return tuple(part for group in self.groups for part in group.parts)

    def called(self, part: CutPart) -> str:
        """A part's mark, with its project's place before it where there are several: "A1", "2 A1"."""
        return part.mark if len(self.projects) == 1 else f"{part.source + 1} {part.mark}"


def cut_list(jobs: Sequence[Job]) -> CutList:
    """Every part of these projects to cut.

    Where their rules differ, the widest kerf and trim, and the shortest offcut that is kept.
    """
    rules = [job.rules for job in jobs] or [Rules()]
    kerf, trim = max(each.kerf.mm for each in rules), max(each.trim.mm for each in rules)
    least = min(each.least_offcut.mm for each in rules)
    listed = [list(_parts(source, job)) for source, job in enumerate(jobs)]
    by_item: dict[tuple[Sort, str], list[CutPart]] = defaultdict(list)
    for part in (part for parts in listed for part in parts):
        by_item[part.sort, item_key(part.item)].append(part)
    groups = [Group(parts[0].item, sort, tuple(parts), kerf, trim, least) for (sort, _), parts in by_item.items()]
    lost = [found for source, job in enumerate(jobs) for found in _lost(source, job, listed[source])]
    return CutList(tuple(job.name for job in jobs), tuple(sorted(groups, key=_order)), tuple(lost))


def _order(group: Group) -> tuple[object, ...]:
    """Bars before sheets, by material, the heaviest section first."""
    rough, first = group.rough, group.parts[0]
    width = rough.width if group.sort is Sort.BAR else 0.0
    material = (first.material or first.unsaid).casefold()
    return (group.sort is Sort.SHEET, material, -(rough.thickness or 0.0), -width, group.item)


def _parts(source: int, job: Job) -> Iterator[CutPart]:
    changes = dict(job.changes)
    for spec, expansion in job.assemblies:
        if expansion is None:
            continue
        along = along_parts(spec, expansion)
        for planned in expansion.parts:
            part = _part(source, spec, expansion, planned, along.get(planned.mark, NOTHING), job.rules)
            change = changes.get(part.mark)
            yield part if change is None else changed(part, change, job.rules)


def _part(
    source: int, spec: Assembly, expansion: Expansion, part: Member | Panel, along: Along, rules: Rules
) -> CutPart:
    is_panel = isinstance(part, Panel)
    unsaid = unsaid_of(part.name, is_panel)
    sort = sort_of(part.material, is_panel)
    room = part.room if isinstance(part, Panel) else None
    finished = Sizes(part.length, part.width, None if room is not None else part.thickness)
    meeting = [joint for joint in expansion.joints if part.mark in joint.members]
    member = part if isinstance(part, Member) else None
    return CutPart(
        mark=part.mark,
        name=part.name,
        source=source,
        assembly=expansion.mark,
        assembly_name=expansion.name,
        copies=expansion.quantity,
        quantity=part.quantity,
        finished=finished,
        rough=rough_sizes(finished, sort, rules),
        sort=sort,
        is_panel=is_panel,
        unsaid=unsaid,
        grain=grain_of(part.material, unsaid),
        material=part.material,
        species=(spec.species if member and spec.species else None) or species_of(part.material),
        room=room,
        ends=member.ends if member else (90.0, 90.0),
        short_length=member.short_length if member else None,
        bevelled=any(joint.kind is JointKind.EDGE_MITRE for joint in meeting),
        joints=tuple(joint.mark for joint in meeting),
        grooves=along.grooves,
        shapes=along.shapes,
        one_length=bool(spec.one_length) and member is not None,
    )


def _lost(source: int, job: Job, parts: Sequence[CutPart]) -> Iterator[LostChange]:
    """Changes whose part is gone; those of an assembly whose sizes clash wait for it to be put right."""
    there = {part.mark for part in parts}
    waiting = [spec.mark for spec, expansion in job.assemblies if expansion is None]
    for mark, change in job.changes:
        waits = any(mark.startswith(one) and mark[len(one) :].isdigit() for one in waiting)
        if mark not in there and not waits:
            yield LostChange(source, mark, change)
