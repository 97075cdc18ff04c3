"""The parts list in words: parts with the sizes they are cut to, by wood, on page, paper, spreadsheet alike."""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass, replace
from math import ceil

from domain.cut_list.listing import CutList, Group, LostChange
from domain.cut_list.long_lengths import LongLength, long_lengths
from domain.cut_list.part import CutPart, Groove, Sizes, Sort
from domain.lengths import Mm, Units
from domain.spec.wood import Grain, PartChange
from webapp.wording.figures import by, size
from webapp.wording.parts import end_words
from webapp.wording.pieces import SURFACES

ABOUT = (
    "Sizes are those to cut: the finished ones, with the rules' allowances for solid wood. Lengths are to the long"
    " points, the short side is between the short points. How many counts the whole project."
)
"""How the list is read, said once on it."""
GRAINS = {Grain.LENGTH: "along", Grain.WIDTH: "across", Grain.ANY: "either way"}
"""How the grain runs to a part's length."""
CUT = "Cut"
"""The column with a box to tick."""
_MM_A_FOOT = 304.8


@dataclass(frozen=True, slots=True)
class CutRow:
    """A part to cut, of the assembly with the mark ``of``. ``key`` is its place on a page.

    ``length``, ``width`` and ``thick`` are bare figures.

    ``finished`` is "" where it is cut to its finished size, ``short`` where no end is mitred. ``said`` are
    sentences about it, ``changes`` what was changed and what the plan has, ``warning`` what is too small.
    """

    key: str
    mark: str
    plan_mark: str
    source: int
    name: str
    of: str
    assembly: str
    quantity: int
    length: str
    width: str
    thick: str
    rough: str
    finished: str
    ends: str
    short: str
    grain: str
    species: str
    joints: str
    said: tuple[str, ...]
    changes: tuple[str, ...]
    note: str
    warning: str
    is_panel: bool

    @property
    def is_changed(self) -> bool:
        """True where somebody wants something otherwise, or wrote a note."""
        return bool(self.changes or self.note)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything that is said of it, one after the other."""
        changed = tuple(f"Changed: {change}." for change in self.changes)
        note = (f"Note: {self.note}",) if self.note else ()
        return (*self.said, *changed, *((self.warning,) if self.warning else ()), *note)


@dataclass(frozen=True, slots=True)
class CutGroup:
    """A wood with its parts: ``section`` in inches, for the item's name has mm; ``sums`` what it comes to.

    With its species, as far as they are known.
    """

    item: str
    section: str
    sums: str
    strip: str
    rows: tuple[CutRow, ...]


@dataclass(frozen=True, slots=True)
class LostWords:
    """A change whose part is gone; ``plan_mark`` is the mark in its own project."""

    plan_mark: str
    source: int
    mark: str
    text: str


@dataclass(frozen=True, slots=True)
class CutListWords:
    """The whole list. ``runs`` say what is run in long lengths first.

    ``rough`` says whether any part is cut larger than it is to be, ``mitred`` whether any has a short side.
    """

    groups: tuple[CutGroup, ...]
    runs: tuple[str, ...]
    lost: tuple[LostWords, ...]
    rough: bool
    mitred: bool

    def of_assemblies(self, marks: Container[str]) -> CutListWords:
        """The same with the rows of these assemblies alone; what each wood comes to is still the whole list's."""
        groups = (
            replace(group, rows=tuple(row for row in group.rows if row.of in marks)) for group in self.groups
        )
        return replace(self, groups=tuple(group for group in groups if group.rows))


def cut_list_words(listed: CutList, units: Units) -> CutListWords:
    """The list, worded in ``units``."""
    groups = tuple(_group(listed, group, units) for group in listed.groups)
    return CutListWords(
        groups,
        tuple(run_text(listed, run, units) for run in long_lengths(listed)),
        tuple(_lost(listed, lost, units) for lost in listed.lost),
        any(row.finished for group in groups for row in group.rows),
        any(row.short for group in groups for row in group.rows),
    )


