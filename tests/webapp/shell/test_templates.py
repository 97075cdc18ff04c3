"""All templates compile; pages have a title; fields are wired to their hints and errors."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from bs4 import BeautifulSoup, Tag
from jinja2 import UndefinedError
from starlette.requests import Request

from domain.lengths import Length, Units
from domain.notes import Note, NoteCode
from webapp.site.failures import FailurePage, Words
from webapp.site.rendering import TEMPLATES, environment, go_to, render, wants_fragment
from webapp.wording.money import format_money

ALL = sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))
PAGES = [name for name in ALL if '{% extends "base.html" %}' in (TEMPLATES / name).read_text("utf-8")]
LONGEST_LINE = 160


def request(**headers: str) -> Request:
    raw = [(name.replace("_", "-").lower().encode(), value.encode()) for name, value in headers.items()]
    return Request({"type": "http", "method": "GET", "path": "/cautions", "query_string": b"", "headers": raw})


@pytest.mark.parametrize("name", ALL)
def test_every_template_compiles(name: str) -> None:
    environment().get_template(name)


def test_no_line_of_a_template_is_too_long_to_read() -> None:
    sources = [path for path in TEMPLATES.rglob("*") if path.suffix in {".html", ".typ"}]
    lines = [
        f"{path.relative_to(TEMPLATES)}:{number}"
        for path in sources
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if len(line) > LONGEST_LINE
    ]
    assert lines == []


def test_the_formatter_has_nothing_to_change() -> None:
    command = [sys.executable, "-m", "djhtml", "--tabwidth", "2", "--check", str(TEMPLATES)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", PAGES)
def test_every_page_has_a_title(name: str) -> None:
    assert "title" in environment().get_template(name).blocks


@pytest.mark.parametrize("name", ALL)
def test_no_template_has_inline_script_or_style(name: str) -> None:
    source = re.sub(r"\{#.*?#\}", "", (TEMPLATES / name).read_text("utf-8"), flags=re.DOTALL)
    assert "<style" not in source
    assert " style=" not in source
    assert "hx-on" not in source
    assert "js:" not in source


def test_a_misspelt_name_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        environment().from_string("{{ misspelt }}").render()


def text(source: str, **context: object) -> str:
    return environment().from_string(source).render(**{"units": Units.MM, **context})


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("{{ 16.5 | length }}", "16.5 mm"),
        ("{{ 98.425 | length(inch) }}", "3 7/8 in"),
        ("{{ a_length | length }}", "12.5 mm"),
        ("{{ 6.1513 | fine }}", "6.15 mm"),
        ("{{ 25.4 | fine(inch) }}", "1.000 in"),
        ("{{ 6.1513 | mm }}", "6.151"),
        ("{{ 1290 | money('EUR') }}", "12.90 EUR"),
        ("{{ '<b>' }}", "&lt;b&gt;"),
    ],
)
def test_filters(source: str, expected: str) -> None:
    assert text(source, inch=Units.INCH, a_length=Length.from_mm(12.5)) == expected


def test_a_note_is_worded_in_the_pages_units() -> None:
    note = Note.of(next(iter(NoteCode)), section_text="14", needed=25.4, available=12.7)
    assert text("{{ note | note }}", note=note) == note.text(Units.MM)
    assert text("{{ note | note }}", note=note, units=Units.INCH) == note.text(Units.INCH)


# ISO 4217: minor units of the euro 2, the yen 0, the Kuwaiti dinar 3
@pytest.mark.parametrize(
    ("minor", "currency", "expected"),
    [(5, "EUR", "0.05 EUR"), (-1290, "EUR", "-12.90 EUR"), (1290, "JPY", "1290 JPY"), (1290, "KWD", "1.290 KWD")],
)
def test_money(minor: int, currency: str, expected: str) -> None:
    assert format_money(minor, currency) == expected


@pytest.mark.parametrize(
    ("headers", "expected"),
    [
        ({}, False),
        ({"HX_Request": "true"}, True),
        ({"HX_Request": "true", "HX_Request_Type": "partial"}, True),
        ({"HX_Request": "true", "HX_Request_Type": "full"}, False),
        ({"HX_Request": "true", "HX_History_Restore_Request": "true"}, False),
    ],
)
def test_who_gets_a_fragment(headers: dict[str, str], expected: bool) -> None:
    asked = request(**headers)
    page = FailurePage(Words("T", "S"), 422, ())
    answer = render(asked, "errors/page.html", page, fragment="errors/_message.html")
    assert wants_fragment(asked) is expected
    assert (b"<html" not in answer.body) is expected
    assert answer.headers["Vary"] == "HX-Request"


def test_after_saving_htmx_is_told_to_leave_the_page() -> None:
    assert go_to(request(), "/projects/1").status_code == 303
    answer = go_to(request(HX_Request="true"), "/projects/1")
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (204, "/projects/1")


FIELDS = {
    "length_field": '"stock.width", "Width", "400"',
    "number_field": '"stock.width", "Width", "400"',
    "text_field": '"stock.width", "Width", "400"',
    "textarea_field": '"stock.width", "Width", "400"',
    "select_field": '"stock.width", "Width", [("400", "400"), ("5", "5")], "400"',
    "checkbox_field": '"stock.width", "Width"',
    "file_field": '"stock.width", "Width"',
}


def field(macro: str, rest: str) -> BeautifulSoup:
    source = f'{{% from "_macros.html" import {macro} %}}{{{{ {macro}({FIELDS[macro]}, {rest}) }}}}'
    return BeautifulSoup(text(source), "html.parser")


@pytest.mark.parametrize("macro", FIELDS)
def test_a_field_is_tied_to_label_hint_and_error(macro: str) -> None:
    page = field(macro, 'hint="Across <it>", error="too narrow"')
    control = page.find(["input", "select", "textarea"])
    label = page.find("label")
    assert isinstance(control, Tag)
    assert isinstance(label, Tag)
    assert label["for"] == control["id"] == "f-stock-width"
    assert control["aria-invalid"] == "true"
    described = [page.find(id=name) for name in str(control["aria-describedby"]).split()]
    assert [one.get_text() for one in described if one] == ["Too narrow", "Across <it>"]


@pytest.mark.parametrize("macro", FIELDS)
def test_a_sound_field_claims_no_error(macro: str) -> None:
    control = field(macro, "").find(["input", "select", "textarea"])
    assert isinstance(control, Tag)
    assert "aria-invalid" not in control.attrs
    assert "aria-describedby" not in control.attrs


def test_typed_text_comes_back_as_typed() -> None:
    source = '{% from "_macros.html" import length_field, textarea_field %}'
    typed = '3 7/8" <b>\n and more'
    page = BeautifulSoup(
        text(source + '{{ length_field("a", "A", typed) }}{{ textarea_field("b", "B", typed) }}', typed=typed),
        "html.parser",
    )
    assert page.input is not None
    assert page.input["value"] == typed
    assert page.textarea is not None
    assert page.textarea.text.removeprefix("\n") == typed


def test_the_error_summary_leads_to_the_fields() -> None:
    source = '{% from "_macros.html" import error_summary %}{{ error_summary(errors, {"stock.width": "Width"}) }}'
    page = BeautifulSoup(text(source, errors={"stock.width": "too narrow", "mark": "taken"}), "html.parser")
    assert [(link["href"], link.text) for link in page.find_all("a")] == [
        ("#f-stock-width", "Width"),
        ("#f-mark", "mark"),
    ]
    assert text(source, errors={}).strip() == ""
