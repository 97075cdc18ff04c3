"""From values to a form's texts: exact, in the units that the form is shown in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum

from domain.lengths import Length, Units
from domain.spec.assemblies import ONE_ROW, Assembly
from domain.spec.choices import KeyChoices
from domain.spec.in_line import InLine, in_line_text
from webapp.form.common import ANY, JOINTS_LIST, PLUG_AS_BEFORE, PLUG_NONE, plug_choice
from webapp.form.fields import AssemblyForm, Field, Group, ListOf, Node, Plain, Sort, StartValue, joined, path_of
from webapp.wording.exact import length_text, number_text, price_text
from webapp.wording.temperature import temperature_text


def starting_texts(form: AssemblyForm, units: Units, mark: str, last: Assembly | None = None) -> dict[str, str]:
    """What a new form has in its fields. Groups with a switch are filled too, ready to be ticked.

    What the form keeps is as in ``last``, the shop's last assembly of the kind: its wood and section, say.
    """
    texts = start_texts(form.groups, units)
    if last is not None:
        shown = led(spec_texts(form, last, units), form.kept)
        # a plug that it did not have leaves the one that is offered
        texts |= {name: text for name, text in shown.items() if text or not name.startswith("keys.")}
    return texts | {"mark": mark}


def led(texts: Mapping[str, str], leads: Iterable[str]) -> dict[str, str]:
    """The texts of these fields and of what lies below them."""
    found = tuple(f"{lead}." for lead in leads)
    return {name: text for name, text in texts.items() if f"{name}.".startswith(found)}


def taken_over(texts: Mapping[str, str], others: Mapping[str, str], leads: Iterable[str]) -> dict[str, str]:
    """The texts, but for these fields and what lies below them as ``others`` have them, what those lack too."""
    leads = tuple(leads)
    mine = led(texts, leads)
    return {name: text for name, text in texts.items() if name not in mine} | led(others, leads)


def start_texts(groups: Iterable[Group], units: Units) -> dict[str, str]:
    """What the fields of these groups start with."""
    texts: dict[str, str] = {}
    for group in groups:
        _start(group.nodes, "", units, texts)
    return texts


def _start(nodes: Iterable[Node], prefix: str, units: Units, texts: dict[str, str]) -> None:
    for node in nodes:
        name = joined(prefix, node.name)
        if isinstance(node, ListOf):
            for number in range(node.starts):
                _start(node.nodes, joined(name, str(number)), units, texts)
        else:
            texts[name] = node.start.text(units) if isinstance(node.start, StartValue) else node.start


def spec_texts(form: AssemblyForm, spec: Assembly, units: Units) -> dict[str, str]:
    """The form's texts for a spec. What the spec lacks stays empty, or as in a new form under a switch."""
    texts: dict[str, str] = {}
    for group in form.groups:
        if group.switch is None:
            _show(group.nodes, "", spec, Plain(units), texts)
        elif _at(spec, group.switch) is None:
            _start(group.nodes, "", units, texts)
        else:
            texts[group.switch] = "yes"
            _show(group.nodes, "", spec, Plain(units), texts)
    return texts | choice_texts("keys", spec.keys, units) | _joint_texts(spec, units)


def value_texts(nodes: Iterable[Node], root: object, plain: Plain) -> dict[str, str]:
    """The texts of what stands in ``root``, an object or a mapping, under the names of these fields."""
    texts: dict[str, str] = {}
    _show(nodes, "", root, plain, texts)
    return texts


def _show(nodes: Iterable[Node], prefix: str, root: object, plain: Plain, texts: dict[str, str]) -> None:
    for node in nodes:
        name = joined(prefix, node.name)
        if isinstance(node, Field):
            texts[name] = text_of(node, _at(root, name), plain)
        elif name != JOINTS_LIST:
            items = _at(root, name)
            for number in range(len(items) if isinstance(items, tuple) else 0):
                _show(node.nodes, joined(name, str(number)), root, plain, texts)


def _at(root: object, name: str) -> object:
    """What stands in the root under a field's name; None where any step of the way is missing."""
    value: object = root
    for step in path_of(name):
        if isinstance(value, tuple) and isinstance(step, int):
            value = value[step]
        elif isinstance(value, Mapping):
            value = value.get(step)
        else:
            value = getattr(value, str(step), None)
    return value


def text_of(field: Field, value: object, plain: Plain) -> str:
    """The value as it can be typed again into the field; "" for none."""
    if field.sort is Sort.PERCENT and isinstance(value, float | int):
        return number_text(value, 100)
    if field.sort is Sort.TEMPERATURE and isinstance(value, float | int):
        return temperature_text(value, plain.units)
    if field.sort is Sort.MONEY and isinstance(value, int):
        return price_text(value, plain.currency)
    if field.sort is Sort.YES_NO:
        return "" if value is None else "yes" if value else "no"
    if field.sort is Sort.LENGTHS and isinstance(value, Iterable):
        return "; ".join(_text(each, plain.units) for each in value)
    if field.sort is Sort.IN_LINE and isinstance(value, tuple):
        if value == ONE_ROW:
            return ""
        return in_line_text(InLine(field.name), value, lambda length: length_text(length, plain.units))
    if field.sort is Sort.POINTS and isinstance(value, Iterable):
        return "\n".join("; ".join(_text(each, plain.units) for each in point) for point in value)
    return _text(value, plain.units)


def _text(value: object, units: Units) -> str:
    if value is None:
        return ""
    if isinstance(value, Length):
        return length_text(value, units)
    if isinstance(value, Enum):
        return str(value.value)
    return number_text(value) if isinstance(value, float) else str(value)


def _joint_texts(spec: Assembly, units: Units) -> dict[str, str]:
    texts: dict[str, str] = {}
    for number, (mark, choices) in enumerate(spec.joints.items()):
        lead = joined(JOINTS_LIST, str(number))
        texts[f"{lead}.joint"] = mark.removeprefix(f"{spec.mark}-")
        texts |= choice_texts(lead, choices, units)
    return texts


_PINNED = ("section", "count", "entry", "recess", "middle")


def choice_texts(lead: str, choices: KeyChoices, units: Units) -> dict[str, str]:
    """The texts of pinned choices: what is not pinned is empty, what is opened again says so."""
    plug = choices.plug
    left = PLUG_NONE if _opened(choices, "plug") else PLUG_AS_BEFORE
    return {
        **{f"{lead}.{name}": _choice(choices, name, units) for name in _PINNED},
        f"{lead}.plug_choice": plug_choice(plug) if plug else left,
        f"{lead}.plug.material": plug.material if plug else "",
        f"{lead}.plug.height": length_text(plug.height, units) if plug else "",
    }


def _choice(choices: KeyChoices, name: str, units: Units) -> str:
    return ANY if _opened(choices, name) else _text(getattr(choices, name), units)


def _opened(choices: KeyChoices, name: str) -> bool:
    """Whether the choice leaves open what somebody pinned before: there, and nothing."""
    return name in choices.model_fields_set and getattr(choices, name) is None
