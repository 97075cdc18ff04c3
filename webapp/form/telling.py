"""What differs between two states of one thing, told by the labels of the form that edits it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from domain.lengths import Units
from domain.spec.assemblies import Assembly
from domain.spec.choices import NO_CHOICES, KeyChoices
from domain.spec.in_line import InLine, in_line_text
from webapp.form.common import JOINTS_LIST, PLUG_OWN, plug_words
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Node, Offer, Plain, Sort, item_numbers, joined
from webapp.form.showing import choice_texts, spec_texts
from webapp.wording.exact import exact_words, with_unit
from webapp.wording.past import EditedField
from webapp.wording.temperature import unit_of

Texts = Mapping[str, str]
_EXCEPTION = "exception"
_YES, _NO = "yes", "no"


def changed_fields(
    groups: Iterable[Group], sides: tuple[Texts, Texts], plain: Plain, of: str = ""
) -> Iterator[EditedField]:
    """The fields whose texts differ, in the form's order: as they were, as they are.

    ``of`` is said of each of them, where it is given.
    """
    groups = tuple(groups)
    shared = _labels_of_several(groups)
    for group in groups:
        if group.switch is not None:
            was, now = group.switch in sides[0], group.switch in sides[1]
            if was != now:
                yield EditedField(group.switch_label, _YES if was else _NO, _YES if now else _NO, of)
            if not (was and now):
                continue
        for name, field, around in _fields(group.nodes, sides, group.legend):
            named = replace(field, name=name)
            old, new = said(named, sides[0], plain), said(named, sides[1], plain)
            if old != new:
                yield EditedField(field.label or around, old, new, of or (around if field.label in shared else ""))


def changed_assembly(form: AssemblyForm, before: Assembly, after: Assembly, units: Units) -> Iterator[EditedField]:
    """The fields of an assembly's form that differ; exceptions are told by their joints."""
    plain = Plain(units)
    groups = tuple(group for group in form.groups if not _exceptions(group))
    sides = _said_texts(form, before, units), _said_texts(form, after, units)
    yield from changed_fields(groups, sides, plain)
    for joint in dict.fromkeys((*before.joints, *after.joints)):
        was, now = (_exception_texts(spec.joints.get(joint, NO_CHOICES), units) for spec in (before, after))
        mark = joint.removeprefix(f"{before.mark}-")
        yield from changed_fields(_exception_groups(form), (was, now), plain, f"joint {mark}")


def said(field: Field, texts: Texts, plain: Plain) -> str:
    """What a field says, to be read; "" where nothing, or where it is not meant."""
    text = texts.get(field.name, "").strip()
    if field.when is not None and texts.get(field.when.field) not in field.when.values:
        return ""
    if field.offer is Offer.PLUGS and text not in {"", PLUG_OWN} and text not in dict(field.options):
        return plug_words(text)
    if text in dict(field.options):
        return dict(field.options)[text]
    return _with_its_unit(field, text, plain) if text else ""


def _with_its_unit(field: Field, text: str, plain: Plain) -> str:
    if field.any_word and not text[:1].isdecimal():
        return text
    match field.sort:
        case Sort.LENGTH:
            return with_unit(text, plain.units)
        case Sort.PERCENT:
            return f"{text} %"
        case Sort.MONEY:
            return f"{text} {plain.currency}".strip()
        case Sort.TEMPERATURE:
            return f"{text} {unit_of(plain.units)}"
        case _:
            return f"{text} {field.unit}" if field.unit else text


def _labels_of_several(groups: Iterable[Group]) -> frozenset[str]:
    """Labels that more than one field of the form has, or a field of a list's items."""
    found = Counter(label for group in groups for label in _labels(group.nodes, times=1))
    return frozenset(label for label, count in found.items() if count > 1)


def _labels(nodes: Iterable[Node], times: int) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ListOf):
            yield from _labels(node.nodes, times=2)
        else:
            yield from [node.label] * times


def _fields(nodes: Iterable[Node], sides: tuple[Texts, Texts], around: str) -> Iterator[tuple[str, Field, str]]:
    """Every field that one of both sides has, by its full name, with its group or the item that it is of."""

    def under(nodes: Iterable[Node], prefix: str, around: str) -> Iterator[tuple[str, Field, str]]:
        for node in nodes:
            name = joined(prefix, node.name)
            if isinstance(node, Field):
                yield name, node, around
                continue
            numbers = sorted({number for texts in sides for number in item_numbers(texts, name)})
            for place, number in enumerate(numbers, start=1):
                yield from under(node.nodes, joined(name, str(number)), f"{node.item} {place}")

    yield from under(nodes, "", around)


def _said_texts(form: AssemblyForm, spec: Assembly, units: Units) -> dict[str, str]:
    """The form's texts for the spec; what is listed in one line has its lengths with their unit."""
    in_lines = (
        node.name
        for group in form.groups
        for node in group.nodes
        if isinstance(node, Field) and node.sort is Sort.IN_LINE
    )
    texts = spec_texts(form, spec, units)
    return texts | {
        name: in_line_text(InLine(name), getattr(spec, name), lambda length: exact_words(length, units))
        for name in in_lines
        if texts.get(name)
    }


def _exceptions(group: Group) -> bool:
    return any(node.name == JOINTS_LIST for node in group.nodes)


def _exception_groups(form: AssemblyForm) -> Iterator[Group]:
    for group in filter(_exceptions, form.groups):
        for node in group.nodes:
            if isinstance(node, ListOf):
                yield Group("", tuple(each for each in node.nodes if each.name != "joint"))


def _exception_texts(choices: KeyChoices, units: Units) -> dict[str, str]:
    texts = choice_texts(_EXCEPTION, choices, units)
    return {name.removeprefix(f"{_EXCEPTION}."): text for name, text in texts.items() if ".plug." not in name}
