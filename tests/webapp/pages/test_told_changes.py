"""What an edit is told as: by the labels that the forms show, in the units of whoever reads it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from bs4 import Tag
from httpx import Response

from domain.lengths import Units
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.photograph_samples import add_photograph
from tests.webapp.pages.reading import soup
from tests.webapp.pages.sent_form_samples import Form, send
from tests.webapp.pages.test_every_size_is_drawn import WITH_EVERYTHING, begun, others, sized
from webapp.form.fields import AssemblyForm, Field, Plain, Sort
from webapp.form.reading import read_assembly
from webapp.form.telling import changed_assembly
from webapp.pages.past.told import UNLABELLED, row_change
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.quotes.quote_form import PRICES
from webapp.site import urls
from webapp.store import Store
from webapp.store.past_kinds import ASIDE, KINDS, parts_of
from webapp.store.past_lines import Line, lines_of
from webapp.store.past_reading import Changed
from webapp.wording.past import EditedField, change_words

PLAIN = (Plain(Units.MM, "EUR"), Plain(Units.INCH, "EUR"))
A_SECTION = {
    "name": "12", "waist": 9.5, "half_depth": 5, "flank": 11, "tip_diameter": 11.5, "lengths": [15],
    "drive_limit": 50, "stock_from": 14, "stock_to": 30, "reach_limit": 36,
}  # fmt: skip
TERMS: list[Any] = [{"rate": 4321}, {"tax": {"name": "VAT", "rate": 7}}, {"valid_days": 9}, {"depth": "detailed"}]
OTHERS: dict[tuple[str, str], list[Any]] = {
    ("project", "sections_json"): [[A_SECTION]],
    ("project", "keys_json"): [{"recess": 0.9}, {"count": 2}, {"plug": {"material": "plum", "height": 3}}],
    ("project", "climate_json"): [{"from": {"moisture": 7.5}, "to": {"temperature": 21, "humidity": 35}}],
    ("project", "notes_json"): [{"A": "Ash, not oak", "A-J1": "Tight"}],
    ("project", "starts_json"): [[]],
    ("project", "rules_json"): [{}],
    ("project", "quote_json"): [*TERMS, {"discount": 3}, {"note": ["As drawn"]}],
    ("shop", "quote_json"): [*TERMS, {"closing": ["Paid in a fortnight"]}],
}
"""Other values of columns that hold JSON; of more, those are made that rest on what the demo has."""
NEVER = {
    ("project", "created"), ("pattern", "created"), ("photograph", "added_at"),
    # what tells a row apart, or what it is of: another one is another thing
    ("assembly", "kind"), ("assembly", "mark"), ("assembly", "project_id"), ("section_length", "section_id"),
    ("section_length", "length"), ("photograph", "project_id"), ("offer", "item_id"), ("offer", "supplier_id"),
    ("offer", "size"),
    *(("item", name) for name in ("kind", "section", "size", "material", "width", "thickness", "name")),
    ("pattern", "kind"), ("pattern", "document_json"), ("pattern", "made_from"), ("plug", "id"), ("shop", "id"),
    *(("photograph", name) for name in ("width", "height", "sha256", "body", "thumbnail")),
}  # fmt: skip
"""Columns that no edit changes."""


def labels_on(page: Response) -> set[str]:
    """What the page's fields and groups are called, as somebody reads it."""
    return {_called(tag) for tag in soup(page).select("main label, main legend")}


def _called(tag: Tag) -> str:
    hidden = {text for span in tag.select(".visually-hidden, .optional, .term-words") for text in span.strings}
    return " ".join("".join(text for text in tag.strings if text not in hidden).split())


def told(change: EditedField, labels: set[str]) -> bool:
    """Whether the label stands on the page; that of a list's item is its legend there, of whatever number."""
    return change.label in labels or change.label.rstrip("0123456789 ") in {
        label.rstrip("0123456789 ").removeprefix("Add an ").capitalize() for label in labels
    }