def _group(listed: CutList, group: Group, units: Units) -> CutGroup:
    rough, pieces = group.rough, _pieces(group.pieces)
    if group.sort is Sort.SHEET:
        section = "" if units is Units.MM or rough.thickness is None else by(units, rough.thickness)
        sums, strip = f"{pieces}, {area_text(group.area, units)}", ""
    else:
        section = "" if units is Units.MM else by(units, rough.width, rough.thickness)
        cuts = " with the saw cuts" if group.pieces > 1 else ""
        sums = f"{pieces}, {running_text(group.sawn_length, units)}{cuts}"
        strip = strip_text(group, units)
    named = "; ".join((sums, *sorted({part.species for part in group.parts if part.species})))
    return CutGroup(group.item, section, named, strip, tuple(_row(listed, part, units) for part in group.parts))


def strip_text(group: Group, units: Units) -> str:
    """How wide strips are ripped where the wood is bought as boards."""
    return (
        f"Out of boards: rip {running_text(group.sawn_length, units)} of strips {size(group.strip, units)} wide,"
        f" each {size(group.strip_takes, units)} of the board with its saw cut."
    )


def _row(listed: CutList, part: CutPart, units: Units) -> CutRow:
    mark = listed.called(part)
    finished = "" if part.rough == part.finished else sizes_text(part.finished, units)
    return CutRow(
        key=mark.replace(" ", "-"),
        mark=mark,
        plan_mark=part.mark,
        source=part.source,
        name=part.name,
        of=part.assembly,
        assembly=f"{part.assembly} {part.assembly_name}",
        quantity=part.quantity,
        length=size(part.rough.length, units).bare,
        width=size(part.rough.width, units).bare,
        thick=_thick(part, units),
        rough=sizes_text(part.rough, units),
        finished=finished,
        ends="" if part.is_panel else end_words(part.ends),
        short="" if part.short_length is None else size(part.short_length, units).bare,
        grain=GRAINS[part.grain],
        species=part.species or "",
        joints=", ".join(part.joints),
        said=tuple(_said(part, units)),
        changes=tuple(_changes(part, units)),
        note=part.note or "",
        warning=_warning(part, units),
        is_panel=part.is_panel,
    )


def sizes_text(sizes: Sizes, units: Units) -> str:
    """Length, width and, where it is known, thickness: "545 × 48 × 26 mm"."""
    return by(units, sizes.length, sizes.width, sizes.thickness)


def _thick(part: CutPart, units: Units) -> str:
    if part.rough.thickness is not None:
        return size(part.rough.thickness, units).bare
    return "" if part.room is None else f"room {size(part.room, units).bare}"


def _said(part: CutPart, units: Units) -> Iterator[str]:
    if part.material is not None and not part.item.startswith(part.material):
        # too long for the item's name
        yield f"Of {part.material}."
    for groove in part.grooves:
        yield groove_text(groove, part.quantity, units)
    if any(shape.front for shape, _ in part.shapes):
        yield "Its front is moulded."
    if part.bevelled and any(end != 90.0 for end in part.ends):
        yield "Its ends lean through the thickness: tilt the blade."
    if part.one_length:
        yield f"Cut with the other members of {part.assembly} from one length, so that the grain runs on."


def groove_text(groove: Groove, quantity: int, units: Units) -> str:
    """A groove or rabbet: how wide and deep, where it lies, where it stops; in how many where not in all."""
    surface = f"{SURFACES[groove.surface]} {'edge' if groove.in_edge else 'face'}"
    side = f"{SURFACES[groove.edge]} {'face' if groove.in_edge else 'edge'}"
    off = "along" if not groove.offset else f"{size(groove.offset, units)} from"
    which = "" if groove.pieces == quantity else f" of {groove.pieces} of them"
    sizes = f"{size(groove.width, units)} wide, {size(groove.depth, units)} deep, {off} the {side}"
    return f"{groove.fit.capitalize()} in the {surface}{which}: {sizes}; {_stops(groove, units)}."


