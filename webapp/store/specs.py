"""Specs as text in a column, and back: written as the project file writes them, read by the domain.

An assembly keeps only the fields that were set: what a joint overrides is told by which fields are
there. Sections and rules are written whole, so that a later change of a default moves no project.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar, get_args

from pydantic import BaseModel

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.reading import read
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.choices import KeyChoices
from domain.spec.project import Project
from domain.spec.quote import QuoteTerms, ShopTerms, UsualTerms, terms_document
from domain.spec.rules import Rules
from domain.spec.starts import AcceptedStart, Starts
from domain.spec.wood import Climate, PartChange, WoodToCut, wood_document
from domain.trials.mouldings import Moulding
from webapp.store.errors import Unreadable

Model = TypeVar("Model", bound=BaseModel)
KINDS: dict[str, type[BaseModel]] = {
    kind.model_fields["kind"].default: kind for kind in get_args(get_args(Assembly)[0])
}


def assembly_text(spec: Assembly) -> str:
    """The spec as JSON. Raises BadInput where the domain would not read it back: better now than then."""
    data = {"kind": spec.kind, **spec.model_dump(mode="json", exclude_unset=True)}
    read(type(spec), data)
    return _text(data)


def read_assembly(key: object, kind: str, text: str) -> Assembly:
    """The stored spec of assembly ``key``. Raises Unreadable where it is none."""
    if kind not in KINDS:
        raise Unreadable("assembly", key, ())
    spec: Assembly = _read("assembly", key, KINDS[kind], text)  # type: ignore[assignment]
    return spec


def rules_text(rules: Rules) -> str:
    """The rules as JSON, every one of them. Raises BadInput as ``assembly_text`` does."""
    data = rules.model_dump(mode="json")
    read(Rules, data)
    return _text(data)


def read_rules(kind: str, key: object, text: str) -> Rules:
    """The stored rules of a project or of the shop. Raises Unreadable where they are none."""
    return _read(kind, key, Rules, text)


def choices_text(choices: KeyChoices) -> str | None:
    """A project's choices as JSON, those that were made; None where none was."""
    data = choices.model_dump(mode="json", exclude_unset=True)
    read(KeyChoices, data)
    return _text(data) if data else None


def read_choices(key: object, text: str) -> KeyChoices:
    """The stored choices of project ``key``. Raises Unreadable where they are none."""
    return _read("project", key, KeyChoices, text)


def sections_text(sections: Sequence[Section]) -> str:
    """Sections as JSON. Raises BadInput as ``assembly_text`` does."""
    data = [section.model_dump(mode="json") for section in sections]
    for each in data:
        read(Section, each)
    return _text(data)


def read_sections(key: object, text: str) -> tuple[Section, ...]:
    """The stored sections of project ``key``. Raises Unreadable where one is none."""
    return _read_all(key, Section, text)


def starts_text(starts: Starts) -> str:
    """A project's own starts as JSON; it may have none. Raises BadInput as ``assembly_text`` does."""
    data = [start.model_dump(mode="json") for start in starts]
    for each in data:
        read(AcceptedStart, each)
    return _text(data)


def read_starts(key: object, text: str) -> Starts:
    """The stored starts of project ``key``. Raises Unreadable where one is none."""
    return _read_all(key, AcceptedStart, text)


def climate_text(climate: Climate | None) -> str | None:
    """A project's climate as JSON; None where it has none. Raises BadInput as ``assembly_text`` does."""
    if climate is None:
        return None
    data = wood_document(climate)
    read(Climate, data)
    return _text(data)


def read_climate(key: object, text: str) -> Climate:
    """The stored climate of project ``key``. Raises Unreadable where it is none."""
    return _read("project", key, Climate, text)


def woods_text(woods: Sequence[WoodToCut] | None) -> str | None:
    """What a project is cut from as JSON; None where nothing is said. Raises BadInput as above."""
    if woods is None:
        return None
    data = [wood_document(wood) for wood in woods]
    for each in data:
        read(WoodToCut, each)
    return _text(data)


