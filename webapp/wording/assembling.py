"""The assembly sheet in words: what stands, what comes and from where, keys, glue, time and what to check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from domain.assembling.sheet import AssemblySheet, Cause, Coming, Hindrance, JointWork, SheetStep, Works
from domain.lengths import Units, format_mm
from domain.parts import Expansion, Member, Panel, Side, Single, Vector, side_towards
from domain.spec.catalogue import key_item
from domain.spec.choices import Middle
from domain.takeoff.pieces import PieceName
from webapp.wording.ends import stack
from webapp.wording.facts import Fact
from webapp.wording.figures import size
from webapp.wording.joint import fastenings

FROM = {
    Side.LEFT: "from the left",
    Side.RIGHT: "from the right",
    Side.BOTTOM: "from below",
    Side.TOP: "from above",
    Side.BACK: "from behind",
    Side.FRONT: "from the front",
}
HEADINGS = ("Joint", "How many", "Driven in from", "Keys of a slot, in driving order", "Slots in all")
DRY_FIT = (
    "Dry fit first: put every step together without glue and with one key of each joint pushed in by hand. Look"
    " that faces close all the way, that panels lie free in their grooves and that marks meet; then take it apart."
)
GLUE_UP = (
    "In every step: glue on the mating faces only, none in the slots, then close the joints and drive the keys in"
    " this order, the longest of a slot first. Wipe off what comes out before it sets."
)
CAUTIONS = (
    "Eye protection while keys are driven: hammers and keys can chip. Fingers away from a joint as it closes.",
    "The glue's data sheet comes first: open time, spread, temperature, gloves and fresh air.",
    "A key that needs more than a mallet's weight is not driven on: take it out, and look at the slot.",
)
ALL_ALIKE = "From every corner to the corner, or the side, across from it: all equally far."
TOO_LONG = "Longer than the glue stays open, and nothing splits this step: take a slower glue, or more hands."
TWIST = "Sight across it for twist, on a flat bench."


@dataclass(frozen=True, slots=True)
class JointRow:
    """Equal joints that a step closes, as a row; ``keys`` is why there are none where a joint cannot be made."""

    joint: str
    count: str
    entries: str
    keys: str
    slots: str


@dataclass(frozen=True, slots=True)
class StepWords:
    """A step: its title, what is done, the joints that it closes, and what it takes; "" for what it has not.

    ``time`` says how long the keys take beside the open time, ``warning`` what to do where that is too long.
    """

    title: str
    says: str
    joints: tuple[JointRow, ...]
    keys: str
    between: str
    glue: str
    time: str
    warning: str
    checks: tuple[str, ...]

    @property
    def figures(self) -> tuple[tuple[str, str], ...]:
        """What the step takes, by its names."""
        named = (("Keys", self.keys), (Fact.MIDDLE, self.between), ("Glue", self.glue), ("Time", self.time))
        return tuple((name, said) for name, said in named if said)


@dataclass(frozen=True, slots=True)
class SheetWords:
    """An assembly's sheet: notes before its steps, the steps, what is in the way, and what comes after."""

    notes: tuple[str, ...]
    steps: tuple[StepWords, ...]
    hindrances: tuple[str, ...]
    after: tuple[str, ...]


def sheet_words(sheet: AssemblySheet, expansion: Expansion, units: Units) -> SheetWords:
    """The sheet, worded in ``units``."""
    names = _Names(sheet, expansion)
    return SheetWords(
        notes=tuple(_copies(expansion)),
        steps=tuple(_step(step, sheet, names, units) for step in sheet.steps),
        hindrances=tuple(_hindrance(each, names) for each in sheet.hindrances),
        after=tuple(_after(sheet, names)),
    )


class _Names:
    """What pieces are called: one by its mark and name, many by the step that joined them."""

    def __init__(self, sheet: AssemblySheet, expansion: Expansion) -> None:
        parts: list[Member | Panel] = [*expansion.members, *expansion.panels]
        self._parts = {part.mark: part for part in parts}
        self._made = {frozenset(step.pieces): step.number for step in sheet.steps}

    def thing(self, pieces: tuple[Single, ...]) -> str:
        """One piece, or what a step made; pieces that no step joined one by one."""
        if len(pieces) == 1:
            return self.piece(pieces[0])
        number = self._made.get(frozenset(pieces))
        return self.pieces(pieces) if number is None else f"what step {number} made"

    def piece(self, one: Single) -> str:
        """A piece of the first copy: "A1 1/2 left side", "A3 bottom"."""
        part = self._parts[one.mark]
        stands = isinstance(part, Member) and part.stands
        name = f"{part.stands[one.index]} {part.name}" if isinstance(part, Member) and stands else part.name
        return f"{self.mark(one)} {name}"

    def mark(self, one: Single) -> str:
        """A piece's mark as it stands on its label."""
        total = self._parts[one.mark].quantity
        return one.mark if total == 1 else str(PieceName(one.mark, one.index + 1, total))

    def pieces(self, pieces: tuple[Single, ...]) -> str:
        """Pieces by mark and name, equal ones together: "A2 top, A4 1/2 and 2/2 shelf"."""
        by_mark: dict[str, list[Single]] = {}
        for piece in pieces:
            by_mark.setdefault(piece.mark, []).append(piece)
        return _listed([self._alike(each) for each in by_mark.values()])

    def _alike(self, alike: list[Single]) -> str:
        if len(alike) == 1:
            return self.piece(alike[0])
        part = self._parts[alike[0].mark]
        numbers = [f"{one.index + 1}/{part.quantity}" for one in alike]
        if len(numbers) > 3 and alike[-1].index - alike[0].index == len(alike) - 1:
            return f"{part.mark} {numbers[0]} to {numbers[-1]} {part.name}"
        return f"{part.mark} {_listed(numbers)} {part.name}"

    def coming(self, step: SheetStep) -> str:
        """Everything that comes in a step."""
        single = tuple(each.pieces[0] for each in step.coming if len(each.pieces) == 1)
        many = [self.thing(each.pieces) for each in step.coming if len(each.pieces) > 1]
        return _listed([*([self.pieces(single)] if single else []), *many])


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _copies(expansion: Expansion) -> Iterator[str]:
    if expansion.quantity > 1:
        yield (
            f"Pieces are those of the first of {expansion.quantity}; every next one takes the next of each mark."
        )


