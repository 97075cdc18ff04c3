"""The set-up sheet as it is read, on the page and on paper alike: every figure worded, every picture drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.lengths import Units, format_fine, format_mm
from domain.machine.changing import Change
from domain.machine.hands import Datum, Hand, Place
from domain.machine.set_ups import Piece, Source
from domain.machine.sheet import Line, Sheet
from domain.spec.rules import Rules
from domain.takeoff.counting import SetUp
from domain.trials.calibration import Corrections
from webapp.drawings.model import Drawing
from webapp.drawings.set_up import Wood, draw_set_up
from webapp.wording.joint import tool
from webapp.wording.reading import AS_PLANNED, Setting, depth_setting, fence_setting, setting, start_said
from webapp.wording.words import notes_text

CHANGES = {
    Change.CUTTER: "cutter",
    Change.PROJECTION: "projection",
    Change.FENCE: "fence",
    Change.FENCE_READING: "fence reading",
    Change.DEPTH_STOP: "depth stop",
    Change.CLAMP_HEIGHT: "clamp height",
}
PLACES = {
    Place.MITRED_END: "mitred end",
    Place.SQUARE_END: "square end",
    Place.EDGE: "edge",
    Place.FACE: "face",
}
ENDS = {Place.MITRED_END, Place.SQUARE_END}
LYING = (
    "The picture shows an end. A piece slotted in its edge or face lies along the machine's face, with the end or"
    " the line that is named at the fence."
)
HANDS = (
    "Stand at the machine and look at its face, from which the cutter stands out. A piece whose tip or reference"
    " edge lies left of the cutter is left-hand (L), the other right-hand (R); the fence stands on that side. The"
    " two pieces of a joint are always one of each. The edge that is named lies down on the table."
)
"""What the marks L and R mean, said once on a sheet."""


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One of the six values: its name, its figure, and whether it differs from the set-up before.

    ``set_to`` is what to set a scale to that is out, "" elsewhere; ``said`` is why, or where the figure is from.
    """

    name: str
    value: str
    changed: bool
    set_to: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class PieceRow:
    """Equal places on equal members, ``left`` and ``right`` of them. ``down`` is what lies on the table."""

    member: str
    name: str
    project: str
    joint: str
    place: str
    at_fence: str
    down: str
    left: int
    right: int


