"""The takeoff and an order as lines of text, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import zip_longest

from domain.lengths import Units
from domain.moving.movement import Movement
from domain.ordering.order import Order
from domain.spec.project import Project
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff
from webapp.wording.bought import fastening_words, glue_words, key_words, plug_words
from webapp.wording.facts import Fact
from webapp.wording.job import job_line
from webapp.wording.joint import JointWords, joint_words
from webapp.wording.money import format_money
from webapp.wording.movement import moving_words, seasons_heading
from webapp.wording.parts import PartWords, part_words

Row = tuple[str, ...]
_PARTS: Row = ("Part", "", "Number", "Length", "Width", "Thickness")
# keys are named by their millimetres, as on the packet, whatever the project's units
_JOINTS: Row = (
    "Joint",
    "",
    "Number",
    Fact.SECTION,
    Fact.CENTRES,
    Fact.PROJECTION,
    Fact.DEPTH,
    Fact.STOP,
    Fact.KEYS,
)
_KEYS: Row = ("Keys", "", "Used", "Tests", "Spare", "Total")
_PLUGS: Row = ("Plugs", "", "Used", "Tests", "Spare", "Total")
_FASTENINGS: Row = ("Between the keys", "", "Used", "Tests", "Spare", "Total")


def takeoff_table(takeoff: Takeoff, units: Units, project: Project | None = None) -> Iterator[str]:
    """Assemblies with their pieces and joints, what to buy, and what the ``project`` says beside its sizes."""
    yield takeoff.project
    if project is not None:
        yield from filter(None, [job_line(project.state, project.due)])
        yield from _noted(project.note)
    notes = (project and project.notes) or {}
    for assembly in takeoff.assemblies:
        yield ""
        yield from _assembly(assembly, units, notes)
    yield from _to_buy(takeoff, units)
    for note in takeoff.notes:
        yield note.text(units)


def _noted(note: str | None, lead: str = "") -> Iterator[str]:
    """What somebody wrote beside a thing, in the lines that were written."""
    for line in (note or "").splitlines():
        yield f"{lead}| {line}"


def _assembly(assembly: AssemblyTakeoff, units: Units, notes: Mapping[str, str]) -> Iterator[str]:
    expansion = assembly.expansion
    yield f"{expansion.mark}  {expansion.name}, {expansion.quantity} off"
    yield from _noted(notes.get(expansion.mark), "  ")
    yield from columns([_PARTS, *(_part(part_words(part, units)) for part in expansion.parts)])
    if assembly.movement is not None and assembly.movement.parts:
        yield from columns([_moving_header(assembly.movement), *_moving(assembly.movement, units)], left=4)
    yield from (f"  {note.text(units)}" for note in expansion.notes)
    joints = [joint_words(joint, units) for joint in assembly.joints]
    yield from columns([_JOINTS, *map(_joint, joints)])
    for joint in joints:
        yield from _noted(notes.get(joint.mark), f"  {joint.mark} ")
        yield from (f"  {joint.mark}: {note}" for note in (*joint.notes, *joint.advice))


def _part(part: PartWords) -> Row:
    return (part.mark, part.name, str(part.quantity), str(part.length), str(part.width), part.thick_said)


def _moving_header(movement: Movement) -> Row:
    return ("Moves", "", "Reckoned as", "Sawn", "Across the grain", *seasons_heading(movement.places))


def _moving(movement: Movement, units: Units) -> Iterator[Row]:
    for words in (moving_words(part, units) for part in movement.parts):
        changes = (season.change for season in words.seasons)
        yield (words.mark, words.name, words.wood, words.sawn, str(words.across), *changes)


def _joint(joint: JointWords) -> Row:
    start, made = (joint.mark, joint.place, str(joint.quantity)), joint.made
    if made is None:
        return (*start, "cannot be made", "", "", "", "", "")
    figures = (made.centres_text, str(made.projection), str(made.depth), str(made.stop))
    return (*start, made.section, *figures, f"{made.keys.bare}, {made.end}, from the {made.driven_from}")


def _to_buy(takeoff: Takeoff, units: Units) -> Iterator[str]:
    totals = takeoff.totals
    keys = [(words.item, "", *words.counts) for words in map(key_words, totals.keys)]
    plugs = [(words.item, "", *words.counts) for words in map(plug_words, totals.plugs)]
    fastenings = [(words.item, "", *words.counts) for words in map(fastening_words, totals.fastenings)]
    for header, rows in ((_KEYS, keys), (_PLUGS, plugs), (_FASTENINGS, fastenings)):
        if rows:
            yield ""
            yield from columns([header, *rows])
    if totals.glue_grams:
        yield ""
        yield f"Glue  {glue_words(totals)}"


def columns(rows: Sequence[Row], left: int = 2) -> Iterator[str]:
    """Rows as aligned text: the first ``left`` columns to the left, the rest to the right.

    >>> list(columns([("Key", "", "Total"), ("14", "", "8")]))
    ['  Key    Total', '  14         8']
    """
    widths = [max(map(len, column)) for column in zip_longest(*rows, fillvalue="")]
    for row in rows:
        cells = [
            cell.ljust(width) if index < left else cell.rjust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  " + "  ".join(cells).rstrip()


_LINES: Row = ("Buy", "From", "Packs", "of", "Price")
_ITEMS: Row = ("Item", "", "Short", "Bought", "Left over")


def order_table(order: Order, currency: str) -> Iterator[str]:
    """What to buy where, what each item gets, what nobody sells, what could not be proven."""
    if order.lines:
        lines = [
            (
                line.pack.item,
                line.pack.supplier,
                str(line.packs),
                str(line.pack.size),
                format_money(line.line_price, currency),
            )
            for line in order.lines
        ]
        yield from columns([_LINES, *lines])
        yield ""
        yield f"Shipping  {format_money(order.shipping, currency)}"
        yield f"Total     {format_money(order.total, currency)}"
    else:
        yield "Nothing to buy."
    if order.doubt:
        yield order.doubt
    if order.items:
        yield ""
        items = [(each.item, "", *map(str, (each.short, each.bought, each.left_over))) for each in order.items]
        yield from columns([_ITEMS, *items])
    for unmet in order.unmet:
        yield f"{unmet.item}: cannot be bought: {unmet.why}"
