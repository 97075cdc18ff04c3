"""The tables that a project is handed on as: each defined once, written as XLSX and as CSV.

Lengths are numbers in the project's units: millimetres, or decimal inches; the heading says which.
Keys are called by the millimetres on their packets, in any project.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from domain.lengths import Units
from domain.moving.parts import PartMovement, Season
from domain.planning.plans import Filled, JointPlan
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.tables.parts_table import parts_table
from webapp.tables.table import PLACES, Cell, Column, Kind, Table, length, lengths, texts
from webapp.usecases.projects import PlannedAssembly, PlannedProject
from webapp.wording.bought import fastening_words, plug_words
from webapp.wording.facts import Fact
from webapp.wording.joint import MadeWords, joint_words
from webapp.wording.money import minor_places
from webapp.wording.movement import moving_words

NOTED, NOTED_ON_ASSEMBLY = "Noted", "Noted on the assembly"
"""What somebody wrote beside a joint, and beside its assembly."""


class TableName(StrEnum):
    """The tables there are; the value is their name in addresses and files."""

    SCHEDULE = "schedule"
    KEYS = "keys"
    MEMBERS = "members"
    MOVEMENT = "movement"


def table(name: TableName, project: PlannedProject) -> Table:
    """The project's table of that name. Raises nothing: an empty project has headings only."""
    match name:
        case TableName.SCHEDULE:
            return schedule_table(project)
        case TableName.KEYS:
            return keys_table(project)
        case TableName.MEMBERS:
            return parts_table([project])
        case TableName.MOVEMENT:
            return movement_table(project)


def schedule_table(project: PlannedProject) -> Table:
    """A row for every joint; one that cannot be made is there, and so is an assembly whose sizes clash."""
    units = project.head.units
    joints = [joint for each in project.assemblies if each.takeoff for joint in each.takeoff.joints]
    most = max((joint.plan.count for joint in joints if joint.plan is not None), default=0)
    columns = (
        *texts("Assembly", "Assembly name", "Joint", "Place", "Kind"),
        Column("How many", Kind.COUNT),
        *texts("Member", "Meets"),
        *lengths(units, "Along the joint line", "Along the slot"),
        Column("Angle", Kind.NUMBER, "°"),
        *texts("Can be made", Fact.SECTION, Fact.CUTTER),
        *lengths(units, Fact.TIP, Fact.PROJECTION, Fact.SNUG),
        Column("Keys side by side", Kind.COUNT),
        Column(Fact.ORIGIN, Kind.TEXT),
        *lengths(units, *(f"Centre {number}" for number in range(1, most + 1))),
        *lengths(units, Fact.DEPTH, Fact.STOP),
        Column(Fact.EDGES, Kind.TEXT),
        Column(Fact.SLOTS, Kind.COUNT),
        Column(Fact.KEYS, Kind.TEXT, "mm"),
        Column(Fact.END, Kind.TEXT),
        *lengths(units, Fact.RECESS, Fact.REACH),
        Column(Fact.HOLD, Kind.NUMBER, "%"),
        Column(Fact.MIDDLE, Kind.TEXT),
        *_other_columns(units, joints),
        Column("Notes", Kind.TEXT),
        Column("Advice", Kind.TEXT),
        *texts(NOTED, NOTED_ON_ASSEMBLY),
    )
    others, notes = len(_other_columns(units, joints)), project.bench.notes
    rows: list[tuple[Cell, ...]] = []
    for each in project.assemblies:
        if each.takeoff is None:
            rows.append(_clash(each, columns, units, notes.get(each.stored.spec.mark)))
            continue
        rows += [
            (
                *_joint(each.takeoff, joint, units, most, others),
                notes.get(joint.joint.mark),
                notes.get(each.stored.spec.mark),
            )
            for joint in each.takeoff.joints
        ]
    return Table("Joint schedule", units, columns, tuple(rows))


def _other_columns(units: Units, joints: Iterable[JointPlan]) -> tuple[Column, ...]:
    """What slots from the other end of a run take, where it differs in any joint."""
    if all(joint.plan is None or joint.plan.far is None for joint in joints):
        return ()
    return (
        Column("Other end", Kind.TEXT),
        *lengths(units, *(f"Other end, {fact.lower()}" for fact in (Fact.DEPTH, Fact.STOP))),
        Column(f"Other end, {Fact.KEYS.lower()}", Kind.TEXT, "mm"),
        *lengths(units, f"Other end, {Fact.RECESS.lower()}"),
    )


def keys_table(project: PlannedProject) -> Table:
    """A row for every key, every plug, and the glue; prices where the catalogue has them."""
    units, prices = project.head.units, project.bench.prices
    columns = (
        *texts("What", "Item", "Section", "Material"),
        *lengths(units, "Length or height"),
        *(Column(heading, Kind.COUNT) for heading in ("Used", "Tests", "Spare", "Total")),
        Column("Glue", Kind.NUMBER, "g"),
        Column("Each, in the catalogue", Kind.NUMBER, prices.currency),
        Column("All, at that price", Kind.NUMBER, prices.currency),
    )

    def priced(each: int | None, total: int) -> tuple[Cell, Cell]:
        places = minor_places(prices.currency)
        if each is None:
            return None, None
        return round(each / 10**places, places), round(each * total / 10**places, places)

    rows: list[tuple[Cell, ...]] = []
    for key in project.totals.keys:
        money = priced(prices.key(key.section, key.length), key.total)
        counts = (key.used, key.tests, key.spare, key.total)
        rows.append(("key", key.item, key.section, None, length(key.length, units), *counts, None, *money))
    for plug in project.totals.plugs:
        money = priced(prices.plug(plug), plug.total)
        counted = (plug.used, None, plug.spare, plug.total)
        rows.append(
            (
                "plug",
                plug_words(plug).item,
                plug.section,
                plug.material,
                length(plug.height, units),
                *counted,
                None,
                *money,
            )
        )
    for fastening in project.totals.fastenings:
        words = fastening_words(fastening)
        counted = (words.used, None, words.spare, words.total)
        rows.append(("fastening", words.item, None, None, None, *counted, None, None, None))
    if project.totals.glue_grams:
        empty = (None,) * 7
        rows.append(("glue", "glue", *empty, project.totals.glue_to_buy, None, None))
    return Table("Keys to buy", units, columns, tuple(rows))


