"""Whatever stands in the lines of sizes or in a list: an answer in words, and all is added or nothing."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.core.result import Ok

from domain.lengths import Units
from tests.client import TestClient
from tests.webapp.pages.reading import fields
from tests.webapp.pages.test_assembly_pages import make, specs
from webapp.form.carried import new_token
from webapp.form.several import has_lines, lines_of
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import next_mark

TIMES = 100
"""So many requests of each of the two routes."""
LENGTH = r"[1-9][0-9]{1,3}([.,][0-9])?( mm| in| [13]/4)?"
LINE = rf"{LENGTH}( ?[x×] ?{LENGTH})?([*;,] ?[0-9]{{1,2}})?(; [A-Za-z]{{1,9}})?"
GOOD_LINE = r"[3-9][0-9]{2}([.,][05])?x[3-9][0-9]{2}(\*[1-9])?"
GOOD_ROW = r"Mitred frame;[3-9][0-9]{2}([.,][0-9])?;[3-9][0-9]{2};45;20"
ROW = r"(Mitred frame|Box|Boat);[0-9]{2,3}([.,][0-9])?;[0-9]{0,3}x?;(45|20|-1)?;(20)?"


def lines_like(line: str) -> dict[str, str]:
    return {"type": "string", "pattern": rf"^{line}(\n{line}){{0,3}}$"}


def rows_of(row: str) -> dict[str, str]:
    return {"type": "string", "pattern": rf"^kind;width;height;stock width;stock thickness(\n{row}){{1,4}}\n?$"}


ANYTHING = {"type": "string", "maxLength": 80}


def described(path: str, texts: dict[str, Any]) -> dict[str, Any]:
    """The route of a form as an OpenAPI document, written here by hand."""
    form = {"schema": {"type": "object", "required": list(texts), "properties": texts}}
    body = {"required": True, "content": {"application/x-www-form-urlencoded": form}}
    post = {"requestBody": body, "responses": {"303": {"description": "Added"}, "422": {"description": "Refused"}}}
    return {
        "openapi": "3.1.0",
        "info": {"title": "Forms", "version": "1"},
        "paths": {path: {"post": post}},
    }


def cases(document: dict[str, Any]) -> Any:
    (offered,) = schemathesis.openapi.from_dict(document).get_all_operations()
    assert isinstance(offered, Ok)
    return offered.ok().as_strategy(generation_mode=GenerationMode.POSITIVE)


@pytest.fixture
def number(demo_store: Store) -> int:
    return make(demo_store, name="Any sizes")


def test_any_lines_of_sizes_add_all_or_nothing(client: TestClient, demo_store: Store, number: int) -> None:
    address, form = urls.new_assembly(number, "mitred_frame"), FORMS["mitred_frame"]
    empty: dict[str, Any] = fields(client.get(address)) | {"stock.width": "45", "stock.thickness": "20"}
    texts = {
        "sizes": {"anyOf": [lines_like(GOOD_LINE), lines_like(f"({GOOD_LINE}|{LINE})"), ANYTHING]},
        "name": {"anyOf": [{"const": "Hall"}, ANYTHING]},
    }
    seen: set[int] = set()

    @settings(max_examples=TIMES, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(cases(described(address, texts)))
    def ask(case: schemathesis.Case[Any]) -> None:
        with demo_store.reading() as session:
            mark = next_mark(session, number)
        body: Any = case.body
        typed = empty | dict(body) | {"token": new_token(), "mark": mark}
        before = len(specs(demo_store, number))
        answer = client.post(address, data=typed)
        seen.add(answer.status_code)
        added = len(specs(demo_store, number)) - before
        assert answer.status_code in {303, 422}, answer.text
        lines = len(lines_of(form, typed, Units.MM)) if has_lines(form, typed) else 1
        assert added == (lines if answer.status_code == 303 else 0)

    ask()
    assert seen == {303, 422}


def test_any_list_is_looked_at_and_added_whole_or_not(client: TestClient, demo_store: Store, number: int) -> None:
    texts = {"document": {"anyOf": [rows_of(GOOD_ROW), rows_of(f"({GOOD_ROW}|{ROW})"), ANYTHING]}}
    seen: set[int] = set()

    @settings(max_examples=TIMES, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(cases(described(urls.add_list(number), texts)))
    def ask(case: schemathesis.Case[Any]) -> None:
        body: Any = case.body
        document = body["document"]
        before = len(specs(demo_store, number))
        looked = client.post(urls.import_list(number), files={"document": (None, document)})
        assert looked.status_code in {200, 422}, looked.text
        assert len(specs(demo_store, number)) == before  # looked at, nothing stored
        sent = {"token": (None, new_token()), "document": (None, document)}
        answer = client.post(urls.add_list(number), files=sent)
        seen.add(answer.status_code)
        added = len(specs(demo_store, number)) - before
        assert answer.status_code == (303 if looked.status_code == 200 else 422), answer.text
        lines = sum(bool(line.strip(" ;")) for line in document.splitlines()) - 1
        assert added == (lines if answer.status_code == 303 else 0)

    ask()
    assert seen == {303, 422}
