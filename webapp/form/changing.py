"""Buttons that add and remove rows of a form or set a field. They work on its texts, so nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterable

from webapp.form.fields import AssemblyForm, Field, ListOf, Node, item_numbers, joined, under

MOST_ITEMS = 200
ADD, REMOVE, SET = "add", "remove", "set"


def changed(form: AssemblyForm, texts: dict[str, str], change: str) -> tuple[dict[str, str], str]:
    """The texts after "add joints", "remove joints.1" or "set wall 16", and the name of the field to go on at.

    A change that names no list, item or field of the form changes nothing.
    """
    verb, _, name = change.partition(" ")
    if verb == SET:
        name, _, text = name.partition(" ")
        return (texts | {name: text} if name in texts else texts), name
    if verb == ADD:
        listed = _list_called(form, name, texts)
        return (texts, name) if listed is None else _added(listed, texts, name)
    if verb == REMOVE:
        lead, _, number = name.rpartition(".")
        if _list_called(form, lead, texts) is not None and number.isdecimal() and len(number) <= 4:
            return _removed(texts, lead, int(number)), lead
    return texts, name


def _list_called(form: AssemblyForm, name: str, texts: dict[str, str]) -> ListOf | None:
    found = (listed for group in form.groups for listed in _lists(group.nodes, "", texts, name))
    return next(found, None)


def _lists(nodes: Iterable[Node], prefix: str, texts: dict[str, str], wanted: str) -> Iterable[ListOf]:
    for node in nodes:
        name = joined(prefix, node.name)
        if isinstance(node, Field):
            continue
        if name == wanted:
            yield node
        elif wanted.startswith(name + "."):
            for number in item_numbers(texts, name):
                yield from _lists(node.nodes, joined(name, str(number)), texts, wanted)


def _added(listed: ListOf, texts: dict[str, str], name: str) -> tuple[dict[str, str], str]:
    numbers = item_numbers(texts, name)
    if len(numbers) >= MOST_ITEMS:
        return texts, name
    item = joined(name, str(numbers[-1] + 1 if numbers else 0))
    fields = [joined(item, node.name) for node in listed.nodes if isinstance(node, Field)]
    return texts | dict.fromkeys(fields, ""), fields[0]


def _removed(texts: dict[str, str], lead: str, gone: int) -> dict[str, str]:
    """The texts without item ``gone``, those after it moved up by one."""
    dropped = set(under(texts, joined(lead, str(gone))))
    kept: dict[str, str] = {}
    for name, text in texts.items():
        if name in dropped:
            continue
        step, point, rest = name.removeprefix(lead + ".").partition(".")
        if name.startswith(lead + ".") and step.isdecimal() and int(step) > gone:
            name = joined(lead, f"{int(step) - 1}{point}{rest}")
        kept[name] = text
    return kept
