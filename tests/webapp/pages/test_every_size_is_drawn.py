"""Whatever size is typed in a form, the drawings beside it change: every size field of every kind is tried."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from pydantic import TypeAdapter

from domain.assemblies.expand import expand
from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.assemblies import Assembly
from webapp.drawings.assembly import draw_assembly
from webapp.drawings.svg import svg
from webapp.drawings.through import draw_sections
from webapp.form.fields import AssemblyForm, Field, ListOf, Node, Sort, item_numbers, joined
from webapp.form.reading import read_assembly
from webapp.form.showing import spec_texts
from webapp.pages.projects.assembly_forms import FORMS

ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
WITH_EVERYTHING: dict[str, dict[str, Any]] = {
    "rectangle": {
        "kind": "mitred_frame", "measure": "outside", "width": 413, "height": 327, "fit_allowance": 2.4,
        "stock": {"width": 47, "thickness": 23, "rabbet_width": 7, "rabbet_depth": 11,
                  "front": [[0, 23], [31, 21], [47, 14]]},
    },
    "plain": {
        "kind": "mitred_frame", "measure": "opening", "width": 413, "height": 327,
        "stock": {"width": 47, "thickness": 23, "rabbet_width": 7, "rabbet_depth": 11},
    },
    "polygon": {
        "kind": "mitred_frame", "sides": 5, "measure": "outside", "across": 388, "fit_allowance": 2.4,
        "stock": {"width": 47, "thickness": 23, "rabbet_width": 7, "rabbet_depth": 11},
    },
    "rows": {
        "kind": "railed_frame", "width": 613, "height": 737, "thickness": 23, "stile": 52, "top_rail": 51,
        "bottom_rail": 67, "mid_rail": 41, "mid_stile": 39,
        "rows": [{"opening": 143}, {"opening": "rest", "columns": [203, "rest"]}],
        "panel": {"fit": "groove", "depth": 9, "width": 7, "thickness": 6},
    },
    "columns": {
        "kind": "railed_frame", "width": 613, "height": 737, "thickness": 23, "stile": 52, "top_rail": 51,
        "bottom_rail": 67, "mid_rail": 41, "mid_stile": 39,
        "columns": [{"opening": 211, "rows": [307, "rest"]}, {"opening": "rest"}],
        "panel": {"fit": "rabbet", "depth": 9, "width": 7, "thickness": 6},
    },
    "box": {
        "kind": "box", "measure": "outside", "length": 287, "width": 193, "height": 117, "wall": 17,
        "corner": "mitre", "bottom": {"fit": "groove", "thickness": 5, "depth": 4, "up": 7},
        "top": {"material": "glass", "thickness": 3, "depth": 5, "down": 4},
        "lid": {"height": 38, "kerf": 1.7, "lip": 6, "clearance": 0.12}, "lining": 2.5, "veneer": 0.7,
    },
    "box measured inside": {
        "kind": "box", "measure": "inside", "length": 287, "width": 193, "height": 117, "wall": 17,
        "corner": "butt", "bottom": {"fit": "groove", "thickness": 5, "depth": 4, "up": 6},
        "top": {"material": "ash", "fit": "over", "thickness": 9},
    },
    "carcass": {
        "kind": "carcass", "width": 787, "height": 911, "depth": 343, "thickness": 19, "corner": "top_between",
        "shelves": [{"at": 297, "bay": 1, "setback": 21}, {"at": 523, "bay": 2, "setback": 33}],
        "partitions": [{"at": 371, "setback": 13}], "plinth": {"height": 83, "setback": 37},
        "back": {"fit": "rabbet", "thickness": 6, "depth": 8, "inset": 11},
    },
    "mitred carcass": {
        "kind": "carcass", "width": 787, "height": 511, "depth": 343, "thickness": 19, "corner": "mitre",
        "shelves": [297], "plinth": {"height": 61, "setback": 29},
        "back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 11},
    },
    "square joint": {"kind": "single_joint", "breadth": 63, "run": 23, "angle": 90, "behind": [57, 61]},
    "leaning joint": {"kind": "single_joint", "breadth": 63, "run": 23, "angle": 60, "behind": [57, 61]},
}  # fmt: skip
UNDRAWN = ("keys.", "joints", "shelf_load", "quantity")
"""How keys are chosen, what a shelf carries, how many are made: no sizes of the thing."""
CHOICES = {"measure", "corner", "through", "panel.fit", "bottom.fit", "back.fit", "sides"}


def sized(form: AssemblyForm, texts: dict[str, str]) -> Iterator[tuple[str, Field]]:
    """Every field of the form that says a size and stands in the form with these texts, by its full name."""

    def under(nodes: tuple[Node, ...], lead: str) -> Iterator[tuple[str, Field]]:
        for node in nodes:
            name = joined(lead, node.name)
            if isinstance(node, ListOf):
                for number in item_numbers(texts, name):
                    yield from under(node.nodes, joined(name, str(number)))
            elif node.sort in {Sort.LENGTH, Sort.IN_LINE, Sort.NUMBER, Sort.WHOLE} or name in CHOICES:
                yield name, node

    for group in form.groups:
        if group.switch is not None and group.switch not in texts:
            continue
        for name, node in under(group.nodes, ""):
            if texts.get(name, "").strip() and not name.startswith(UNDRAWN):
                yield name, node


@cache
def begun(case: str) -> tuple[AssemblyForm, dict[str, str]]:
    spec = ASSEMBLY.validate_python({"mark": "A", **WITH_EVERYTHING[case]})
    form = FORMS[spec.kind]
    return form, spec_texts(form, spec, Units.MM)


def drawn(form: AssemblyForm, texts: dict[str, str], units: Units = Units.MM) -> list[str] | None:
    """The drawings beside the form; None where it comes to nothing."""
    spec = read_assembly(form, texts, units).spec
    if spec is None:
        return None
    try:
        expansion = expand(spec)
    except BadInput:
        return None
    return [svg(each, "x") for each in (draw_assembly(expansion, units), *draw_sections(spec, expansion, units))]


def others(field: Field, text: str) -> Iterator[str]:
    """Other texts for the field, a little more or less first."""
    if field.options:
        yield from (option for option, _ in field.options if option != text)
    elif field.sort is Sort.WHOLE:
        yield from (str(int(text) + step) for step in (1, -1))
    else:
        # each figure of a line by itself; that of a bay is no size, and as no whole number refused
        for figure in re.finditer(r"[\d.]+", text):
            if float(figure[0]):
                for share in (1.01, 0.99):
                    yield f"{text[: figure.start()]}{float(figure[0]) * share:g}{text[figure.end() :]}"


@cache
def changed(case: str) -> dict[str, bool]:
    """Of every size in a case that can be changed by itself: whether any other that was tried is drawn alike."""
    form, texts = begun(case)
    before = drawn(form, texts)
    assert before is not None
    found = {}
    for name, field in sized(form, texts):
        made = [drawn(form, {**texts, name: other}) for other in others(field, texts[name])]
        if any(made):
            found[name] = before in made
    return found


@pytest.mark.parametrize("case", WITH_EVERYTHING)
def test_every_size_that_is_typed_changes_what_is_drawn(case: str) -> None:
    assert changed(case)
    assert [name for name, alike in changed(case).items() if alike] == []


def test_every_size_field_of_every_kind_is_among_them() -> None:
    """No field of a form is passed over: each is changed by itself in one of the cases."""
    met: dict[str, set[str]] = {}
    for case in WITH_EVERYTHING:
        met.setdefault(begun(case)[0].kind, set()).update(map(_plain, changed(case)))
    for kind, form in FORMS.items():
        assert {name for name in _names(form) if not name.startswith(UNDRAWN)} <= met[kind]


def _plain(name: str) -> str:
    return ".".join(step for step in name.split(".") if not step.isdigit() or name.startswith("behind"))


def _names(form: AssemblyForm) -> Iterator[str]:
    def under(nodes: tuple[Node, ...], lead: str) -> Iterator[str]:
        for node in nodes:
            name = joined(lead, node.name)
            if isinstance(node, ListOf):
                yield from under(node.nodes, name)
            elif node.sort in {Sort.LENGTH, Sort.IN_LINE, Sort.NUMBER}:
                yield _plain(name)

    for group in form.groups:
        yield from under(group.nodes, "")


@pytest.mark.parametrize("case", WITH_EVERYTHING)
def test_sections_are_said_in_the_reader_s_units(case: str) -> None:
    form, texts = begun(case)
    spec = read_assembly(form, texts, Units.MM).spec
    assert spec is not None
    for units, sign in ((Units.MM, False), (Units.INCH, True)):
        for drawing in draw_sections(spec, expand(spec), units):
            figures = [text.words for text in drawing.texts]
            assert figures
            assert all(("″" in words) is sign for words in figures)
            assert ("inches" in drawing.describes) is sign
