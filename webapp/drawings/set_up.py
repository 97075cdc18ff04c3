"""A set-up of the machine to scale: above in elevation, cut at the mating face; below in plan, cut at the cutter.

Both views stand under each other on the cutter's axis, x = 0. In plan the machine's face is y = 0 and the
piece lies below it, its mating face against the machine's; in elevation the table is level with the entry
edge, which lies on it. No machine of any maker is meant: a table, a face, a fence, a stop and a clamp.

The stop is drawn as its scale counts: from where the carriage stands when the cutter that the scale was
set with is level with the table, to where the round end reaches its depth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf, sin, tan

from domain.lengths import Units
from domain.machine.set_ups import Source
from domain.machine.sheet import Line as SheetLine
from domain.machine.sheet import Sheet
from domain.planning.set_up import SetUp
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.pieces import Hand
from domain.trials.calibration import Corrections
from webapp.drawings import set_up_parts as parts
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, set_figure, split, upright
from webapp.drawings.model import LINE, Anchor, Drawing, Line, Role, Shape, Text, TextRole, finished
from webapp.drawings.set_up_machine import EMS, TABLE, Machine, Wood
from webapp.wording.reading import depth_setting, fence_setting

Parts = Iterator[Shape | Text]


def sheet_pictures(
    sheet: Sheet, sources: Iterable[Source], units: Units, corrections: Corrections | None, *, ems: float = EMS
) -> dict[int, dict[Hand, Drawing]]:
    """Every set-up of a sheet, by its number, for each hand that it mills.

    Where a scale is out, its dimension says what to set it to by the ``corrections``. ``ems`` is how large the
    drawing is beside its letters: the fewer, the larger are they.
    """
    rules = {source.key: source.rules for source in sources}
    return {line.number: dict(_pictures(line, rules, units, corrections, ems)) for line in sheet.lines}


def _pictures(
    line: SheetLine, rules: Mapping[str, Rules], units: Units, corrections: Corrections | None, ems: float
) -> Iterator[tuple[Hand, Drawing]]:
    """With the end that lies square on: every joint has one."""
    work = line.work
    shown = next(batch for batch in work.batches if batch.place.is_end)
    scale_tip = rules[shown.source].scale_tip_diameter
    # one stop has one spacer: the piece that is shown is raised alike from either edge
    spacer = max(lie.spacer for lie in shown.lies)
    for hand in Hand:
        entries = dict.fromkeys(
            lie.entry.value for batch in work.batches for lie in batch.lies if lie.hand is hand
        )
        if entries:
            wood = Wood(shown.face.breadth, shown.face.run, shown.kind.on_edge, " or ".join(entries), spacer)
            yield (
                hand,
                draw_set_up(
                    work.set_up,
                    shown.plan.section,
                    wood,
                    units,
                    right_hand=hand is Hand.RIGHT,
                    scale_tip=None if scale_tip is None else scale_tip.mm,
                    corrections=corrections,
                    ems=ems,
                    name=f"Set-up {line.number}",
                ),
            )


def draw_set_up(
    set_up: SetUp,
    section: Section,
    piece: Wood,
    units: Units,
    *,
    right_hand: bool = False,
    scale_tip: float | None = None,
    corrections: Corrections | None = None,
    ems: float = EMS,
    name: str = "Set-up",
) -> Drawing:
    """One set-up with its readings, for left-hand pieces, or as its mirror image for right-hand ones.

    ``scale_tip`` is the tip diameter (mm) that the stop's scale was set with; None: that of the cutter. What is
    drawn is to scale; the words of fence and stop are what their scales are set to, by the ``corrections``.
    """
    machine = Machine(set_up, section, piece, scale_tip, ems)
    words = _words(machine, units, corrections)
    shapes, texts = split([*_elevation(machine, words, units), *_plan(machine, words), *_axis(machine)])
    hand = "right-hand" if right_hand else "left-hand"
    if right_hand:
        shapes, texts = [parts.mirrored(shape) for shape in shapes], [_turned(text) for text in texts]
    middle = (machine.left + machine.right) / 2 * (-1 if right_hand else 1)
    title = Text(TextRole.MEMBER, (middle, machine.top + 2.4 * machine.em), hand, machine.em)
    describes = f"To scale. {_said(machine, words, units, right_hand)} {UNIT_WORDS[units]}"
    return finished(f"{name}, {hand} pieces", describes, machine.em, shapes, [*texts, title])


@dataclass(frozen=True, slots=True)
class _Words:
    """What the drawing writes at its dimensions, as tile and list say it."""

    clamp: str
    stop: str
    fence: str
    projection: str


def _words(machine: Machine, units: Units, corrections: Corrections | None) -> _Words:
    set_up = machine.set_up
    return _Words(
        clamp=set_figure(set_up.clamp_height, units),
        stop=depth_setting(set_up, corrections, units).drawn(set_up.depth_stop, units),
        fence=fence_setting(set_up, corrections, units).drawn(set_up.fence_reading, units),
        projection=fine_figure(set_up.projection, units),
    )


def _elevation(machine: Machine, words: _Words, units: Units) -> Parts:
    em, table = machine.em, machine.table
    yield from parts.elevation(machine)
    row = table - max(TABLE * machine.part, -machine.rest + machine.tip / 2) - 0.75 * em
    above = row + 1.3 * LINE / 2 * em
    x = machine.left - 0.9 * em
    if not machine.piece.on_edge:
        clamp = machine.set_up.clamp_height
        yield extension((machine.tip_x, table + clamp), (x - 0.3 * em, table + clamp))
        yield extension((machine.left, table), (x - 0.3 * em, table))
        told = ("clamp", words.clamp)
        yield from _upright(machine, table, table + clamp, x, told, left=True, above=above)
    x = machine.right + 1.2 * em
    low, high = table + machine.rest, table + machine.stop
    yield extension((machine.tip / 2, low), (x + 0.3 * em, low))
    yield from _upright(machine, low, high, x, ("stop", words.stop), left=False, above=above)
    yield Text(TextRole.WORDS, ((machine.left + machine.right) / 2, row), _stands(machine, units), em)


def _plan(machine: Machine, words: _Words) -> Parts:
    em, set_up = machine.em, machine.set_up
    yield from parts.plan(machine)
    y = machine.face_thick + 1.2 * em
    yield extension((machine.tip_x, 0.0), (machine.tip_x, y + 0.3 * em))
    yield from across(machine.tip_x, 0.0, y, f"fence {words.fence}", em)
    x = machine.margin
    for level, start in ((0.0, machine.right), (-set_up.projection, machine.tip / 2)):
        yield extension((start, level), (x + 0.3 * em, level))
    told = list(_upright(machine, -set_up.projection, 0.0, x, ("projection", words.projection), left=False))
    yield from told
    if machine.piece.on_edge:
        yield from _clamp_across(machine, words)
    foot = (machine.tip_x + parts.LONGER * machine.deep / tan(machine.angle), -parts.LONGER * machine.deep)
    lean = f"fence {set_up.angle:.4g}°"
    # a fence that leans far over a thin piece ends close to where the projection is told
    under = min(text.at[1] for text in told if isinstance(text, Text)) - 1.05 * LINE * em
    yield Text(TextRole.WORDS, (foot[0] - 0.4 * em, min(foot[1] - 0.9 * em, under)), lean, em, Anchor.END)


def _upright(
    machine: Machine,
    low: float,
    high: float,
    x: float,
    words: tuple[str, str],
    *,
    left: bool,
    above: float = -inf,
) -> Parts:
    """An upright dimension; where letters are large, its word stands over its figure, both ``above`` a height."""
    em = machine.em
    *lines, text = upright(low, high, x, " ".join(words), em, left=left)
    yield from lines
    if machine.ems >= EMS or not isinstance(text, Text):
        yield text
        return
    middle = max(text.at[1], above + (0.65 + LINE / 2) * em)
    for line, rise in zip(words, (0.65, -0.65), strict=True):
        yield replace(text, at=(text.at[0], middle + rise * em), words=line)


def _clamp_across(machine: Machine, words: _Words) -> Parts:
    """The thickness that the clamp closes on, square to the fence, beyond the wood's shown end."""
    em, (dx, dy), clamp = machine.em, machine.along, machine.set_up.clamp_height
    reach = (machine.deep + 2.6 * em + clamp * dx) / sin(machine.angle)
    start = (machine.tip_x + reach * dx, reach * dy)
    end = (start[0] - clamp * dy, start[1] + clamp * dx)
    for (x, y), edge in ((start, machine.tip_x), (end, machine.far)):
        # from where the wood leaves off, along its side
        shown = machine.deep / sin(machine.angle)
        yield extension((edge + shown * dx, shown * dy), (x + 0.3 * em * dx, y + 0.3 * em * dy))
    yield Line(Role.DIMENSION, start, end)
    yield from (parts.slanted(at, machine.angle, em) for at in (start, end))
    told, middle = f"clamp {words.clamp}", ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if machine.set_up.angle == 90:
        yield Text(TextRole.FIGURE, (middle[0], middle[1] - 0.75 * em), told, em)
    else:
        yield Text(TextRole.FIGURE, (middle[0] + 0.6 * em, middle[1] - 0.6 * em), told, em, Anchor.START)


