"""The ladder of an edit: what each thing that can stand in the way comes to."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest
from fastapi import Request, Response
from fastapi.responses import PlainTextResponse

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Unusable
from webapp.site.editing import saved
from webapp.store.errors import Busy, NameTaken, NotEnough, StaleEdit

TYPED = Filled(form_of(Field("name", "Name", Sort.TEXT)), Plain(), {"name": "mine"}, 3)
Act = Callable[[], str]


def refuse(error: Exception) -> Act:
    def act() -> str:
        raise error

    return act


def answer(act: Act, stored: Mapping[str, str] | None = None) -> tuple[Response, list[Filled]]:
    shown: list[Filled] = []

    def page(form: Filled, status: int) -> Response:
        shown.append(form)
        return PlainTextResponse("again", status_code=status)

    texts = None if stored is None else (lambda: stored)
    told = {
        NameTaken: lambda taken: {"name": f"{taken.name} is taken"},
        NotEnough: lambda short: {"name": "short"},
    }
    request = Request({"type": "http", "method": "POST", "path": "/", "headers": []})
    return saved(request, TYPED, act, page, told=told, stored=texts), shown


def test_what_is_saved_leads_on() -> None:
    answered, shown = answer(lambda: "/there")
    assert (answered.status_code, answered.headers["location"], shown) == (303, "/there", [])


@pytest.mark.parametrize(
    ("error", "status", "errors"),
    [
        (Unusable({"name": "is odd"}), 422, {"name": "is odd"}),
        (BadInput([Problem.of(("name",), "", ProblemCode.MISSING)]), 422, {"name": "is needed"}),
        (BadInput([Problem.of(("elsewhere",), "", ProblemCode.MISSING)]), 422, {"": "is needed"}),
        (NameTaken("plug", "oak"), 422, {"name": "oak is taken"}),
        (NotEnough("key", "pcs", 1, 2), 409, {"name": "short"}),
    ],
)
def test_what_is_refused_comes_back_with_its_sentence(
    error: Exception, status: int, errors: Mapping[str, str]
) -> None:
    answered, (form,) = answer(refuse(error))
    assert (answered.status_code, form.errors, form.texts, form.version) == (status, errors, TYPED.texts, 3)


def test_what_was_changed_meanwhile_stands_beside_what_was_typed() -> None:
    answered, (form,) = answer(refuse(StaleEdit("plug", 1, 7)), {"name": "theirs"})
    assert (answered.status_code, form.version, form.texts) == (409, 7, {"name": "mine"})
    assert form.theirs is not None
    assert [(one.label, one.typed, one.stored) for one in form.theirs] == [("Name", "mine", "theirs")]


@pytest.mark.parametrize("error", [Busy(), StaleEdit("plug", 1, 7), ValueError("a slip of ours")])
def test_what_has_no_words_here_is_a_page_of_its_own(error: Exception) -> None:
    with pytest.raises(type(error)):
        answer(refuse(error))
