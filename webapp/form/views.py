"""A form as its template shows it: labels, texts as typed, sentences where something is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from domain.lengths import Units
from domain.spec.catalogue import Plug
from domain.timber.moving_species import SPECIES
from webapp.form.common import plug_choice, plug_words
from webapp.form.fields import (
    AssemblyForm,
    Field,
    Group,
    ListOf,
    Node,
    Offer,
    Options,
    Plain,
    Sort,
    item_numbers,
    joined,
)
from webapp.wording.temperature import unit_of

_NUMBERS = frozenset(
    {Sort.WHOLE, Sort.COUNT, Sort.CHANGE, Sort.NUMBER, Sort.PERCENT, Sort.MONEY, Sort.TEMPERATURE}
)


@dataclass(frozen=True, slots=True)
class Offers:
    """What the shop has to choose from: sections by name, plugs of the catalogue, woods of the stockroom."""

    sections: tuple[str, ...]
    plugs: tuple[Plug, ...]
    woods: tuple[str, ...] = ()

    @property
    def materials(self) -> tuple[str, ...]:
        """The woods of the plugs."""
        return tuple(dict.fromkeys(plug.material for plug in self.plugs))


@dataclass(frozen=True, slots=True)
class FieldView:
    """A field to show. ``control`` is length, number, text, line, lines, choice or tiles.

    ``css`` hides it where it is not meant; ``suggest`` is the id of the page's list of suggestions. Lines of
    sizes, where there are any, stand for one that is ``in_lines``.
    """

    name: str
    label: str
    control: str
    value: str
    error: str | None
    hint: str | None
    required: bool
    whole: bool
    unit: str | None
    options: Options
    suggest: str | None
    lines: int
    css: str
    in_lines: bool = False


@dataclass(frozen=True, slots=True)
class ItemView:
    """One item of a list; ``legend`` has its number."""

    name: str
    legend: str
    nodes: tuple[FieldView | ListView, ...]

    @property
    def single(self) -> bool:
        """True for an item that is one field."""
        return len(self.nodes) == 1 and isinstance(self.nodes[0], FieldView)


@dataclass(frozen=True, slots=True)
class ListView:
    """A list that repeats its items."""

    name: str
    add: str
    error: str | None
    items: tuple[ItemView, ...]


@dataclass(frozen=True, slots=True)
class GroupView:
    """A group of fields; ``switch`` is the name of its tick, ``on`` whether it is set."""

    legend: str
    hint: str | None
    nodes: tuple[FieldView | ListView, ...]
    switch: str | None
    switch_label: str
    on: bool
    error: str | None


@dataclass(frozen=True, slots=True)
class FormView:
    """The whole form. ``labels`` name each field in full, for the summary of errors.

    ``materials`` are the woods of the shop's plugs, ``woods`` those of its stockroom, ``species`` the names of the
    published table of movement.
    """

    kind: str
    title: str
    groups: tuple[GroupView, ...]
    errors: Mapping[str, str]
    labels: Mapping[str, str]
    materials: tuple[str, ...]
    woods: tuple[str, ...]
    species: tuple[str, ...] = SPECIES


def view_field(field: Field, value: str, errors: Mapping[str, str], plain: Plain) -> FieldView:
    """A field with its text, under its full name."""
    return FieldView(
        name=field.name,
        label=field.label,
        control=_control(field),
        value=value,
        error=errors.get(field.name),
        hint=field.hint,
        required=field.required,
        whole=field.sort in {Sort.WHOLE, Sort.COUNT},
        unit=_unit(field, value, plain),
        options=field.options,
        suggest="plug-materials" if field.offer is Offer.MATERIALS else field.suggest,
        lines=field.lines,
        css=field.when.css if field.when else "",
    )


def _control(field: Field) -> str:
    if field.tiles:
        return "tiles"
    if field.options:
        return "choice"
    if field.sort is Sort.LENGTH:
        return "length"
    if field.sort in _NUMBERS:
        return "number"
    if field.sort is Sort.IN_LINE:
        return "line"
    return "lines" if field.lines > 1 else "text"


def _unit(field: Field, value: str, plain: Plain) -> str | None:
    match field.sort:
        case Sort.LENGTH | Sort.LENGTHS:
            return plain.units.value
        case Sort.MONEY:
            return plain.currency
        case Sort.PERCENT:
            return "%"
        case Sort.TEMPERATURE:
            return unit_of(plain.units)
        case _:
            return field.unit


def view_form(
    form: AssemblyForm,
    texts: Mapping[str, str],
    errors: Mapping[str, str],
    units: Units,
    offers: Offers,
    in_lines: tuple[str, ...] = (),
) -> FormView:
    """The form with these texts and errors; ``in_lines`` are the fields that lines of sizes stand for."""
    groups, labels = view_groups(form.groups, texts, errors, units, offers, in_lines)
    return FormView(form.kind, form.title, groups, errors, labels, offers.materials, offers.woods)


def view_groups(
    shown: Iterable[Group],
    texts: Mapping[str, str],
    errors: Mapping[str, str],
    units: Units,
    offers: Offers,
    in_lines: tuple[str, ...] = (),
) -> tuple[tuple[GroupView, ...], Mapping[str, str]]:
    """Groups of fields with these texts and errors, and each field's label in full."""
    viewer = _Viewer(texts, errors, units, offers, in_lines)
    groups = tuple(
        GroupView(
            legend=group.legend,
            hint=group.hint,
            nodes=tuple(viewer.nodes(group.nodes, "", group.legend)),
            switch=group.switch,
            switch_label=group.switch_label,
            on=group.switch is not None and group.switch in texts,
            error=None if group.switch is None else errors.get(group.switch),
        )
        for group in shown
    )
    return groups, viewer.labels


