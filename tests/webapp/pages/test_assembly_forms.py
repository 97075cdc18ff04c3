"""What is typed is what is meant: every form reads back what it shows, and names the field of every problem."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.lengths import Units
from domain.reading import read
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from tests.factories import a_frame, a_project
from tests.usual_sizes import begun, usual
from tests.workshop import SHIPPED
from webapp.form.changing import changed
from webapp.form.reading import read_assembly
from webapp.form.showing import spec_texts, starting_texts
from webapp.form.views import FieldView, Offers, view_form
from webapp.pages.projects.assembly_forms import FORMS
from webapp.usecases.demo import demo_projects

SHIPPED_SECTIONS = tuple(
    read(Section, section) for section in json.loads((SHIPPED / "shop.json").read_text("utf-8"))["sections"]
)
FRAME, RAILED, CARCASS = FORMS["mitred_frame"], FORMS["railed_frame"], FORMS["carcass"]

FULL = a_project(
    a_frame(
        "A",
        name="Print",
        quantity=3,
        material="ash",
        stock={"width": "1 3/4 in", "thickness": 20, "rabbet_width": 6, "rabbet_depth": 9.5,
               "front": [[0, 20], ["1/2", 20], ["1 3/4", 12]]},
        fit_allowance=2.5,
        keys={"section": "14", "count": 2, "entry": "back", "recess": 0.7,
              "plug": {"material": "oak", "height": 3}},
        joints={"A-J1": {"section": "10", "count": None, "plug": None, "recess": 0.4}},
    ),
    a_frame("B", sides=6, width=None, height=None, across="16 1/2 in", keys={"section": None, "plug": None}),
    {
        "kind": "railed_frame", "mark": "C", "width": 900, "height": 790, "thickness": 20, "stile": 45,
        "top_rail": 45, "bottom_rail": 60, "mid_rail": 36, "mid_stile": 40,
        "rows": [{"opening": 130, "columns": ["rest", 385]}, {"opening": "rest"}],
        "panel": {"fit": "groove", "depth": 9, "width": 6, "thickness": 6},
        "joints": {"C-J1": {"plug": {"material": "oak", "height": "1/8"}, "entry": None},
                   "C-J2": {"section": None}},
    },
    {
        "kind": "box", "mark": "D", "measure": "inside", "length": 280, "width": 180, "height": 110, "wall": 12,
        "corner": "mitre", "bottom": {"fit": "groove", "thickness": 5, "depth": 5, "up": 6},
        "top": {"material": "glass", "thickness": 3, "depth": 4, "down": 4},
        "lid": {"height": 30, "kerf": 2, "lip": 6, "clearance": 0.1}, "lining": 1.5, "veneer": 0.6,
    },
    {
        "kind": "carcass", "mark": "E", "width": 800, "height": 900, "depth": 350, "thickness": 18,
        "corner": "mitre", "shelves": [300, 600], "partitions": [400], "plinth": 80,
        "back": {"fit": "rabbet", "thickness": 6, "depth": 8, "inset": 10},
    },
    {
        "kind": "railed_frame", "mark": "H", "width": 900, "height": 790, "thickness": 20, "stile": 45,
        "top_rail": 45, "bottom_rail": 60, "mid_rail": 36, "mid_stile": 40, "through": "rails", "show": [],
        "columns": [{"opening": 300, "rows": ["rest", 200]}, {"opening": "rest"}],
    },
    {
        "kind": "carcass", "mark": "G", "width": 800, "height": 900, "depth": 350, "thickness": 18,
        "corner": "top_over", "partitions": [300, {"at": 550, "setback": 7.5}],
        "plinth": {"height": 80, "setback": 45}, "show": ["front", "bottom"],
        "shelves": [{"at": 200, "bay": 1}, {"at": 400, "bay": 1}, {"at": 350, "bay": 3, "setback": 22.5},
                    {"at": 700, "setback": 10}],
    },
    {"kind": "single_joint", "mark": "F", "breadth": 63.64, "run": 20, "angle": 22.5, "behind": [60, 55.5],
     "entry": "both"},
)  # fmt: skip
EVERY = [*FULL.assemblies, *(spec for project in demo_projects() for spec in project.assemblies)]


def meaning(spec: Assembly) -> dict[str, Any]:
    """All that the spec says; of pinned choices only those that are, for the rest is as it was before."""
    joints = {mark: choices.model_dump(exclude_unset=True) for mark, choices in spec.joints.items()}
    return {**spec.model_dump(), "keys": spec.keys.model_dump(exclude_unset=True), "joints": joints}


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("spec", EVERY, ids=lambda spec: f"{spec.kind}-{spec.mark}-{spec.name}")
def test_a_form_reads_back_what_it_shows(spec: Assembly, units: Units) -> None:
    form = FORMS[spec.kind]

    reading = read_assembly(form, spec_texts(form, spec, units), units)

    assert reading.problems == ()
    assert reading.spec is not None
    assert meaning(reading.spec) == meaning(spec)


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("form", FORMS.values(), ids=lambda form: form.kind)
def test_a_new_form_is_ready_to_be_saved_once_its_sizes_are_typed(form: Any, units: Units) -> None:
    reading = read_assembly(form, begun(form, units, "A"), units)

    assert reading.problems == ()


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("form", FORMS.values(), ids=lambda form: form.kind)
def test_a_new_form_has_no_figures_of_an_example(form: Any, units: Units) -> None:
    texts = starting_texts(form, units, "A")
    sizes = {node.name for group in form.groups if not group.switch for node in group.nodes if node.required}
    assert sizes >= {*form.sized} - {"across"}
    assert {texts[name] for name in usual(form.kind)} == {""}
    assert all(
        code.startswith("missing") for code in {each.code for each in read_assembly(form, texts, units).problems}
    )


@pytest.mark.parametrize("form", FORMS.values(), ids=lambda form: form.kind)
def test_what_stands_under_a_switch_is_ready_when_it_is_ticked(form: Any) -> None:
    texts = begun(form, Units.MM, "A")
    plain = {group.switch: "yes" for group in form.groups if group.switch not in {None, "stock.front"}}

    assert read_assembly(form, texts | plain, Units.MM).problems == ()


def test_plain_numbers_are_the_projects_units_and_any_other_may_be_written() -> None:
    texts = begun(FRAME, Units.INCH, "A") | {"width": "12,5", "height": "300 mm", "stock.width": "1 3/4"}

    spec = read_assembly(FRAME, texts, Units.INCH).spec

    assert spec is not None
    shown = spec_texts(FRAME, spec, Units.INCH)
    assert (shown["width"], shown["height"], shown["stock.width"]) == ("12 1/2", "300 mm", "1 3/4")


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"width": "wide"}, "width", "not a length"),
        ({"stock.width": ""}, "stock.width", "is needed"),
        ({"width": "-3"}, "width", "must be more than 0"),
        ({"quantity": "two"}, "quantity", "must be a whole number"),
        ({"quantity": "2.5"}, "quantity", "must be a whole number"),
        ({"quantity": "0"}, "quantity", "must be 1 or more"),
        ({"mark": "A B"}, "mark", "letters, digits"),
        ({"sides": "99"}, "sides", "must be 12 or less"),
        ({"stock.thickness": "1/0"}, "stock.thickness", "not a length"),
        ({"stock.front": "yes"}, "stock.front", "at least 2"),
        ({"stock.front": "yes", "stock.front.0.0": "0"}, "stock.front.0.1", "is needed"),
        ({"keys.plug_choice": "own", "keys.plug.material": ""}, "keys.plug.material", "is needed"),
        ({"keys.entry": "sideways"}, "keys.entry", "must be one of"),
        ({"joints.0.joint": "", "joints.0.count": "2"}, "joints.0.joint", "is needed"),
        ({"joints.0.joint": "J1", "joints.0.count": "many"}, "joints.0.count", "whole number"),
        ({"joints.0.joint": "J1", "joints.0.count": "0"}, "joints.0.count", "must be 1 or more"),
        ({"joints.0.joint": "J1", "joints.1.joint": "a-j1"}, "joints.1.joint", "exception above"),
        ({"joints.0.joint": "J1", "joints.0.plug_choice": "own"}, "joints.0.plug.material", "is needed"),
    ],
)
def test_a_problem_stands_at_its_field(changes: dict[str, str], field: str, words: str) -> None:
    texts = begun(FRAME, Units.MM, "A") | changes

    reading = read_assembly(FRAME, texts, Units.MM)

    assert reading.spec is None
    assert words in reading.errors(Units.MM)[field]


def test_every_problem_is_told_at_once() -> None:
    texts = begun(FRAME, Units.MM, "A") | {"width": "x", "height": "y", "quantity": "z"}

    assert list(read_assembly(FRAME, texts, Units.MM).errors(Units.MM)) == ["quantity", "width", "height"]


def test_points_left_blank_do_not_count_and_problems_find_the_point_that_was_typed() -> None:
    width = begun(FRAME, Units.MM, "A")["stock.width"]
    points = {"0.0": "0", "0.1": "15", "4.0": "", "4.1": "", "7.0": width, "7.1": "x"}
    texts = begun(FRAME, Units.MM, "A") | {"stock.front": "yes"}
    texts |= {f"stock.front.{name}": text for name, text in points.items()}

    assert read_assembly(FRAME, texts, Units.MM).errors(Units.MM) == {
        "stock.front.7.1": 'not a length; write a length such as 12.5, "12,5 mm", "3 7/8 in" or 7/8"'
    }
    good = read_assembly(FRAME, texts | {"stock.front.7.1": "18"}, Units.MM).spec
    assert good is not None
    assert [height.mm for _, height in good.stock.front] == [15, 18]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("form", "changes", "field", "words"),
    [
        (CARCASS, {"shelves": "300, x"}, "shelves", "shelf 2: “x” is not a length"),
        (CARCASS, {"shelves": "300, -5"}, "shelves", "shelf 2: must be more than 0"),
        (CARCASS, {"partitions": "0"}, "partitions", "partition 1: must be more than 0"),
        (RAILED, {"rows": "150, 0, rest"}, "rows", 'row 2: must be more than 0, or "rest"'),
        (RAILED, {"rows": "150 (200, -1), rest"}, "rows", "row 1, opening 2: must be more than 0"),
        (RAILED, {"columns": "150 (2, half), rest"}, "columns", "column 1, opening 2: “half” is neither"),
    ],
)
def test_a_problem_in_a_line_names_its_place(form: Any, changes: dict[str, str], field: str, words: str) -> None:
    errors = read_assembly(form, begun(form, Units.MM, "A") | changes, Units.MM).errors(Units.MM)
    assert list(errors) == [field]
    assert errors[field].startswith(words)


def test_what_a_line_lists_is_what_a_file_lists() -> None:
    texts = begun(RAILED, Units.MM, "A") | {"rows": "150 (200, rest), rest", "mid_rail": "38", "mid_stile": "38"}
    spec = read_assembly(RAILED, texts, Units.MM).spec
    assert spec is not None
    assert spec.model_dump(mode="json", exclude_unset=True)["rows"] == [
        {"opening": 150, "columns": [200, "rest"]},
        {"opening": "rest"},
    ]
    assert spec_texts(RAILED, spec, Units.MM)["rows"] == "150 (200, rest), rest"


EXAMPLES: dict[str, dict[str, float]] = {
    "mitred_frame": {"width": 400, "height": 300, "stock.width": 45, "stock.thickness": 20,
                     "stock.rabbet_width": 6, "stock.rabbet_depth": 10},
    "railed_frame": {"width": 600, "height": 720, "thickness": 20, "stile": 45, "top_rail": 45, "bottom_rail": 60,
                     "mid_rail": 38, "mid_stile": 38, "panel.depth": 10, "panel.width": 6, "panel.thickness": 6},
    "box": {"length": 280, "width": 180, "height": 90, "wall": 12, "bottom.thickness": 5, "bottom.depth": 5,
            "bottom.up": 6, "top.thickness": 3, "top.depth": 4, "top.down": 4, "lid.height": 30, "lid.kerf": 2,
            "lid.lip": 6, "lid.clearance": 0.1},
    "carcass": {"width": 800, "height": 900, "depth": 350, "thickness": 18, "back.thickness": 6, "back.depth": 8,
                "back.inset": 10},
    "single_joint": {"breadth": 63.64, "run": 20, "angle": 45, "behind.0": 60, "behind.1": 60},
}  # fmt: skip
"""The figures of the project file's examples: what a form begins with is nobody's example."""


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("kind", EXAMPLES)
def test_a_form_begins_with_what_the_demos_keys_can_join(kind: str, units: Units) -> None:
    texts = begun(FORMS[kind], units, "A")
    spec = read_assembly(FORMS[kind], texts, units).spec
    assert spec is not None
    found = take_off_assembly(spec, SHIPPED_SECTIONS, Rules())
    assert found.joints
    assert all(joint.plan is not None for joint in found.joints)
    same = [name for name, figure in EXAMPLES[kind].items() if texts[name] == f"{figure:g}"]
    assert same == [] or units is Units.INCH


def test_sizes_of_another_number_of_sides_are_left_alone() -> None:
    texts = begun(FRAME, Units.MM, "A") | {"sides": "6", "across": "455"}

    spec = read_assembly(FRAME, texts, Units.MM).spec

    assert spec is not None
    assert (spec.width, spec.across.mm) == (None, 455)  # type: ignore[union-attr]


def test_points_are_added_below_and_removed_with_what_is_in_them() -> None:
    texts = begun(FRAME, Units.MM, "A")
    texts, focus = changed(FRAME, texts, "add stock.front")
    assert focus == "stock.front.2.0"
    texts = texts | {"stock.front.1.0": "9", "stock.front.2.0": "12", "stock.front.2.1": "8"}

    texts, focus = changed(FRAME, texts, "remove stock.front.1")

    assert focus == "stock.front"
    assert {name: text for name, text in texts.items() if name.startswith("stock.front.")} == {
        "stock.front.0.0": "",
        "stock.front.0.1": "",
        "stock.front.1.0": "12",
        "stock.front.1.1": "8",
    }


@pytest.mark.parametrize(
    "change", ["", "add", "add width", "add nothing", "remove joints", "remove joints.x", "grow joints"]
)
def test_a_change_that_means_nothing_changes_nothing(change: str) -> None:
    texts = begun(RAILED, Units.MM, "A")

    assert changed(RAILED, texts, change)[0] == texts


def test_a_section_that_left_the_catalogue_stays_chosen() -> None:
    texts = begun(FRAME, Units.MM, "A") | {"keys.section": "99"}

    view = view_form(FRAME, texts, {}, Units.MM, Offers(("7", "10"), ()))

    found = next(node for group in view.groups for node in group.nodes if node.name == "keys.section")
    assert isinstance(found, FieldView)
    options = found.options
    assert [option for option, _ in options] == ["", "any", "7", "10", "99"]


ODD = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["", "0", "1", "3", "400", "rest", "any", "3 7/8 in", "1/0", "1e9", "nan", "-2", "yes", "J1"]),
)


# how fast data comes says how busy the machine is, not how good the form
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(data=st.data(), kind=st.sampled_from(sorted(FORMS)), units=st.sampled_from(list(Units)))
def test_whatever_is_typed_is_a_spec_or_a_problem(data: st.DataObject, kind: str, units: Units) -> None:
    form = FORMS[kind]
    usual = begun(form, units, "A")
    names = [
        *usual,
        *(group.switch for group in form.groups if group.switch),
        *("rows", "columns", "rows.0.columns.x", "shelves", "stock.front.9999999.0", "stock.front.5.1"),
        *("joints.0.joint", "joints.0.count", "joints.2.plug_choice", "joints.2.plug", "keys", "stock"),
    ]
    texts = usual | data.draw(st.dictionaries(st.sampled_from(names), ODD, max_size=8))

    reading = read_assembly(form, texts, units)

    assert (reading.spec is None) == bool(reading.problems)
    if reading.spec is not None:
        assert read(type(reading.spec), reading.spec.model_dump(exclude_unset=True)) == reading.spec
