"""A problem names the place, the value and what would work, in one line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Units
from domain.notes import Note, NoteCode
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem, Refused, path_text, shown


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
    problem = Problem.of(("stock", "width"), -1.0, ProblemCode.NOT_ABOVE, bound_n=0).under("assemblies", 3)
    assert str(problem) == "assemblies[3].stock.width: -1.0: must be more than 0"


def test_a_refusal_carries_every_problem() -> None:
    problems = [
        Problem.of(("name",), "", ProblemCode.EMPTY),
        Problem.of(("units",), "ft", ProblemCode.NOT_AMONG, words_text='"mm", "in"'),
    ]
    refusal = BadInput(iter(problems))
    assert refusal.problems == tuple(problems)
    assert str(refusal) == "name: '': must not be empty; units: 'ft': must be one of \"mm\", \"in\""


@pytest.mark.parametrize(
    ("code", "figures", "mm", "inches"),
    [
        (ProblemCode.TOO_LARGE, {"most": 90}, "must be 90 mm or less", "must be 3 35/64 in (90 mm) or less"),
        # 1/64 in is 0.396875 mm exactly: a limit is never rounded to where its own value would pass
        (
            ProblemCode.TOO_SMALL,
            {"least": 0.396875},
            "must be 0.396875 mm or more",
            "must be 1/64 in (0.396875 mm) or more",
        ),
        (
            ProblemCode.NOT_INSIDE,
            {"low_bare": 18, "high": 382},
            "must lie between 18 and 382 mm",
            "must lie between 45/64 in (18 mm) and 15 3/64 in (382 mm)",
        ),
        # 6.15 / 25.4 = 0.2421
        (
            ProblemCode.MOUTH_CLOSED,
            {"deepest_fine": 6.1513},
            "must be less than 6.15 mm: there the slot's mouth would be closed",
            "must be less than 0.242 in (6.15 mm): there the slot's mouth would be closed",
        ),
        (ProblemCode.ABOVE, {"bound_n": 2**31 - 1}, "must be 2147483647 or less", "must be 2147483647 or less"),
        # an example of how to write a length is no length
        (
            ProblemCode.NOT_A_LENGTH,
            {"how_text": "12,5 mm"},
            "not a length; write 12,5 mm",
            "not a length; write 12,5 mm",
        ),
        (
            ProblemCode.KEY_LENGTH_TOO_FINE,
            {},
            "write key lengths to 0.1 mm or 1/64 in",
            "write key lengths to 0.1 mm or 1/64 in",
        ),
    ],
)
def test_a_problem_is_worded_late_in_the_units_of_its_reader(
    code: ProblemCode, figures: dict[str, float | str], mm: str, inches: str
) -> None:
    problem = Problem.of(("width",), 1, code, **figures)
    assert (problem.text(), problem.text(Units.INCH)) == (mm, inches)


def test_a_refused_value_is_a_problem_at_its_place() -> None:
    refused = Refused(ProblemCode.NOT_ABOVE, bound_n=0)
    assert str(refused) == "must be more than 0"
    assert refused.at(("width",), -1) == Problem.of(("width",), -1, ProblemCode.NOT_ABOVE, bound_n=0)


def test_no_two_problems_have_one_sentence() -> None:
    sentences = [code.sentence for code in ProblemCode]
    assert len(set(sentences)) == len(sentences)


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(categories=None)),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(st.lists(st.text(st.characters(categories=None)) | st.integers(0, 99), max_size=5), anything)
def test_every_problem_is_one_line_that_can_be_printed(path: list[str | int], value: object) -> None:
    text = str(Problem(tuple(path), value, ProblemCode.NOT_A_FIELD))
    assert text.splitlines() == [text]
    assert text.encode("utf-8").decode("utf-8").isprintable()


def test_a_note_says_no_fraction_of_an_inch_where_it_would_lie() -> None:
    # 0.02 mm is 0.0008 in: to a 64th it would be nothing
    assert "faces 0.001″ apart" in Note.of(NoteCode.HELD_APART, gap=0.02).text(Units.INCH)
    assert "stops 0.020″ below" in Note.of(NoteCode.SHALLOW_RECESS, recess=0.5).text(Units.INCH)
    # 23/32 in is 18.25625 mm exactly
    assert "23/32″ below" in Note.of(NoteCode.SHALLOW_RECESS, recess=18.25625).text(Units.INCH)
    assert "0.02 mm apart" in Note.of(NoteCode.HELD_APART, gap=0.02).text(Units.MM)


def test_no_more_of_a_long_list_is_written_out_than_is_shown() -> None:
    written = 0

    class Counted:
        def __repr__(self) -> str:
            nonlocal written
            written += 1
            return "x"

    assert shown([Counted()] * 10_000) == "[" + "x, " * 18 + "x,…"
    assert written < 100


def test_lists_nested_without_end_are_shown_from_their_start() -> None:
    nested: list[object] = []
    for _ in range(100_000):
        nested = [nested]
    assert shown(nested) == "[" * 57 + "…"


@given(st.recursive(st.none() | st.integers() | st.text("ab'", max_size=4), st.lists, max_leaves=6))
def test_a_list_is_shown_as_python_writes_it(value: object) -> None:
    text = repr(value)
    assert shown(value) == (text if len(text) <= 60 else text[:57] + "…")
