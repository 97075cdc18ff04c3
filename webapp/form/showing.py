"""From a spec to a form's texts: its sizes in the project's units, exact."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from domain.lengths import Length, Units
from domain.spec.assemblies import Assembly
from domain.spec.choices import KeyChoices
from webapp.form.common import ANY, JOINTS_LIST, PLUG_AS_BEFORE, PLUG_NONE, PLUG_OWN
from webapp.form.fields import AssemblyForm, Field, ListOf, Node, Start, joined, path_of
from webapp.wording.exact import length_text


def starting_texts(form: AssemblyForm, units: Units, mark: str) -> dict[str, str]:
    """What a new form has in its fields. Groups with a switch are filled too, ready to be ticked."""
    texts: dict[str, str] = {}
    for group in form.groups:
        _start(group.nodes, "", units, texts)
    return texts | {"mark": mark}


def _start(nodes: Iterable[Node], prefix: str, units: Units, texts: dict[str, str]) -> None:
    for node in nodes:
        name = joined(prefix, node.name)
        if isinstance(node, ListOf):
            for number in range(node.starts):
                _start(node.nodes, joined(name, str(number)), units, texts)
        else:
            texts[name] = node.start.text(units) if isinstance(node.start, Start) else node.start


def spec_texts(form: AssemblyForm, spec: Assembly, units: Units) -> dict[str, str]:
    """The form's texts for a spec. What the spec lacks stays empty, or as in a new form under a switch."""
    texts: dict[str, str] = {}
    for group in form.groups:
        if group.switch is None:
            _show(group.nodes, "", spec, units, texts)
        elif _at(spec, group.switch) is None:
            _start(group.nodes, "", units, texts)
        else:
            texts[group.switch] = "yes"
            _show(group.nodes, "", spec, units, texts)
    return texts | choice_texts("keys", spec.keys, units) | _joint_texts(spec, units)


def _show(nodes: Iterable[Node], prefix: str, root: object, units: Units, texts: dict[str, str]) -> None:
    for node in nodes:
        name = joined(prefix, node.name)
        if isinstance(node, Field):
            texts[name] = _text(_at(root, name), units)
        elif name != JOINTS_LIST:
            items = _at(root, name)
            for number in range(len(items) if isinstance(items, tuple) else 0):
                _show(node.nodes, joined(name, str(number)), root, units, texts)


def _at(root: object, name: str) -> object:
    """What stands in the spec under a field's name; None where any step of the way is missing."""
    value: object = root
    for step in path_of(name):
        if isinstance(value, tuple) and isinstance(step, int):
            value = value[step]
        else:
            value = getattr(value, str(step), None)
    return value


def _text(value: object, units: Units) -> str:
    if value is None:
        return ""
    if isinstance(value, Length):
        return length_text(value, units)
    if isinstance(value, Enum):
        return str(value.value)
    return f"{value:.15g}" if isinstance(value, float) else str(value)


def _joint_texts(spec: Assembly, units: Units) -> dict[str, str]:
    texts: dict[str, str] = {}
    for number, (mark, choices) in enumerate(spec.joints.items()):
        lead = joined(JOINTS_LIST, str(number))
        texts[f"{lead}.joint"] = mark.removeprefix(f"{spec.mark}-")
        texts |= choice_texts(lead, choices, units)
    return texts


def choice_texts(lead: str, choices: KeyChoices, units: Units) -> dict[str, str]:
    """The texts of pinned choices: what is not pinned is empty, what is opened again says so."""
    plug = choices.plug
    return {
        **{f"{lead}.{name}": _choice(choices, name, units) for name in ("section", "count", "entry", "recess")},
        f"{lead}.plug_choice": PLUG_OWN if plug else PLUG_NONE if _opened(choices, "plug") else PLUG_AS_BEFORE,
        f"{lead}.plug.material": plug.material if plug else "",
        f"{lead}.plug.height": length_text(plug.height, units) if plug else "",
    }


def _choice(choices: KeyChoices, name: str, units: Units) -> str:
    return ANY if _opened(choices, name) else _text(getattr(choices, name), units)


def _opened(choices: KeyChoices, name: str) -> bool:
    """Whether the choice leaves open what somebody pinned before: there, and nothing."""
    return name in choices.model_fields_set and getattr(choices, name) is None