def read_woods(key: object, text: str) -> tuple[WoodToCut, ...]:
    """The stored woods of project ``key``. Raises Unreadable where one is none."""
    return _read_all(key, WoodToCut, text)


def changes_text(changes: Mapping[str, PartChange] | None) -> str | None:
    """Changes of a parts list as JSON, by mark; None where there are none. Raises BadInput as above."""
    if not changes:
        return None
    data = {mark: wood_document(change) for mark, change in changes.items()}
    for each in data.values():
        read(PartChange, each)
    return _text(data)


def read_changes(key: object, text: str) -> dict[str, PartChange]:
    """The stored changes of project ``key``. Raises Unreadable where one is none."""
    data = _data("project", key, text)
    if not isinstance(data, dict):
        raise Unreadable("project", key, (Problem.of((), data, ProblemCode.NOT_AN_OBJECT),))
    return {mark: _accepted("project", key, PartChange, change) for mark, change in data.items()}


def notes_text(notes: Mapping[str, str] | None) -> str | None:
    """Notes by mark as JSON; None where there are none."""
    return _text(dict(notes)) if notes else None


def read_notes(key: object, text: str) -> dict[str, str]:
    """The stored notes of project ``key``, by mark. Raises Unreadable where they are none."""
    data = _data("project", key, text)
    if not isinstance(data, dict) or not all(isinstance(note, str) for note in data.values()):
        raise Unreadable("project", key, (Problem.of((), data, ProblemCode.NOT_AN_OBJECT),))
    return data


def terms_text(terms: UsualTerms | None) -> str | None:
    """Terms of a quote as JSON; None where nothing is said. Raises BadInput as ``assembly_text`` does."""
    data = {} if terms is None else terms_document(terms)
    if terms is None or not data:
        return None
    read(type(terms), data)
    return _text(data)


def read_terms(key: object, text: str) -> QuoteTerms:
    """The stored terms of project ``key``. Raises Unreadable where they are none."""
    return _read("project", key, QuoteTerms, text)


def read_shop_terms(text: str | None) -> ShopTerms:
    """The shop's usual terms, of a fresh shop none. Raises Unreadable."""
    return ShopTerms() if text is None else _read("shop", 1, ShopTerms, text)


def moulding_text(moulding: Moulding) -> str:
    """A moulding as JSON. Raises BadInput as ``assembly_text`` does."""
    data = moulding.model_dump(mode="json")
    read(Moulding, data)
    return _text(data)


def read_moulding(key: object, text: str) -> Moulding:
    """The stored moulding ``key``. Raises Unreadable where it is none."""
    return _read("moulding", key, Moulding, text)


def read_pattern(key: object, text: str) -> Project:
    """What a pattern holds. Raises Unreadable where it is no project."""
    return _read("pattern", key, Project, text)


def _read(kind: str, key: object, model: type[Model], text: str) -> Model:
    return _accepted(kind, key, model, _data(kind, key, text))


def _read_all(key: object, model: type[Model], text: str) -> tuple[Model, ...]:
    """What a project lists. Raises Unreadable where one is none."""
    data = _data("project", key, text)
    if not isinstance(data, list):
        raise Unreadable("project", key, (Problem.of((), data, ProblemCode.NOT_A_LIST),))
    return tuple(_accepted("project", key, model, each) for each in data)


def _accepted(kind: str, key: object, model: type[Model], data: object) -> Model:
    try:
        return read(model, data)
    except BadInput as error:
        raise Unreadable(kind, key, error.problems) from None


def _data(kind: str, key: object, text: str) -> object:
    try:
        return json.loads(text)
    except ValueError:
        # a bit that fell over in a text, which SQLite cannot see
        raise Unreadable(kind, key, (Problem.of((), text, ProblemCode.AS_TOLD, told_text="is no JSON"),)) from None


def _text(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
