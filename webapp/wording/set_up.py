"""The set-up sheet in words: page, paper, tablet and terminal set what stands here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from domain.lengths import Units, format_fine, format_mm
from domain.machine.changing import Change
from domain.machine.set_ups import Batch, SetUpTest, Source
from domain.machine.sheet import Line, Sheet
from domain.machine.work_time import WorkTime
from domain.planning.set_up import SetUp
from domain.spec.rules import Rules
from domain.takeoff.pieces import Hand, Joined
from domain.trials.calibration import Corrections
from webapp.wording.facts import Fact
from webapp.wording.joint import tool
from webapp.wording.pieces import at_fence, edge_down, named, slotted
from webapp.wording.reading import AS_PLANNED, Setting, depth_setting, fence_setting, setting, start_said
from webapp.wording.words import notes_text

CHANGES = {
    Change.CUTTER: Fact.CUTTER.lower(),
    Change.PROJECTION: Fact.PROJECTION.lower(),
    Change.FENCE: "fence",
    Change.FENCE_READING: "fence reading",
    Change.DEPTH_STOP: Fact.STOP.lower(),
    Change.CLAMP_HEIGHT: "clamp height",
}
LYING = (
    "The picture shows an end. A piece slotted in its edge or face lies along the machine's face, with the end or"
    " the line that is named at the fence. Where it runs on past the fence, lower the fence or take it off, and"
    " set the line to the same reading. The setting-out sheet draws every line."
)
TURNED = (
    "Where the other edge is named, the piece is measured from the edge across from its reference edge, so that"
    " the reading which is set serves again: the fence stands on the other side, hence the other hand; the same"
    " edge is down and the same side at the machine. Mark the mating piece's line there by laying the piece on it,"
    " so that the true width counts."
)
SPACERS = (
    "Where a spacer is named, lay strips of that thickness on the table, one on each side of the cutter, and stand"
    " the edge on them: the slot begins so far inside the other piece's edge, and one stop serves both."
)
HANDS = (
    "Stand at the machine and look at its face, from which the cutter stands out. A piece whose tip, reference"
    " edge, flush end or marked line lies left of the cutter is left-hand (L), the other right-hand (R); the fence"
    " stands on that side. The two pieces of a joint are always one of each. The edge that is named lies down on"
    " the table, what is slotted against the machine's face."
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
class _Place:
    """Whose place it is, and how it lies.

    ``place`` says what is slotted, hence lies to the machine, ``down`` what lies on the table.
    """

    member: str
    name: str
    project: str
    joint: str
    place: str
    at_fence: str
    down: str


@dataclass(frozen=True, slots=True)
class PlaceWords(_Place):
    """Places that are milled alike, with one hand: ``pieces`` are the names of the ``count`` pieces."""

    hand: Hand
    count: int
    pieces: str


@dataclass(frozen=True, slots=True)
class Handed:
    """The pieces of one hand in a row: how many, and their names; 0 and "" where there are none."""

    count: int = 0
    pieces: str = ""


@dataclass(frozen=True, slots=True)
class PieceRow(_Place):
    """Places that differ in nothing but their hand, side by side."""

    left: Handed
    right: Handed


@dataclass(frozen=True, slots=True)
class TestWords:
    """The test of a set-up: the sentence of the sheet, and the short words of a row to tick off."""

    sentence: str
    row: str
    how: str


@dataclass(frozen=True, slots=True)
class SetUpBlock:
    """A set-up with its work; ``lie`` says how pieces lie that are slotted in an edge or a face.

    ``batches`` are the places of every batch, by its key: rows tell the same with both hands side by side.
    """

    number: int
    change: str
    minutes: str
    readings: tuple[ReadingRow, ...]
    left: int
    right: int
    test: TestWords
    pieces: tuple[PieceRow, ...]
    batches: Mapping[str, tuple[PlaceWords, ...]]
    lie: str
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


TIMES = ("Setting up", "Milling", "Driving keys", "Together")
"""What ``times_text`` tells, in its order."""


def times_text(time: WorkTime) -> tuple[str, ...]:
    """A project's minutes by itself."""
    return tuple(map(minutes_text, (time.set_up, time.milling, time.driving, time.total)))


def saved_text(sheet: Sheet, times: Iterable[WorkTime]) -> str:
    """Minutes of changing that are saved by going to the machine together; "" where there are none."""
    saved = sum(time.set_up for time in times) - sheet.minutes
    return f"One project after the other would take {minutes_text(saved)} more." if saved > 0 else ""


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
    work = line.work
    batches = {batch.key: tuple(_places(batch, units, several)) for batch in work.batches}
    return SetUpBlock(
        number=line.number,
        change=_change(line),
        minutes=minutes_text(line.minutes),
        readings=readings,
        left=work.left,
        right=work.right,
        test=_test(work.tests),
        pieces=tuple(_rows(place for places in batches.values() for place in places)),
        batches=batches,
        lie=" ".join(_lying(work.batches)),
        notes=notes_text(work.notes, units),
    )


def _lying(batches: Sequence[Batch]) -> Iterator[str]:
    """How pieces lie that the picture does not show."""
    if any(not batch.place.is_end for batch in batches):
        yield LYING
    if any(batch.turned for batch in batches):
        yield TURNED
    if any(lie.spacer for batch in batches for lie in batch.lies):
        yield SPACERS


