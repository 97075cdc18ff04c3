"""The takeoff as lines of text, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from domain.lengths import Units, format_fine, format_length, format_mm
from domain.parts import Member, Panel
from domain.planning.plans import JointPlan
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff

Row = tuple[str, ...]
_PIECES: Row = ("Piece", "", "Number", "Length", "Width", "Thickness")
# keys are named by their millimetres, as on the packet, whatever the project's units
_JOINTS: Row = ("Joint", "", "Number", "Key", "Centres", "Projection", "Depth", "Keys in each slot")
_KEYS: Row = ("Keys", "", "Used", "Tests", "Spare", "Total")
_PLUGS: Row = ("Plugs", "", "Used", "Spare", "Total")


def takeoff_table(takeoff: Takeoff, units: Units) -> Iterator[str]:
    """Assemblies with their pieces and joints, then what to buy."""
    yield takeoff.project
    for assembly in takeoff.assemblies:
        yield ""
        yield from _assembly(assembly, units)
    yield from _to_buy(takeoff, units)
    for note in takeoff.notes:
        yield note.text(units)


def _assembly(assembly: AssemblyTakeoff, units: Units) -> Iterator[str]:
    expansion = assembly.expansion
    yield f"{expansion.mark}  {expansion.name}, {expansion.quantity} off"
    parts: tuple[Member | Panel, ...] = (*expansion.members, *expansion.panels)
    pieces = [
        (
            part.mark,
            part.name,
            str(part.quantity),
            *(format_length(size, units) for size in (part.length, part.width, part.thickness)),
        )
        for part in parts
    ]
    yield from columns([_PIECES, *pieces])
    yield from (f"  {note.text(units)}" for note in expansion.notes)
    yield from columns([_JOINTS, *(_joint(joint, units) for joint in assembly.joints)])
    for joint in assembly.joints:
        yield from (f"  {joint.joint.mark}: {note.text(units)}" for note in joint.notes)


def _joint(joint: JointPlan, units: Units) -> Row:
    needs, plan = joint.joint, joint.plan
    start = (needs.mark, needs.place, str(needs.quantity))
    if plan is None:
        return (*start, "cannot be made", "", "", "", "")
    return (
        *start,
        plan.section.name,
        ", ".join(format_length(centre, units) for centre in plan.centres),
        format_fine(plan.projection, units),
        format_length(plan.depth, units),
        f"{' + '.join(map(format_mm, plan.keys))}, from the {_entries(joint)}",
    )


def _entries(joint: JointPlan) -> str:
    return " and the ".join(dict.fromkeys(slot.entry.value for slot in joint.slots))


def _to_buy(takeoff: Takeoff, units: Units) -> Iterator[str]:
    totals = takeoff.totals
    keys = [
        (
            key.item,
            "",
            *map(str, (key.used, key.tests, key.spare, key.total)),
        )
        for key in totals.keys
    ]
    plugs = [
        (
            f"{plug.material} for {plug.section}",
            format_length(plug.height, units),
            *map(str, (plug.used, plug.spare, plug.total)),
        )
        for plug in totals.plugs
    ]
    for header, rows in ((_KEYS, keys), (_PLUGS, plugs)):
        if rows:
            yield ""
            yield from columns([header, *rows])
    if totals.glue_grams:
        yield ""
        yield f"Glue  {totals.glue_to_buy} g"


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