def _step(step: SheetStep, sheet: AssemblySheet, names: _Names, units: Units) -> StepWords:
    keys = ", ".join(f"{key.count} of {key_item(key.section, key.length)}" for key in step.keys)
    return StepWords(
        title=f"Step {step.number}",
        says=_says(step, names),
        joints=tuple(_row(work) for work in step.joints),
        keys=keys,
        between=_between(step),
        glue=f"{format_mm(step.glue, 1)} g" if step.glue else "",
        time=_time(step, sheet),
        warning=TOO_LONG if step.too_long else "",
        checks=tuple(_checks(step, units)),
    )


def _between(step: SheetStep) -> str:
    """What goes in before the joints close, where the bare middle of a long edge is held: "2 loose tenons"."""
    counted: Counter[Middle] = Counter()
    for work in step.joints:
        chosen, plan = work.joint.joint.choices.middle, work.joint.plan
        if chosen is not None and plan is not None and plan.fastenings:
            counted[chosen] += work.count * len(plan.fastenings)
    return _listed([fastenings(chosen, count) for chosen, count in sorted(counted.items())]) if counted else ""


def _says(step: SheetStep, names: _Names) -> str:
    base, coming, way = names.thing(step.base), names.coming(step), _from(step.coming[0])
    match step.works:
        case Works.JOINED:
            said = f"Bring {coming} to {base}, {way}."
        case Works.LET_IN:
            said = f"Let {coming} into {base}, {way}, dry: a panel stays free to move."
        case Works.SET_ON:
            said = f"Bring {coming} to {base}, {way}: no key joins them, fasten them as you do."
    return f"{said} Hold what stands: nothing joins it yet." if step.held else said


def _from(coming: Coming) -> str:
    """Where it comes from; between two sides slantwise."""
    x, y, z = coming.way
    ways: list[Vector] = [(-x, 0.0, 0.0), (0.0, -y, 0.0), (0.0, 0.0, -z)]
    sides = [FROM[side_towards(way)] for way in ways if max(map(abs, way)) > 0.05]
    return sides[0] if len(sides) == 1 else f"slantwise, {' and '.join(sides)}"


def _row(work: JointWork) -> JointRow:
    plan = work.joint.plan
    if plan is None:
        return JointRow(work.joint.joint.mark, str(work.count), "", "cannot be made as it stands", "")
    entries = _listed([entry.value for entry, _ in work.slots])
    by_slot = dict.fromkeys(
        f"{plan.section.name} × {stack(sorted(slot.keys, reverse=True))}" for slot in work.joint.slots
    )
    return JointRow(
        work.joint.joint.mark,
        str(work.count),
        entries,
        ", ".join(by_slot),
        str(sum(count for _, count in work.slots)),
    )


def _time(step: SheetStep, sheet: AssemblySheet) -> str:
    if not step.joints:
        return ""
    driving, stays = format_mm(step.seconds, 0), format_mm(sheet.open_seconds, 0)
    return f"{driving} s of driving keys; the glue stays open {stays} s"


def _checks(step: SheetStep, units: Units) -> Iterator[str]:
    if step.diagonals is None:
        return
    length = step.diagonals.length
    yield f"Both diagonals, outside: {size(length, units)}." if length else ALL_ALIKE
    yield TWIST


def _hindrance(each: Hindrance, names: _Names) -> str:
    by = names.pieces(each.by)
    match each.cause:
        case Cause.KEYS_COVERED:
            entries = _listed([entry.value for entry in each.entries])
            free = _listed([entry.value for entry in each.free]) if each.free else ""
            other = (
                f"drive them in from the {free}"
                if free
                else "let that part come later, as a back in a rabbet does"
            )
            covers = f"{by} covers its keys' way in from the {entries}"
            return f"{each.joint} cannot be driven: {covers}. To free it, {other}."
        case Cause.PANEL_TRAPPED:
            return f"{by} cannot get in: its grooves close before it. To free it, put it in a rabbet, last of all."
        case Cause.LOCKED:
            return (
                f"{by} lock one another, whichever comes first. To free them, butt a corner instead of mitring it."
            )


def _after(sheet: AssemblySheet, names: _Names) -> Iterator[str]:
    if sheet.sawn:
        yield "Saw the lid off once the glue is hard."
    if sheet.after:
        yield f"Laid on afterwards: {names.pieces(sheet.after)}."
