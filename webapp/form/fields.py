"""What a form is described with: fields, lists of fields that repeat, groups that can be left out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

from pydantic import BaseModel

from domain.lengths import HOW_TO_WRITE, Units
from domain.problems import Path


class Sort(StrEnum):
    """How a field's text is read, and which control shows it."""

    LENGTH = "length"
    WHOLE = "whole"
    COUNT = "count"
    """A number of pieces or days; what it counts may be said behind it."""
    CHANGE = "change"
    """A count with its sign: less, or more."""
    NUMBER = "number"
    PERCENT = "percent"
    """A share: 0.05 is typed as 5."""
    TEMPERATURE = "temperature"
    """Kept in °C; a plain number is °F in a form of inches. Either may be typed with its unit."""
    MONEY = "money"
    """A price in minor units of the form's currency."""
    CURRENCY = "currency"
    DAY = "day"
    LENGTHS = "lengths"
    """Several lengths, parted by semicolons."""
    IN_LINE = "in_line"
    """Rows, columns, shelves or partitions, all in one line; the field's name says which of them."""
    POINTS = "points"
    """Points of a profile, one a line, each as two lengths."""
    TEXT = "text"
    CHOICE = "choice"
    YES_NO = "yes_no"
    """A choice of two: yes is true."""


class Offer(StrEnum):
    """Choices that depend on the shop's catalogue."""

    SECTIONS = "sections"
    PLUGS = "plugs"
    MATERIALS = "materials"
    """Woods of those plugs."""


Options = tuple[tuple[str, str], ...]
A_LENGTH = f"needs {HOW_TO_WRITE}"
A_DAY = "needs a day of the calendar, such as 2026-03-31"


@dataclass(frozen=True, slots=True)
class Plain:
    """What a plain number means in a form: a length in ``units``, a price in ``currency`` (ISO 4217)."""

    units: Units = Units.MM
    currency: str = ""


@dataclass(frozen=True, slots=True)
class StartValue:
    """What a new form has in a length field: a round size in either system."""

    mm: str
    inch: str

    def text(self, units: Units) -> str:
        """The size as a plain number of ``units``."""
        return self.mm if units is Units.MM else self.inch


@dataclass(frozen=True, slots=True)
class When:
    """A field belongs to the form only while another one has one of these values."""

    field: str
    values: frozenset[str]
    css: str


@dataclass(frozen=True, slots=True)
class Field:
    """One field. ``name`` is its path from the form, or from its list's item ("" is the item itself).

    One without a label of its own is called as its item is. ``needed`` is the sentence where nothing was
    typed; None leaves that to the spec, as ``zero`` None leaves to it whether a length may be 0. ``must`` is
    said of every text that is no value of the field, in place of the usual words. ``most`` is the largest
    share in percent, ``longest`` the most letters; ``suggest`` names the page's list of what
    was typed before, ``tiles`` shows all choices at once, ``lines`` a field of so many lines.
    ``any_word`` fields also take the word "any": a joint's own way of leaving a pinned choice open.
    """

    name: str
    label: str
    sort: Sort = Sort.LENGTH
    start: StartValue | str = ""
    required: bool = True
    hint: str | None = None
    options: Options = ()
    offer: Offer | None = None
    unit: str | None = None
    when: When | None = None
    any_word: bool = False
    needed: str | None = None
    must: str | None = None
    zero: bool | None = None
    most: int | None = None
    longest: int | None = None
    suggest: str | None = None
    tiles: bool = False
    lines: int = 1


@dataclass(frozen=True, slots=True)
class ListOf:
    """Fields that repeat, ``name.0``, ``name.1`` and so on; an item left blank does not count.

    ``starts`` items stand in a new form. A ``required`` list is there even when it has no items.
    """

    name: str
    item: str
    nodes: tuple[Field | ListOf, ...]
    add: str
    hint: str | None = None
    starts: int = 0
    required: bool = False


Node = Field | ListOf


@dataclass(frozen=True, slots=True)
class Group:
    """Fields under one heading. With a ``switch`` (a path) they count only while it is ticked."""

    legend: str
    nodes: tuple[Node, ...]
    switch: str | None = None
    switch_label: str = ""
    hint: str | None = None


@dataclass(frozen=True, slots=True)
class AssemblyForm:
    """A kind's form: what the kind is called, what it is for, its groups and the spec they make.

    ``sized`` names the fields of one group that a line of sizes stands for, in its order. ``kept`` names, or leads
    the names of, what a new form takes over from the shop's last assembly of the kind.
    """

    kind: str
    title: str
    use: str
    groups: tuple[Group, ...]
    spec: type[BaseModel]
    sized: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()

    def sizes(self, texts: Mapping[str, str]) -> tuple[Field, ...]:
        """The fields that a line of sizes stands for in a form with these texts: a polygon has one, say."""
        named = {node.name: node for group in self.groups for node in group.nodes if isinstance(node, Field)}
        found = (named[name] for name in self.sized)
        return tuple(each for each in found if each.when is None or texts.get(each.when.field) in each.when.values)


@dataclass(frozen=True, slots=True)
class SimpleForm:
    """A form of fields that do not repeat, in the order of the page.

    ``at`` has the fields of what the domain calls otherwise, by its path joined with points; under "" the
    field where what belongs to none of them is told, the form itself where there is none. ``compared``
    tells what two editors of one thing are shown of their texts, by label; where it is None, every field.
    """

    groups: tuple[Group, ...]
    at: Mapping[str, str] = field(default_factory=dict)
    compared: Callable[[Mapping[str, str]], Mapping[str, str]] | None = None

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field."""
        return tuple(node for group in self.groups for node in group.nodes if isinstance(node, Field))

    @property
    def labels(self) -> dict[str, str]:
        """What each field is called, in the order of the page."""
        return {field.name: field.label for field in self.fields}

    def field(self, name: str) -> Field:
        """The field of that name."""
        return next(field for field in self.fields if field.name == name)

    def said(self, texts: Mapping[str, str]) -> Mapping[str, str]:
        """The texts as two editors compare them: by label."""
        if self.compared is not None:
            return self.compared(texts)
        return {label: texts.get(name, "") for name, label in self.labels.items()}


def form_of(*fields: Field, at: Mapping[str, str] | None = None) -> SimpleForm:
    """A form without headings."""
    return SimpleForm((Group("", fields),), at or {})


def joined(prefix: str, name: str) -> str:
    """A field's full name."""
    return f"{prefix}.{name}" if prefix and name else prefix or name


@lru_cache(maxsize=4096)
def path_of(name: str) -> Path:
    """The spec's path that a field name means.

    >>> path_of("stock.front.0.1")
    ('stock', 'front', 0, 1)
    """
    return tuple(int(step) if step.isdecimal() else step for step in name.split("."))


def item_numbers(texts: Mapping[str, str], name: str) -> list[int]:
    """The numbers of a list's items that the form has, in order. More than four digits are not ours."""
    lead = name + "."
    found = (text.removeprefix(lead).split(".", 1)[0] for text in texts if text.startswith(lead))
    return sorted({int(step) for step in found if step.isascii() and step.isdecimal() and len(step) <= 4})


def under(texts: Mapping[str, str], name: str) -> Iterator[str]:
    """The names of every text at ``name`` or below it."""
    return (text for text in texts if text == name or text.startswith(name + "."))