def _axis(machine: Machine) -> Iterator[Shape]:
    em = machine.em
    yield Line(Role.CENTRE, (0.0, -machine.set_up.projection - 0.8 * em), (0.0, machine.face_thick + 1.5 * em))
    low = machine.table + machine.rest - machine.tip / 2
    yield Line(Role.CENTRE, (0.0, low - 0.2 * em), (0.0, machine.table + machine.depth + 0.8 * em))


def _said(machine: Machine, words: _Words, units: Units, right_hand: bool) -> str:
    """The drawing in words: where things stand, and what a scale that is out is set to for it."""
    set_up, piece = machine.set_up, machine.piece
    side = "right" if right_hand else "left"
    start = "mitre tip" if set_up.mitred else "reference edge"
    held = "pressed to the fence" if piece.on_edge else "pressed to the table"
    fence, stop = set_figure(set_up.fence_reading, units), set_figure(set_up.depth_stop, units)
    return (
        f"The fence at {set_up.angle:.4g}° stands on the {side} of the cutter,"
        f" {fence} from the {start} to the cutter's centre{_set_to(words.fence, fence)}."
        f" The piece lies with its {_stands(machine, units)} and its mating face against the machine's face,"
        f" {held} by the clamp at {words.clamp}."
        f" The cutter, section {set_up.section} {set_up.cutter.words}, stands out {words.projection}"
        f" and rises to the stop at {stop}{_set_to(words.stop, stop)}."
    )


def _set_to(to: str, planned: str) -> str:
    return "" if to == planned else f", its scale set to {to}"


def _stands(machine: Machine, units: Units) -> str:
    """What of the piece lies on the table, or on a spacer there: "back on the table"."""
    piece = machine.piece
    where = f"a spacer of {set_figure(piece.spacer, units)}" if piece.spacer else "the table"
    return f"{piece.down} on {where}"


def _turned(text: Text) -> Text:
    ends = {Anchor.START: Anchor.END, Anchor.END: Anchor.START}
    return replace(text, at=(-text.at[0], text.at[1]), anchor=ends.get(text.anchor, text.anchor))
