"""Two takeoff documents side by side: assembly by assembly, joint by joint, field by field.

Documents are compared rather than plans, so that what was taken off years ago can be one side of it.
A thing is the same thing where it has the same mark.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from domain.lengths import format_mm
from domain.spec.catalogue import key_item
from domain.spec.choices import Middle
from domain.takeoff.document import Json

NOTES = "notes"
"""The one field that is made of sentences."""
Things = list[Json] | tuple[Json, ...]
Value = str | int | float | None | tuple[float, ...]


class Measure(Enum):
    """What a changed field is measured in. LENGTHS are several in mm, SHARE a part of 1."""

    TEXT = "text"
    COUNT = "count"
    LENGTH = "length"
    LENGTHS = "lengths"
    FINE = "fine"
    ANGLE = "angle"
    SHARE = "share"
    GRAMS = "grams"
    KILOGRAMS = "kilograms"
    MINUTES = "minutes"
    SECONDS = "seconds"
    YES_NO = "yes_no"


class State(Enum):
    """What became of a thing between the two documents."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A field that stands differently; lengths are in mm, None where there is none."""

    name: str
    measure: Measure
    before: Value
    after: Value


@dataclass(frozen=True, slots=True)
class Difference:
    """A joint or a part that was added, removed or changed; ``fields`` say how it was changed."""

    mark: str
    state: State
    fields: tuple[FieldChange, ...] = ()


@dataclass(frozen=True, slots=True)
class AssemblyDifference:
    """An assembly that was added, removed or changed, with its joints and parts."""

    mark: str
    state: State
    fields: tuple[FieldChange, ...]
    joints: tuple[Difference, ...]
    parts: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class CountChange:
    """Another number of something to buy."""

    item: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class TakeoffComparison:
    """All that differs between two takeoffs; ``glue`` is in grams."""

    assemblies: tuple[AssemblyDifference, ...]
    keys: tuple[CountChange, ...]
    plugs: tuple[CountChange, ...]
    glue: FieldChange | None
    fastenings: tuple[CountChange, ...] = ()

    @property
    def same(self) -> bool:
        """True where nothing differs."""
        return not (self.assemblies or self.keys or self.plugs or self.glue or self.fastenings)


@dataclass(frozen=True, slots=True)
class Field:
    """A field to compare: its name in plain words, its measure, and how it is read."""

    name: str
    measure: Measure
    read: Callable[[Json], Value]


def plain(name: str, measure: Measure, key: str | None = None) -> Field:
    """The field that a document holds under ``key``, or under its name."""
    return Field(name, measure, lambda thing: thing.get(key or name.replace(" ", "_")))


def compare_takeoffs(before: Json, after: Json) -> TakeoffComparison:
    """What differs from ``before`` to ``after``, two documents of ``takeoff_document``."""
    assemblies = []
    for mark, state, old, new in _pairs(before["assemblies"], after["assemblies"]):
        fields = compare_fields(_ASSEMBLY, old, new)
        joints = differences(_JOINT, old.get("joints", ()), new.get("joints", ()))
        parts = differences(_PART, _parts(old), _parts(new))
        if state is not State.CHANGED or fields or joints or parts:
            assemblies.append(AssemblyDifference(mark, state, fields, joints, parts))
    glue = compare_fields((plain("glue", Measure.GRAMS, "glue_grams"),), before, after)
    return TakeoffComparison(
        tuple(assemblies),
        _counts(before["keys"], after["keys"], lambda key: key_item(key["section"], key["length"])),
        _counts(
            before["plugs"],
            after["plugs"],
            lambda plug: f"{plug['material']}, for section {plug['section']}, {plug['height']:g} mm high",
        ),
        glue[0] if glue else None,
        _counts(before.get("fastenings", []), after.get("fastenings", []), _fastening),
    )


def compare_fields(fields: tuple[Field, ...], before: Json, after: Json) -> tuple[FieldChange, ...]:
    """The fields that differ; none of a thing that is on one side only."""
    if not (before and after):
        return ()
    changes = []
    for field in fields:
        old, new = field.read(before), field.read(after)
        if old != new:
            changes.append(FieldChange(field.name, field.measure, old, new))
    return tuple(changes)


def _pairs(before: Things, after: Things) -> list[tuple[str, State, Json, Json]]:
    """Things by mark in the order of ``after``, those that are gone last; {} where one side has none."""
    old, new = ({thing["mark"]: thing for thing in things} for things in (before, after))
    pairs = [
        (mark, State.CHANGED if mark in old else State.ADDED, old.get(mark, {}), thing)
        for mark, thing in new.items()
    ]
    return pairs + [(mark, State.REMOVED, thing, {}) for mark, thing in old.items() if mark not in new]