@dataclass(frozen=True, slots=True)
class SetUpBlock:
    """A set-up with its work; ``lie`` says how pieces lie that are slotted in an edge or a face."""

    number: int
    change: str
    minutes: str
    readings: tuple[ReadingRow, ...]
    left: int
    right: int
    test: str
    pieces: tuple[PieceRow, ...]
    lie: str
    pictures: tuple[Drawing, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetView:
    """The whole sheet: ``minutes`` of changing, and how certain it is that no order takes less."""

    blocks: tuple[SetUpBlock, ...]
    minutes: str
    certainty: str
    several: bool
    unmade: tuple[str, ...]


def sheet_view(
    sheet: Sheet, sources: Sequence[Source], units: Units, corrections: Corrections | None = None
) -> SheetView:
    """The sheet of these sources in ``units``; what scales are out by is set right with ``corrections``."""
    several = len(sources) > 1
    rules = {source.key: source.rules for source in sources}
    return SheetView(
        blocks=tuple(
            _block(line, _readings(line, units, rules, corrections), units, several) for line in sheet.lines
        ),
        minutes=minutes_text(sheet.minutes),
        certainty=_certainty(sheet),
        several=several,
        unmade=tuple(mark for source in sources for mark in _unmade(source, several)),
    )


def minutes_text(minutes: float) -> str:
    """Minutes as one says them; beyond an hour and a half with hours beside them.

    >>> minutes_text(31.5), minutes_text(200.0)
    ('31.5 min', '200 min (3 h 20 min)')
    """
    text = f"{format_mm(minutes, 2)} min"
    if minutes < 90:
        return text
    hours, rest = divmod(round(minutes), 60)
    return f"{text} ({hours} h {rest} min)" if rest else f"{text} ({hours} h)"


def _certainty(sheet: Sheet) -> str:
    if sheet.proven:
        return "No order takes less."
    return f"A good order; the least possible is not under {minutes_text(sheet.bound)}."


def _unmade(source: Source, several: bool) -> Iterable[str]:
    for assembly in source.takeoff.assemblies:
        for joint in assembly.joints:
            if joint.plan is None:
                yield f"{joint.joint.mark} in {source.takeoff.project}" if several else joint.joint.mark


def _block(line: Line, readings: tuple[ReadingRow, ...], units: Units, several: bool) -> SetUpBlock:
    milling = line.milling
    return SetUpBlock(
        number=line.number,
        change=_change(line),
        minutes=minutes_text(line.minutes),
        readings=readings,
        left=milling.left,
        right=milling.right,
        test=_test(milling.tests),
        pieces=tuple(_piece_rows(milling.pieces, several)),
        lie=LYING if any(piece.place not in ENDS for piece in milling.pieces) else "",
        pictures=tuple(_pictures(line, units)),
        notes=notes_text(milling.notes, units),
    )


def _change(line: Line) -> str:
    """What to change from the set-up before."""
    if line.number == 1:
        return "Set all six"
    names = [CHANGES[change] for change in line.changes]
    return "Change " + (names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}")


def _readings(
    line: Line, units: Units, rules: Mapping[str, Rules], corrections: Corrections | None
) -> tuple[ReadingRow, ...]:
    set_up = line.milling.set_up
    values = {
        Change.CUTTER: f"{tool(set_up.section, set_up.cutter)}, {format_fine(set_up.tip_diameter, units)} tip",
        Change.PROJECTION: setting(set_up.projection, units, fine=True),
        Change.FENCE: f"{'mitre' if set_up.mitred else 'square'}, {set_up.angle:.4g}°",
        Change.FENCE_READING: setting(set_up.fence_reading, units),
        Change.DEPTH_STOP: setting(set_up.depth_stop, units),
        Change.CLAMP_HEIGHT: setting(set_up.clamp_height, units),
    }
    more = {
        Change.PROJECTION: Setting(said=start_said(line.milling.pieces, rules, units)),
        Change.FENCE_READING: fence_setting(set_up, corrections, units),
        Change.DEPTH_STOP: depth_setting(set_up, corrections, units),
    }
    return tuple(
        ReadingRow(
            CHANGES[change].capitalize(),
            value,
            change in line.changes,
            more.get(change, AS_PLANNED).to,
            more.get(change, AS_PLANNED).said,
        )
        for change, value in values.items()
    )


def _test(tests: int) -> str:
    if tests <= 1:
        return "Run the test piece of this set-up first, a left and a right, and drive a key."
    return f"Run the test pieces of this set-up first, {tests} left and {tests} right, and drive the keys."


def _piece_rows(pieces: Sequence[Piece], several: bool) -> Iterable[PieceRow]:
    """A row for every place on every member; its left- and right-hand pieces stand side by side."""
    counts: dict[tuple[str, str, str, Place], Counter[Hand]] = {}
    first: dict[tuple[str, str, str, Place], Piece] = {}
    for piece in pieces:
        key = (piece.source, piece.joint, piece.member.mark, piece.place)
        first.setdefault(key, piece)
        counts.setdefault(key, Counter())[piece.hand] += piece.quantity
    for key, piece in first.items():
        yield PieceRow(
            member=piece.member.mark,
            name=piece.member.name,
            project=piece.project if several else "",
            joint=piece.joint,
            place=PLACES[piece.place],
            at_fence=_at_fence(piece),
            down=_down(piece),
            left=counts[key][Hand.LEFT],
            right=counts[key][Hand.RIGHT],
        )


def _at_fence(piece: Piece) -> str:
    """What of the piece is at the fence."""
    return {
        Datum.TIP: "tip",
        Datum.REFERENCE_EDGE: "reference edge",
        Datum.FLUSH_END: f"end flush with {piece.meets}",
        Datum.MARKED_LINE: f"line where {piece.meets} comes",
    }[piece.datum]


def _down(piece: Piece) -> str:
    """The edges that lie on the table, pass by pass: turned over, a piece changes hands."""
    first, *others = (entry.value for entry in piece.entries)
    return " ".join([first, *(f"then {entry}, hands changed" for entry in others)])


def _pictures(line: Line, units: Units) -> Iterable[Drawing]:
    """The set-up for each hand that it mills, with the end that lies square on; every joint has one."""
    milling = line.milling
    shown = next(piece for piece in milling.pieces if piece.place in ENDS)
    for hand in Hand:
        entries = dict.fromkeys(
            lie.entry.value for piece in milling.pieces for lie in piece.lies if lie.hand is hand
        )
        if entries:
            yield draw_set_up(
                milling.set_up,
                shown.plan.section,
                _wood(shown, " or ".join(entries)),
                units,
                right_hand=hand is Hand.RIGHT,
                scale_tip=_scale_tip(milling.set_up, shown),
                name=f"Set-up {line.number}",
            )


def _wood(shown: Piece, down: str) -> Wood:
    return Wood(breadth=shown.face.breadth, run=shown.face.run, on_edge=shown.kind.on_edge, down=down)


def _scale_tip(set_up: SetUp, piece: Piece) -> float:
    """The tip that the stop's scale was set with, mm: reading = depth + (D_scale − D) / 2, solved for D_scale."""
    return set_up.tip_diameter + 2 * (set_up.depth_stop - piece.plan.depth)
