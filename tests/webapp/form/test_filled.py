"""The form engine: one description reads texts, shows values again, compares and orders."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.catalogue import Plug
from webapp.form.fields import A_LENGTH, Field, Plain, Sort, form_of
from webapp.form.filled import Filled, Unusable, blank, sent, shown
from webapp.wording.problems import InputProblem

FORM = form_of(
    Field("wood", "Wood", Sort.TEXT, needed="needs a wood"),
    Field("height", "Height", needed=A_LENGTH, zero=False),
    Field("share", "Share", Sort.PERCENT, most=100, required=False),
    Field("price", "Price", Sort.MONEY, required=False),
    Field("day", "Day", Sort.DAY, required=False),
    Field("way", "Way", Sort.CHOICE, options=(("up", "Up"), ("down", "Down")), must="choose one", required=False),
    Field("angle", "Angle", Sort.NUMBER, unit="°", must="must be an angle", required=False),
    at={"material": "wood"},
)
EUROS = Plain(Units.MM, "EUR")


class Given(dict[str, str]):
    def text(self, name: str) -> str:
        return self.get(name, "")


def filled(**texts: str) -> Filled:
    return sent(FORM, EUROS, Given({"wood": "pear", "height": "3", **texts}))


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("height", "1/8 in", Length.from_mm(3.175)),
        ("share", "7,5 %", 0.075),
        ("price", "0.5", 50),
        ("day", "2024-02-29", "2024-02-29"),
        ("way", "up", "up"),
        ("angle", "8,5°", 8.5),
        ("price", "", None),
    ],
)
def test_a_text_is_read_by_its_sort(name: str, typed: str, value: object) -> None:
    values = filled(**{name: typed}).values()
    assert values.errors == {}
    assert values[name] == value


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("wood", "", "needs a wood"),
        ("height", "", "needs a length"),
        ("height", "0", "must be more than 0"),
        ("share", "101", "must be from 0 to 100 %"),
        ("price", "0.123", "EUR has 2 decimals"),
        ("day", "2023-02-29", "a day of the calendar, such as"),
        ("day", "20240229", "a day of the calendar, such as"),
        ("way", "sideways", "choose one"),
        ("angle", "steep", "must be an angle"),
    ],
)
def test_a_text_that_is_no_value_has_its_sentence(name: str, typed: str, says: str) -> None:
    values = filled(**{name: typed}).values()
    assert list(values.errors) == [name]
    assert says in values.errors[name]
    assert values[name] is None


def test_what_the_spec_refuses_is_told_with_what_cannot_be_read() -> None:
    values = filled(wood="x" * 121, price="dear").values()
    with pytest.raises(Unusable) as caught:
        values.made(Plug, {"material": values["wood"], "height": values["height"]})
    assert set(caught.value.errors) == {"wood", "price"}


def test_errors_stand_in_the_order_of_the_form_and_what_is_at_no_field_comes_last() -> None:
    refusal = BadInput(
        [Problem.of(("token",), "x", InputProblem.OLD_FORM), Problem.of(("material",), "", ProblemCode.MISSING)]
    )
    shown_again = filled().refused({**filled().errors_of(refusal), "height": "must be more than 0"})
    assert list(shown_again.errors) == ["wood", "height", ""]
    assert shown_again.labels[""] == "The form"


def test_a_form_shown_again_keeps_what_it_carried_but_for_a_token_that_is_lost() -> None:
    first = sent(FORM, EUROS, Given(wood=" odd ", version="7", token="t" * 16), edits=True)
    again = first.refused({"height": A_LENGTH})
    assert (first.version, first.token) == (7, "t" * 16)
    assert (again.texts, again.version, again.token) == (first.texts, 7, first.token)
    assert first.refused({"": "open the form again"}).token != first.token


def test_what_somebody_else_changed_stands_beside_what_was_typed() -> None:
    theirs = shown(FORM, EUROS, {"wood": "ash", "height": Length.from_mm(3), "price": 70}).texts
    stale = filled(price="0.5").overtaken(8, theirs)
    assert stale.version == 8
    assert stale.theirs is not None
    assert [(one.label, one.typed, one.stored) for one in stale.theirs] == [
        ("Wood", "pear", "ash"),
        ("Price", "0.5", "0.70"),
    ]


def test_a_field_is_shown_with_its_unit_and_its_control() -> None:
    views = {name: blank(FORM, Plain(Units.INCH, "JPY")).field(name) for name in FORM.labels}
    assert {name: view.unit for name, view in views.items() if view.unit} == {
        "height": "in",
        "share": "%",
        "price": "JPY",
        "angle": "°",
    }
    assert [view.control for view in views.values()] == [
        "text",
        "length",
        "number",
        "number",
        "text",
        "choice",
        "number",
    ]


@given(
    height=st.integers(1, 10**9).map(Length),
    share=st.integers(0, 1000).map(lambda mille: mille / 1000),
    price=st.integers(0, 10**9) | st.none(),
    units=st.sampled_from(list(Units)),
    currency=st.sampled_from(["EUR", "JPY", "BHD"]),
)
def test_what_is_shown_reads_back_to_the_same_values(
    height: Length, share: float, price: int | None, units: Units, currency: str
) -> None:
    root = {"wood": "pear", "height": height, "share": share, "price": price}
    values = shown(FORM, Plain(units, currency), root).values()
    assert values.errors == {}
    assert {name: values[name] for name in root} == root
