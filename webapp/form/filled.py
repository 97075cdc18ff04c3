"""A form in hand: its description with the texts in it, read, refused, and shown again just as typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Protocol, TypeVar

from pydantic import BaseModel

from domain.problems import BadInput, Path, Problem
from domain.reading import read
from webapp.form.carried import new_token, sent_version
from webapp.form.differences import Difference, differences
from webapp.form.fields import Options, Plain, SimpleForm, path_of
from webapp.form.reader import Reader
from webapp.form.showing import start_texts, value_texts
from webapp.form.views import FieldView, view_field

Made = TypeVar("Made", bound=BaseModel)
THE_FORM = ""
"""What stands at no field of its own."""


class Sent(Protocol):
    """What was sent: the text of every field, "" for one that was not sent."""

    def text(self, name: str) -> str:
        """One field's text."""


class Unusable(ValueError):
    """A form that cannot be used as it is: ``errors`` has a sentence by field."""

    def __init__(self, errors: Mapping[str, str]) -> None:
        self.errors = errors
        super().__init__("; ".join(f"{name}: {words}" for name, words in errors.items()))


@dataclass(frozen=True, slots=True)
class Filled:
    """A form as it is filled in.

    ``version`` is that of the thing it changes, None where it makes a new one. ``errors`` has a sentence by
    field. ``theirs`` is what somebody else changed meanwhile, None where nobody did. The ``token`` is what
    it books once by: a new form has one of its own, one that was sent has the one that it carried.
    """

    form: SimpleForm
    plain: Plain
    texts: Mapping[str, str]
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None
    token: str = field(default_factory=new_token)

    @property
    def labels(self) -> dict[str, str]:
        """What each field is called, for the summary of errors."""
        return {**self.form.labels, THE_FORM: "The form"}

    def field(
        self, name: str, options: Options | None = None, hint: str | None = None, unit: str | None = None
    ) -> FieldView:
        """A field to show; its choices, hint and unit where they are known only now."""
        known = self.form.field(name)
        found = replace(known, options=options or known.options, hint=hint or known.hint, unit=unit or known.unit)
        return view_field(found, self.texts.get(name, ""), self.errors, self.plain)

    def refused(self, errors: Mapping[str, str]) -> Filled:
        """The same to be shown again, with these sentences, in the order of its fields.

        What was refused has booked nothing, so its token holds; only one that is itself refused is made anew.
        """
        places = {name: place for place, name in enumerate(self.form.labels)}
        ordered = sorted(errors.items(), key=lambda error: places.get(error[0], len(places)))
        return replace(self, errors=dict(ordered), token=new_token() if THE_FORM in errors else self.token)

    def overtaken(self, version: int, stored: Mapping[str, str]) -> Filled:
        """The same to be shown beside what is ``stored`` now, as the texts that its form would have."""
        theirs = differences(self.form.said(self.texts), self.form.said(stored))
        return replace(self, version=version, theirs=theirs)

    def errors_of(self, refusal: BadInput) -> dict[str, str]:
        """The domain's refusal at this form's fields."""
        return _at_fields(self, refusal.problems)

    def values(self) -> Values:
        """The texts, read."""
        reader = Reader(self.texts, self.plain)
        reader.groups(self.form.groups)
        errors = {reader.names[problem.path]: problem.text(self.plain.units) for problem in reader.problems}
        return Values(self, reader.data, errors)


@dataclass(frozen=True, slots=True)
class Values:
    """What a form's texts mean; ``data`` by the fields' paths, ``errors`` where a text means nothing."""

    filled: Filled
    data: dict[Any, Any]
    errors: dict[str, str]

    def __getitem__(self, name: str) -> Any:
        """A field's value; None where nothing was typed, or nothing that can be read."""
        value: Any = self.data
        for step in path_of(name):
            value = value.get(step) if isinstance(value, dict) else None
        return value

    def placed(self, at: Mapping[str, str]) -> Values:
        """The same, with more of what the domain calls otherwise than the form."""
        form = replace(self.filled.form, at={**self.filled.form.at, **at})
        return replace(self, filled=replace(self.filled, form=form))

    def refuse(self, name: str, words: str) -> None:
        """Note what is wrong with a field, unless something is already."""
        self.errors.setdefault(name, words)

    def check(self, problems: Iterable[Problem] = ()) -> None:
        """Raises Unusable where a field has an error, or the domain a problem."""
        errors = {**_at_fields(self.filled, problems), **self.errors}
        if errors:
            raise Unusable(errors)

    def made(self, model: type[Made], data: Mapping[str, Any] | None = None) -> Made:
        """The spec that the values make, or ``data`` where the spec is not what the fields are called.

        Raises Unusable with every error: of the texts, and of the spec where its field has none yet.
        """
        try:
            spec = read(model, self.data if data is None else data)
        except BadInput as refusal:
            self.check(refusal.problems)
            raise
        self.check()
        return spec


def blank(form: SimpleForm, plain: Plain, **known: str) -> Filled:
    """A form for something new; ``known`` are texts that it has already."""
    return Filled(form, plain, {**start_texts(form.groups, plain.units), **known})


def shown(form: SimpleForm, plain: Plain, root: object, version: int | None = None) -> Filled:
    """The form of what there is; every text reads back to the same value."""
    return Filled(form, plain, value_texts(form.fields, root, plain), version)


def sent(form: SimpleForm, plain: Plain, given: Sent, *, edits: bool = False) -> Filled:
    """The form as it was sent, with its token; with ``edits`` also the version that it carried."""
    texts = {name: given.text(name) for name in form.labels}
    version = sent_version(given.text("version")) if edits else None
    return Filled(form, plain, texts, version, token=given.text("token"))


def _at_fields(filled: Filled, problems: Iterable[Problem]) -> dict[str, str]:
    found: dict[str, str] = {}
    for problem in problems:
        found.setdefault(_field_of(filled.form, problem.path), problem.text(filled.plain.units))
    return found


def _field_of(form: SimpleForm, path: Path) -> str:
    """The field of a path, or of the nearest thing around it; "" for the form itself."""
    called = {**{name: name for name in form.labels}, **form.at}
    around = (".".join(map(str, path[:end])) for end in range(len(path), 0, -1))
    return next((called[name] for name in around if name in called), called.get("", THE_FORM))