@pytest.mark.parametrize("kind", FORMS)
def test_every_field_of_every_kind_is_told_by_its_label_and_in_units(
    client: TestClient, store: Store, kind: str
) -> None:
    with store.writing() as session:
        project = stored(session, a_frame())
    labels = labels_on(client.get(urls.new_assembly(project, kind)))
    met = set()
    for case in (case for case in WITH_EVERYTHING if begun(case)[0].kind == kind):
        form, texts = begun(case)
        before = read_assembly(form, texts, Units.MM).spec
        assert before is not None
        for name, field in sized(form, texts):
            after = next(
                (spec for text in others(field, texts[name])
                 if (spec := read_assembly(form, {**texts, name: text}, Units.MM).spec) is not None), None,
            )  # fmt: skip
            if after is None:
                continue
            met.add(name)
            for units in Units:
                changes = list(changed_assembly(form, before, after, units))
                assert field.label in {change.label for change in changes}, name
                for change in changes:
                    assert told(change, labels), (change, labels)
                    if field.sort in {Sort.LENGTH, Sort.IN_LINE} and change.label == field.label:
                        assert units.value in change.after or "mm" in change.after, change
    assert met


def test_choices_switches_edges_and_exceptions_are_told_in_the_form_s_words() -> None:
    form, texts = begun("box")
    before = read_assembly(form, texts, Units.MM).spec
    assert before is not None
    changed = before.model_copy(
        update={
            "show": ("top",),
            "lid": None,
            "keys": before.keys.model_validate({"section": "13", "plug": {"material": "walnut", "height": 3}}),
            "joints": {"A-J1": before.keys.model_validate({"count": 3, "recess": None})},
        }
    )
    assert [change.words for change in changed_assembly(form, before, changed, Units.INCH)] == [
        "A lid sawn off the glued box yes → no",
        "Other edges are looked at than usual no → yes",
        "Section As the project → 13",
        "Plugs As the project → walnut, 3 mm high",
        f"{_rows(form)} (joint J1) none → 3",
        "Recess (joint J1) none → any",
    ]


def _rows(form: AssemblyForm) -> str:
    nodes = (node for group in form.groups for node in group.nodes if isinstance(node, Field))
    return next(node.label for node in nodes if node.name == "keys.count")


@pytest.fixture
def one_of_each(client: TestClient, stocked_demo: Store) -> Store:
    """The demo, with a pattern, a photograph and a minimum beside all that it has."""
    send(client, Form(urls.keep_pattern(1), urls.keep_pattern(1), {"name": "Frames"}))
    add_photograph(client, 1)
    return stocked_demo


def pages(client: TestClient, wood: str) -> dict[str, set[str]]:
    """By the table of a row, what the forms call their fields that change it."""
    addresses = {
        "project": (
            urls.edit_project(1), urls.project(1), urls.project_note(1), urls.movement(1), urls.project_quote(1),
            urls.cutting_stock(1, item=wood), urls.change_part(1, mark="A1"), urls.rules(),
        ),
        "assembly": (urls.new_assembly(1, "mitred_frame"),),
        "section": (urls.section(1),), "section_length": (urls.section(1),), "plug": (urls.plug(1),),
        "shop": (urls.rules(), urls.quote_terms()), "item": (urls.stock_item(1),), "supplier": (urls.supplier(1),),
        "offer": (urls.offer(1),), "pattern": (urls.kept_pattern(1),), "photograph": (urls.photographs(1),),
    }  # fmt: skip
    found = {}
    for table, some in addresses.items():
        answers = [client.get(address) for address in some]
        assert [answer.status_code for answer in answers] == [200] * len(answers), table
        found[table] = set().union(*map(labels_on, answers))
    return found


def others_of(table: str, name: str, value: Any) -> Iterator[Any]:
    """Other values for a column that holds no JSON."""
    words = {"mm": "in", "in": "mm", "round": "square", "square": "round", "EUR": "CHF"}
    if name in {"due", "mark"}:
        yield {"due": "2027-04-01", "mark": "A-J9"}[name]
    elif name == "withdrawn":
        yield 1 - value
    elif isinstance(value, str):
        yield words.get(value, f"{value} x")
    else:
        yield 2_000_000 if value is None else value + 1