def differences(fields: tuple[Field, ...], before: Things, after: Things) -> tuple[Difference, ...]:
    """What differs between two lists of things that are told apart by their marks."""
    found = []
    for mark, state, old, new in _pairs(before, after):
        changes = compare_fields(fields, old, new)
        if changes or state is not State.CHANGED:
            found.append(Difference(mark, state, changes))
    return tuple(found)


def _parts(assembly: Json) -> Things:
    return [*assembly.get("members", ()), *assembly.get("panels", ())]


def _counts(before: list[Json], after: list[Json], name: Callable[[Json], str]) -> tuple[CountChange, ...]:
    old, new = ({name(thing): int(thing["total"]) for thing in things} for things in (before, after))
    items = [*new, *(item for item in old if item not in new)]
    changes = (CountChange(item, old.get(item, 0), new.get(item, 0)) for item in items)
    return tuple(change for change in changes if change.before != change.after)


def _slots(joint: Json) -> list[Json]:
    slots: list[Json] = joint.get("slots", [])
    return slots


def _each_slot(key: str) -> Callable[[Json], Value]:
    """What all slots have in common once, or else slot by slot."""

    def read(joint: Json) -> Value:
        values = tuple(slot[key] for slot in _slots(joint))
        return values[:1] if len(set(values)) == 1 else values

    return read


def _centres(joint: Json) -> Value:
    return tuple(slot["centre"] for slot in _slots(joint))


def _entries(joint: Json) -> Value:
    return ", ".join(dict.fromkeys(slot["entry"] for slot in _slots(joint))) or None


def _keys(joint: Json) -> Value:
    """The stack of keys, once where all slots have the same; keys are called by their mm in any units."""
    stacks = dict.fromkeys(tuple(slot["keys"]) for slot in _slots(joint))
    return "; ".join(" + ".join(map(format_mm, stack)) for stack in stacks) or None


def _fastening(counted: Json) -> str:
    return Middle(counted["sort"]).words


def _middle_sort(joint: Json) -> Value:
    return Middle(joint["middle"]["sort"]).words if "middle" in joint else None


def _middle_places(joint: Json) -> Value:
    return tuple(joint["middle"]["places"]) if "middle" in joint else ()


def _listed(key: str, between: str) -> Callable[[Json], Value]:
    def read(thing: Mapping[str, Any]) -> Value:
        return between.join(str(item) for item in thing.get(key, ())) or None

    return read


_NOTES = Field(NOTES, Measure.TEXT, _listed("notes", " "))
_ASSEMBLY = (plain("quantity", Measure.COUNT), _NOTES)
_JOINT = (
    Field("kind of joint", Measure.TEXT, lambda joint: str(joint.get("kind")).replace("_", " ")),
    plain("quantity", Measure.COUNT),
    Field("between", Measure.TEXT, _listed("members", " and ")),
    plain("angle", Measure.ANGLE),
    plain("along the joint line", Measure.LENGTH, "breadth"),
    plain("along the slot", Measure.LENGTH, "run"),
    plain("section", Measure.TEXT),
    plain("cutter", Measure.TEXT),
    plain("projection", Measure.FINE),
    plain("snug projection", Measure.FINE),
    Field("slots", Measure.COUNT, lambda joint: len(_slots(joint))),
    Field("entry", Measure.TEXT, _entries),
    Field("centres", Measure.LENGTHS, _centres),
    Field("depth", Measure.LENGTHS, _each_slot("depth")),
    Field("keys in each slot", Measure.TEXT, _keys),
    Field("middle", Measure.TEXT, _middle_sort),
    Field("middle held at", Measure.LENGTHS, _middle_places),
    Field("recess", Measure.LENGTHS, _each_slot("recess")),
    plain("depth stop", Measure.FINE),
    plain("other depth stop", Measure.FINE),
    plain("reach", Measure.LENGTH),
    plain("hold", Measure.SHARE),
    _NOTES,
)
_PART = (
    plain("name", Measure.TEXT),
    plain("quantity", Measure.COUNT),
    plain("length", Measure.LENGTH),
    plain("short length", Measure.LENGTH),
    plain("width", Measure.LENGTH),
    plain("thickness", Measure.LENGTH),
    plain("material", Measure.TEXT),
    Field("end angles", Measure.TEXT, _listed("ends", ", ")),
)
