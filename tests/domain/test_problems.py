"""A problem names the place, the value and what would work, in one line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.problems import BadInput, Path, Problem, path_text, shown


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ((), "the file"),
        (("name",), "name"),
        (("assemblies", 0, "stock", "width"), "assemblies[0].stock.width"),
        (("sections", 2, "lengths", 1), "sections[2].lengths[1]"),
        (("assemblies", 0, "joints", "A-J1", "entry"), "assemblies[0].joints.A-J1.entry"),
        ((3, "x"), "[3].x"),
        (("two\nlines",), "two lines"),
        (("bell\a",), "bell\\x07"),
        (("half\ud800",), "half\\ud800"),
    ],
)
def test_a_path_is_written_as_people_write_it(path: Path, text: str) -> None:
    assert path_text(path) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (12.5, "12.5"),
        ("oak", "'oak'"),
        ("a\nb", "'a\\nb'"),
        (None, "None"),
        ([1, 2], "[1, 2]"),
        ("x" * 100, "'" + "x" * 56 + "…"),
    ],
)
def test_a_value_is_shown_in_one_short_line(value: object, text: str) -> None:
    assert shown(value) == text


def test_a_number_of_thousands_of_digits_is_shown_by_its_kind() -> None:
    assert shown(10**5000) == "int too large to show"


def test_a_problem_seen_from_further_out_keeps_its_value() -> None:
    problem = Problem(("stock", "width"), -1.0, "must be more than 0").under("assemblies", 3)
    assert str(problem) == "assemblies[3].stock.width: -1.0: must be more than 0"


def test_a_refusal_carries_every_problem() -> None:
    problems = [
        Problem(("name",), "", "must not be empty"),
        Problem(("units",), "ft", 'must be one of "mm", "in"'),
    ]
    refusal = BadInput(iter(problems))
    assert refusal.problems == tuple(problems)
    assert str(refusal) == "name: '': must not be empty; units: 'ft': must be one of \"mm\", \"in\""


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(categories=None)),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(st.lists(st.text(st.characters(categories=None)) | st.integers(0, 99), max_size=5), anything)
def test_every_problem_is_one_line_that_can_be_printed(path: list[str | int], value: object) -> None:
    text = str(Problem(tuple(path), value, "is not allowed"))
    assert text.splitlines() == [text]
    assert text.encode("utf-8").decode("utf-8").isprintable()