def _change(line: Line) -> str:
    """What to change from the set-up before."""
    if line.number == 1:
        return "Set all six values"
    names = [CHANGES[change] for change in line.changes]
    return "Change " + (names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}")


def _readings(
    line: Line, units: Units, rules: Mapping[str, Rules], corrections: Corrections | None
) -> tuple[ReadingRow, ...]:
    set_up = line.work.set_up
    values = {
        Change.CUTTER: f"{tool(set_up.section, set_up.cutter)}, {format_fine(set_up.tip_diameter, units)} tip",
        Change.PROJECTION: setting(set_up.projection, units, fine=True),
        Change.FENCE: fence_words(set_up),
        Change.FENCE_READING: setting(set_up.fence_reading, units),
        Change.DEPTH_STOP: setting(set_up.depth_stop, units),
        Change.CLAMP_HEIGHT: setting(set_up.clamp_height, units),
    }
    more = {
        Change.PROJECTION: Setting(said=start_said(line.work.batches, rules, units)),
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


def fence_words(set_up: SetUp) -> str:
    """Kind and angle of the fence: "mitre, 45°", "square, 90°"."""
    return f"{'mitre' if set_up.mitred else 'square'}, {set_up.angle:.4g}°"


def _test(tests: Sequence[SetUpTest]) -> TestWords:
    """A set-up is tested first whatever the rules count: without a test, no projection is known to be right.

    Once for each cutter, projection and wood: what an earlier set-up has tried is checked without a key.
    """
    here = [test for test in tests if test.made_in is None]
    before = [test for test in tests if test.made_in is not None]
    if not here:
        return _tested_before(before)
    rest = f" {_made_before(before)}" if before else ""
    woods = _woods(here) if len(tests) > 1 else ""
    number = max(test.joints for test in here)
    if number == 0:
        uncounted = "no test key is counted (shop settings)"
        return TestWords(
            f"Run the test piece of this set-up first{woods}, a left and a right; {uncounted}.{rest}",
            "Test piece first",
            f"A left and a right, from the same stock{woods}; {uncounted}",
        )
    if number == len(here) == 1:
        return TestWords(
            f"Run the test piece of this set-up first{woods}, a left and a right, and drive a key.{rest}",
            "Test piece first",
            f"A left and a right, from the same stock{woods}, and a key driven",
        )
    each = " of each wood" if len(here) > 1 else ""
    return TestWords(
        f"Run the test pieces of this set-up first{woods}, {number} left and {number} right{each},"
        f" and drive the keys.{rest}",
        "Test pieces first",
        f"{number} left and {number} right{each}, from the same stock{woods}, and a key driven in each",
    )


def _tested_before(before: Sequence[SetUpTest]) -> TestWords:
    """No key is driven: what differs from the set-up that was tested can be measured."""
    made, check = _made_before(before), "check fence reading and depth stop on an offcut, without a key"
    return TestWords(f"{made} First {check}.", "Check on an offcut first", f"{made} {check.capitalize()}")


def _made_before(before: Sequence[SetUpTest]) -> str:
    """In which set-up each test was made: "The fit was tested in set-up 1 (same cutter, projection and wood)."."""
    numbers = sorted({test.made_in for test in before if test.made_in is not None})
    *most, last = map(str, numbers)
    which = f"set-ups {', '.join(most)} and {last}" if most else f"set-up {last}"
    return f"The fit{_woods(before)} was tested in {which} (same cutter, projection and wood)."


def _woods(tests: Sequence[SetUpTest]) -> str:
    """The woods by their names, as far as they have one: " in ash and cherry"."""
    *most, last = [test.wood or "wood that has no name here" for test in tests]
    if not most and tests[0].wood is None:
        return ""
    return f" in {', '.join(most)} and {last}" if most else f" in {last}"


def _places(batch: Batch, units: Units, several: bool) -> Iterator[PlaceWords]:
    """The places of a batch in words, those together that are said alike."""
    alike: dict[tuple[str, str], list[Joined]] = {}
    for one in batch.here:
        alike.setdefault((slotted(one), at_fence(one, units, turned=batch.turned)), []).append(one)
    for (place, fence), here in alike.items():
        yield PlaceWords(
            member=batch.member.mark,
            name=batch.member.name,
            project=batch.project if several else "",
            joint=batch.joint,
            place=place,
            at_fence=fence,
            down=_down(batch, units),
            hand=batch.hand,
            count=len(here) * batch.copies,
            pieces=named(here, batch.copies),
        )


def _rows(places: Iterable[PlaceWords]) -> Iterator[PieceRow]:
    """A row for places that differ in nothing but their hand."""
    rows: dict[tuple[str, str, str, str, str, str, str], dict[Hand, Handed]] = {}
    for each in places:
        what = (each.member, each.name, each.project, each.joint, each.place, each.at_fence, each.down)
        rows.setdefault(what, {})[each.hand] = Handed(each.count, each.pieces)
    for what, hands in rows.items():
        yield PieceRow(*what, hands.get(Hand.LEFT, Handed()), hands.get(Hand.RIGHT, Handed()))


def _down(batch: Batch, units: Units) -> str:
    """The edges that lie on the table, pass by pass: turned over, a piece changes hands."""
    first, *others = (edge_down(lie.entry, lie.spacer, units) for lie in batch.lies)
    return " ".join([first, *(f"then {edge}, hands changed" for edge in others)])