def movement_table(project: PlannedProject) -> Table:
    """A row for every part of solid wood: its changes from the shop on, in its place and in the other season.

    Of kinds that a wood's name leaves open, a change is that of the one that moves most, and beside it the least.
    """
    units = project.head.units
    columns = (
        *texts("Assembly", "Assembly name", "Part", "Name"),
        Column("How many", Kind.COUNT),
        *lengths(units, "Across the grain", "Thickness"),
        *texts("Reckoned as", "Sawn"),
        Column("Moisture in the shop", Kind.NUMBER, "%"),
        *_season_columns("in its place", units),
        *_season_columns("in the other season", units),
        Column("Notes", Kind.TEXT),
    )
    rows: list[tuple[Cell, ...]] = []
    for each in project.assemblies:
        if each.takeoff is None:
            rows.append(_clash(each, columns, units))
        elif each.takeoff.movement is not None:
            head = (each.takeoff.expansion.mark, each.takeoff.expansion.name)
            rows += [(*head, *_moving(part, units), None) for part in each.takeoff.movement.parts]
    return Table("Movement", units, columns, tuple(rows))


def _season_columns(where: str, units: Units) -> tuple[Column, ...]:
    names = ("Change", "Change at least", "Change in thickness")
    return (
        Column(f"Moisture {where}", Kind.NUMBER, "%"),
        *lengths(units, *(f"{name} {where}" for name in names)),
    )


def _moving(part: PartMovement, units: Units) -> tuple[Cell, ...]:
    words = moving_words(part, units)
    sizes = (length(part.across, units), length(part.thickness, units))
    seasons = (*_season(part.home, units), *((None,) * 4 if part.other is None else _season(part.other, units)))
    known = (words.wood, words.sawn, round(part.shop, PLACES))
    return (words.mark, words.name, words.quantity, *sizes, *known, *seasons)


def _season(season: Season, units: Units) -> tuple[Cell, ...]:
    changes = (season.across.most, season.across.least, season.thickness.most)
    return (round(season.moisture, PLACES), *(length(each, units) for each in changes))


def _clash(
    planned: PlannedAssembly, columns: tuple[Column, ...], units: Units, noted: str | None = None
) -> tuple[Cell, ...]:
    """An assembly without a takeoff: its row says so, so that nothing is missing unseen."""
    problems = "; ".join(problem.text(units) for problem in planned.problems)
    said: dict[str, Cell] = {
        "Assembly": planned.stored.spec.mark,
        "Assembly name": planned.stored.spec.name,
        "Can be made": "no",
        "Notes": f"Its sizes clash: {problems}.",
        NOTED_ON_ASSEMBLY: noted,
    }
    return tuple(said.get(column.heading) for column in columns)


def _joint(takeoff: AssemblyTakeoff, joint: JointPlan, units: Units, most: int, others: int) -> tuple[Cell, ...]:
    needs, face, words = joint.joint, joint.joint.face, joint_words(joint, units)
    return (
        takeoff.expansion.mark,
        takeoff.expansion.name,
        needs.mark,
        needs.place,
        words.kind,
        needs.quantity,
        *needs.members,
        length(face.breadth, units),
        length(face.run, units),
        round(face.angle, PLACES),
        *_planned(joint, words.made, units, most, others),
        " ".join(words.notes),
        " ".join(words.advice),
    )


def _planned(joint: JointPlan, made: MadeWords | None, units: Units, most: int, others: int) -> tuple[Cell, ...]:
    plan = joint.plan
    if plan is None or made is None:
        return ("no", *(None,) * (17 + most + others))
    centres = [length(centre, units) for centre in plan.centres]
    return (
        "yes",
        made.section,
        made.cutter,
        length(plan.cutter.tip_diameter, units),
        length(plan.projection, units),
        length(plan.snug_projection, units),
        plan.count,
        made.origin,
        *centres,
        *(None,) * (most - len(centres)),
        length(plan.depth, units),
        length(joint.stop, units),
        made.driven_from,
        made.slots,
        made.keys.of(0),
        made.end,
        length(plan.recess, units),
        length(plan.reach, units),
        round(100 * plan.hold, PLACES),
        str(made.middle) if made.middle else None,
        *(_other_end(joint, plan.far, made, units) if plan.far else (None,) * others),
    )


def _other_end(joint: JointPlan, far: Filled, made: MadeWords, units: Units) -> tuple[Cell, ...]:
    return (
        far.entry.value,
        length(far.depth, units),
        length(joint.stop_from(far.entry), units),
        made.keys.of(1),
        length(far.recess, units),
    )