def other_rules(text: str) -> Iterator[Any]:
    """Rules of which one is another, each in turn."""
    rules = json.loads(text)
    for rule, standing in rules.items():
        if isinstance(standing, bool):
            yield {**rules, rule: not standing}
        elif isinstance(standing, int | float):  # of a share, a little less
            yield {**rules, rule: standing * 0.75 if 0 < standing < 1 else standing + 1}


def made_of(client: TestClient, lines: dict[str, Line], wood: str) -> dict[tuple[str, str], list[Any]]:
    """Other values for columns that hold JSON."""
    prices = soup(client.get(urls.project_quote(1))).find("legend", string=PRICES)
    assert prices is not None
    assert prices.parent is not None
    priced = prices.parent.select_one("label")
    assert priced is not None
    woods = ({"kerf": 2.9}, {"trim": 11}, {"nested": True}, {"stock": [{"length": 1234}]})
    parts = ({"rough_width": 61.5}, {"material": "larch"}, {"grain": "any"}, {"note": "knots out"})
    spec = json.loads(lines["assembly"]["spec_json"])
    return OTHERS | {
        ("project", "stock_json"): [[{"item": wood, **said}] for said in woods],
        ("project", "parts_json"): [{"A1": said} for said in parts],
        ("project", "quote_json"): [
            *OTHERS["project", "quote_json"], {"prices": [{"item": _called(priced), "price": 99}]}
        ],
        ("assembly", "spec_json"): [spec | {"name": "Another", "quantity": 7}],
        ("shop", "rules_json"): list(other_rules(lines["shop"]["rules_json"])),
    }  # fmt: skip


def test_every_column_that_an_edit_changes_is_told_by_a_label_of_its_form(
    client: TestClient, one_of_each: Store
) -> None:
    link = soup(client.get(urls.cutting(1))).select_one("a[href*='item=']")
    assert link is not None
    (wood,) = parse_qs(urlsplit(str(link["href"])).query)["item"]
    with one_of_each.reading() as session:
        lines = {
            table: line
            for kind in KINDS
            for (table, _), line in reversed(lines_of(session, kind, [1]).get(1, {}).items())
        }
    labels, made = pages(client, wood), made_of(client, lines, wood)
    tables = [(kind, part.name) for kind in KINDS if kind != "moulding" for part in parts_of(kind)]
    for kind, table in tables:
        for name in lines[table].keys() - ASIDE - KINDS[kind].aside - {"id"}:
            if (table, name) in NEVER:
                continue
            before = lines[table][name]
            values = (
                map(json.dumps, made[table, name]) if name.endswith("_json") else others_of(table, name, before)
            )
            for value in values:
                line = {**lines[table], name: value}
                for plain in PLAIN:
                    changed = row_change(Changed(kind, 1, table, lines[table], line), plain)
                    assert changed.fields, (table, name, value)
                    for field in changed.fields:
                        assert field.label in labels[table] | UNLABELLED, (table, name, field)
                    assert "_" not in change_words(changed, plain.units)


def test_rules_of_a_project_s_own_are_told_one_by_one() -> None:
    line: Line = {"id": 1, "name": "Bench", "rules_json": "{}"}
    changed = Changed("project", 1, "project", line, {**line, "rules_json": '{"wall": 3.175}'})
    assert [change.words for change in row_change(changed, PLAIN[1]).fields] == ["Edge wood 2 mm → 1/8 in"]


def test_what_an_earlier_version_kept_and_none_can_read_is_told_without_fields() -> None:
    line: Line = {"id": 1, "mark": "A", "kind": "box", "spec_json": '{"kind": "box", "forgotten": 7}'}
    changed = Changed("project", 1, "assembly", line, {**line, "spec_json": '{"kind": "box"}'})
    assert change_words(row_change(changed, PLAIN[0]), Units.MM) == "Assembly A changed"