class _Viewer:
    def __init__(
        self,
        texts: Mapping[str, str],
        errors: Mapping[str, str],
        units: Units,
        offers: Offers,
        in_lines: tuple[str, ...],
    ) -> None:
        self._texts = texts
        self._errors = errors
        self._plain = Plain(units)
        self._offers = offers
        self._in_lines = in_lines
        self.labels: dict[str, str] = {"": "The assembly"}

    def nodes(self, nodes: Iterable[Node], prefix: str, around: str) -> Iterator[FieldView | ListView]:
        for node in nodes:
            name = joined(prefix, node.name)
            yield self._list(node, name, around) if isinstance(node, ListOf) else self._field(node, name, around)

    def _list(self, listed: ListOf, name: str, around: str) -> ListView:
        self.labels[name] = f"{around}: {listed.item}"
        items = []
        for place, number in enumerate(item_numbers(self._texts, name), start=1):
            item, legend = joined(name, str(number)), f"{listed.item} {place}"
            self.labels[item] = legend
            items.append(ItemView(item, legend, tuple(self.nodes(listed.nodes, item, legend))))
        return ListView(name, listed.add, self._errors.get(name), tuple(items))

    def _field(self, field: Field, name: str, around: str) -> FieldView:
        label = field.label if field.label else around
        self.labels[name] = f"{around}: {label}" if field.label else label
        value = self._texts.get(name, "")
        options = self._options(field, value)
        shown = replace(field, name=name, label=label, options=options)
        return replace(view_field(shown, value, self._errors, self._plain), in_lines=name in self._in_lines)

    def _options(self, field: Field, value: str) -> Options:
        options = field.options
        if field.offer is Offer.SECTIONS:
            options += tuple((name, name) for name in self._offers.sections)
        if field.offer is Offer.PLUGS:
            *before, own = options
            choices = map(plug_choice, self._offers.plugs)
            options = (*before, *((choice, plug_words(choice)) for choice in choices), own)
        # what left the catalogue, or came in with a file, stays chosen until somebody chooses another
        if not options or value in {option for option, _ in options}:
            return options
        words = plug_words(value) if field.offer is Offer.PLUGS else value
        why = "not in the catalogue" if field.offer else "not of this kind"
        return (*options, (value, f"{words} ({why})"))