def _stops(groove: Groove, units: Units) -> str:
    if groove.is_through:
        return "runs out at both ends"
    stops = " and ".join(f"{size(stop, units)} before the {end} end" for end, stop in groove.stops)
    return f"stops {stops}" + ("" if len(groove.stops) > 1 else ", runs out at the other")


def _changes(part: CutPart, units: Units) -> Iterator[str]:
    """What is otherwise than the plan has it."""
    plan = part.as_planned
    if plan is None or part.change is None:
        return
    asked = part.change
    for name, typed, rough, planned in (
        ("length", asked.rough_length, part.rough.length, plan.rough.length),
        ("width", asked.rough_width, part.rough.width, plan.rough.width),
        ("thickness", asked.rough_thickness, part.rough.thickness, plan.rough.thickness),
    ):
        if typed is not None and rough is not None:
            had = "left it open" if planned is None else f"has {size(planned, units)}"
            yield f"{name} {size(rough, units)}, the plan {had}"
    if asked.material is not None:
        yield f"of {asked.material}, the plan has {plan.material or plan.unsaid}"
    if asked.grain is not None and part.sort is Sort.SHEET:
        yield f"grain {GRAINS[part.grain]}, the plan has {GRAINS[plan.grain]}"


def _warning(part: CutPart, units: Units) -> str:
    if not part.too_small:
        return ""
    names = " and ".join(part.too_small)
    return f"Too small: its {names} would be less than the finished {sizes_text(part.finished, units)}."


def run_text(listed: CutList, run: LongLength, units: Units) -> str:
    """What is run along a wood before it is cut, how much of it, and for which parts."""
    marks = ", ".join(f"{listed.called(part)}\xa0({each})" for part, each in run.parts)
    what = [groove_text(groove, groove.pieces, units).split(";")[0] for groove in run.shape.grooves]
    if run.shape.front:
        what.append("Moulded front")
    return f"{run.item}: {running_text(run.length, units)} for {marks}. {'. '.join(what)}."


def _lost(listed: CutList, lost: LostChange, units: Units) -> LostWords:
    mark = lost.mark if len(listed.projects) == 1 else f"{lost.source + 1} {lost.mark}"
    return LostWords(lost.mark, lost.source, mark, f"{mark}: {'; '.join(asked_words(lost.change, units))}.")


def asked_words(change: PartChange, units: Units) -> Iterator[str]:
    """A change by itself, where there is no part to lay it beside."""
    for name in ("length", "width", "thickness"):
        typed = getattr(change, f"rough_{name}")
        if typed is not None:
            yield f"{name} {size(typed, units)}"
    if change.material is not None:
        yield f"of {change.material}"
    if change.grain is not None:
        yield f"grain {GRAINS[change.grain]}"
    if change.note is not None:
        yield f"note: {change.note}"


def running_text(mm: Mm, units: Units) -> str:
    """So much wood one after the other, rounded up: metres to 0.01, or feet to 0.1.

    >>> running_text(Mm(3902.4), Units.MM), running_text(Mm(3902.4), Units.INCH)
    ('3.91 m', '12.9 ft')
    """
    if units is Units.MM:
        return f"{ceil(round(mm / 10, 6)) / 100:.2f} m"
    return f"{ceil(round(mm / _MM_A_FOOT * 10, 6)) / 10:.1f} ft"


def area_text(mm2: float, units: Units) -> str:
    """An area, rounded up: square metres to 0.01, or square feet to 0.1.

    >>> area_text(603_520.0, Units.MM), area_text(603_520.0, Units.INCH)
    ('0.61 m²', '6.5 ft²')
    """
    if units is Units.MM:
        return f"{ceil(round(mm2 / 10_000, 6)) / 100:.2f} m²"
    return f"{ceil(round(mm2 / _MM_A_FOOT**2 * 10, 6)) / 10:.1f} ft²"


def _pieces(count: int) -> str:
    return f"{count} piece" if count == 1 else f"{count} pieces"
