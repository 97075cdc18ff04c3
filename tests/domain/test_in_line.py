"""Rows, shelves and partitions in one line: the same as the file's lists, bad values named with their place."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, Units, format_inches, format_mm
from domain.problems import Refused
from domain.reading import read
from domain.spec.assemblies import Carcass, RailedFrame
from domain.spec.in_line import InLine, in_line_text, read_in_line

FRAME = {
    "kind": "railed_frame",
    "mark": "A",
    "width": 613,
    "height": 702,
    "thickness": 21,
    "stile": 44,
    "top_rail": 44,
    "bottom_rail": 58,
    "mid_rail": 37,
    "mid_stile": 37,
}
CARCASS = {
    "kind": "carcass",
    "mark": "A",
    "width": 813,
    "height": 921,
    "depth": 287,
    "thickness": 18,
    "corner": "top_over",
}


def made(kind: InLine, listed: list[Any]) -> Any:
    """What the spec makes of such a list."""
    whole = (RailedFrame, FRAME) if kind in {InLine.ROWS, InLine.COLUMNS} else (Carcass, CARCASS)
    return getattr(read(whole[0], whole[1] | {kind.value: listed}), kind.value)


@pytest.mark.parametrize(
    ("kind", "line", "listed"),
    [
        ("rows", "150, rest", [{"opening": 150}, {"opening": "rest"}]),
        ("rows", "150; rest", [{"opening": 150}, {"opening": "rest"}]),
        ("rows", "150\nRest\n", [{"opening": 150}, {"opening": "rest"}]),
        ("rows", "150,5, rest", [{"opening": 150.5}, {"opening": "rest"}]),
        (
            "rows",
            "150 (200, rest,200), rest (rest; 12,5)",
            [{"opening": 150, "columns": [200, "rest", 200]}, {"opening": "rest", "columns": ["rest", 12.5]}],
        ),
        (
            "rows",
            "6 in, 8, rest",
            [{"opening": 152.4}, {"opening": 203.2}, {"opening": "rest"}],
        ),  # 25.4 mm an inch
        ("rows", "5 7/8, 6", [{"opening": 149.225}, {"opening": 152.4}]),  # a fraction says inches
        ("columns", "200 (rest, 90), rest", [{"opening": 200, "rows": ["rest", 90]}, {"opening": "rest"}]),
        ("shelves", "300, 600", [300, 600]),
        (
            "shelves",
            "300 in bay 2, 600 bay 1 back 20",
            [{"at": 300, "bay": 2}, {"at": 600, "bay": 1, "setback": 20}],
        ),
        (
            "shelves",
            "12 in in bay 2; 30 cm set back 2 cm",
            [{"at": "12 in", "bay": 2}, {"at": 300, "setback": 20}],
        ),
        ("partitions", "270, 541 set back 15", [270, {"at": 541, "setback": 15}]),
        ("partitions", " , ; ", []),
    ],
)
def test_a_line_is_what_the_file_lists(kind: InLine, line: str, listed: list[Any]) -> None:
    assert made(InLine(kind), read_in_line(InLine(kind), line, Units.MM)) == made(InLine(kind), listed)


def test_plain_numbers_are_the_projects() -> None:
    assert read_in_line(InLine.PARTITIONS, "10, 20", Units.INCH) == [Length.from_mm(254), Length.from_mm(508)]


@pytest.mark.parametrize(
    ("kind", "line", "said"),
    [
        ("rows", "150, abc", "row 2: “abc” is neither a length nor “rest”"),
        ("rows", "150, rest (200, x)", "row 2, opening 2: “x” is neither"),
        ("rows", "150 (200, rest", "row 1: “150 (200, rest” does not close its brackets"),
        ("rows", "150) 3", "row 1: “150) 3” does not close"),
        ("rows", "150 ((2))", "row 1: “150 ((2))” does not close"),
        ("rows", "(200, rest)", "row 1: “” is neither"),
        ("shelves", "300,600", "shelf 1: “300,600” may be one length or two; write 300, 600, or 300.600"),
        ("shelves", "300, high", "shelf 2: “high” is not a length; write a length such as"),
        ("shelves", "300 in bay two", "shelf 1: bay “two” must be a whole number"),
        ("shelves", "300, 600 back far", "shelf 2: “far” is not a length"),
        ("partitions", "300 in bay 2", "partition 1: parts the bays"),
        ("shelves", "12 in, 300 mm, 600", "has units of two kinds"),
        ("shelves", "1" * 2001, "must be at most 2000 characters"),
    ],
)
def test_what_is_wrong_is_named_with_its_place(kind: str, line: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        read_in_line(InLine(kind), line, Units.MM)
    assert str(refused.value).startswith(said)


# every length that a form can show: a tenth of a mm, or a 64th of an inch
NM = st.integers(1, 20_000).map(lambda tenths: tenths * 100_000) | st.integers(1, 4_000).map(lambda n: n * 396_875)
SIZES = NM.map(lambda nm: Length(nm).mm)
OPENINGS = st.lists(SIZES, max_size=3).flatmap(
    lambda sizes: st.integers(0, len(sizes)).map(lambda at: [*sizes[:at], "rest", *sizes[at:]])
)


def rows_of(inner: str) -> st.SearchStrategy[list[Any]]:
    one = st.one_of(
        st.fixed_dictionaries({"opening": SIZES | st.just("rest")}),
        st.fixed_dictionaries({"opening": SIZES | st.just("rest"), inner: OPENINGS}),
    )
    return st.lists(one, min_size=1, max_size=4)


SETBACK = st.fixed_dictionaries({"at": SIZES, "setback": SIZES})
LISTS = st.one_of(
    st.tuples(st.just(InLine.ROWS), rows_of("columns")),
    st.tuples(st.just(InLine.COLUMNS), rows_of("rows")),
    st.tuples(st.just(InLine.PARTITIONS), st.lists(SIZES | SETBACK, max_size=4)),
    st.tuples(
        st.just(InLine.SHELVES),
        st.lists(SIZES | SETBACK | st.fixed_dictionaries({"at": SIZES, "bay": st.integers(1, 41)}), max_size=4),
    ),
)


def shown(length: Length, units: Units) -> str:
    """The length as an exact form has it: a plain number of its units, and in mm what is no 64th of an inch."""
    if units is Units.INCH and length.nm % 396_875 == 0:
        return format_inches(length.mm)
    return format_mm(length.mm, 6) + (" mm" if units is Units.INCH else "")


@given(listed=LISTS, units=st.sampled_from(Units))
def test_what_is_shown_reads_back_as_the_same(listed: tuple[InLine, list[Any]], units: Units) -> None:
    kind, items = listed
    wanted = made(kind, items)
    line = in_line_text(kind, wanted, lambda length: shown(length, units))
    assert made(kind, read_in_line(kind, line, units)) == wanted, line


@given(kind=st.sampled_from(InLine), line=st.text(alphabet="0123456789,;() \nrestinbayck½/'\"", max_size=60))
def test_whatever_is_typed_is_a_list_or_a_sentence(kind: InLine, line: str) -> None:
    try:
        listed = read_in_line(kind, line, Units.MM)
    except Refused:
        return
    assert len(listed) <= line.count(",") + line.count(";") + line.count("\n") + 1
