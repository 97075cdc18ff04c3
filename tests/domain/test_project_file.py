"""Reading a project file: whatever comes in, it is a project or a list of named problems, never a crash."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.project_file import read_project_file
from domain.reading import MOST_PROBLEMS
from tests.domain.builders import KEY, box, carcass, frame, polygon, project, railed, single
from tests.workshop import WORKSHOP

DEMOS = [
    json.loads((WORKSHOP / name).read_text(encoding="utf-8"))
    for name in sorted(json.loads((WORKSHOP / "shop.json").read_text(encoding="utf-8"))["projects"])
]
GOOD = [
    *DEMOS,
    project(
        frame(keys={"section": "12", "plug": {"material": "oak", "height": 3}}, joints={"A-J1": {"count": 1}}),
        polygon(7, 500, mark="B"),
        railed(
            mark="C",
            mid_rail=38,
            mid_stile=38,
            rows=[{"opening": 140, "columns": [200, "rest"]}, {"opening": "rest"}],
        ),
        box(
            mark="D",
            top={"fit": "over", "material": "ash", "thickness": 5},
            lid={"height": 30, "kerf": 2, "lip": 6},
            veneer=0.6,
        ),
        carcass(mark="E", shelves=[300, 600], partitions=[400], plinth="3 1/8 in"),
        single(mark="F", angle=45, entry="both", quantity=3),
        sections=[KEY],
        rules={"wall": "1/16", "change_minutes": {"cutter": 7}},
        customer="Somebody",
        units="in",
        currency="EUR",
        keys={"recess": 1},
    ),
]

scalars = (
    st.none()
    | st.booleans()
    | st.integers(-(10**6), 10**6)
    | st.integers()
    | st.floats()
    | st.text(st.characters(categories=None), max_size=12)
    | st.sampled_from(
        ["rest", "7/8", "1/0", "12 mm", "-1", "both", "box", "mitre", "groove", 10**400, 1e308, "A", ""]
    )
)
any_json = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


def problems_of(data: object) -> tuple[Problem, ...]:
    """The problems of a refusal; none where the file is good. Any other exception gets through."""
    try:
        read_project_file(data)
    except BadInput as refusal:
        return refusal.problems or (Problem((), data, ProblemCode.MISSING),)
    return ()


def assert_read_or_refused(data: object) -> None:
    for problem in problems_of(data):
        line = str(problem)
        assert line.splitlines() == [line]
        assert line.encode("utf-8")
        assert problem.text()


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path to everything inside."""
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    found = [path] if path else []
    for step, value in inside:
        found += places(value, (*path, step))
    return found


@st.composite
def mutated(draw: st.DrawFn) -> Any:
    """A good project with a few of its values replaced, removed, doubled, or joined by strange ones."""
    data = copy.deepcopy(draw(st.sampled_from(GOOD)))
    for _ in range(draw(st.integers(1, 3))):
        *way, last = draw(st.sampled_from(places(data) or [("name",)]))
        holder = data
        for step in way:
            holder = holder[step]
        match draw(st.sampled_from(["replace", "remove", "add", "borrow"])):
            case "replace":
                holder[last] = draw(any_json)
            case "remove":
                del holder[last]
            case "add" if isinstance(holder, dict):
                holder[draw(st.text(st.characters(categories=None), max_size=8))] = draw(any_json)
            case "add":
                holder.append(draw(any_json))
            case "borrow":
                other = draw(st.sampled_from(GOOD))
                for step in draw(st.sampled_from(places(other))):
                    other = other[step]
                holder[last] = copy.deepcopy(other)
    return data


@given(any_json)
def test_anything_at_all_is_read_or_refused(data: object) -> None:
    assert_read_or_refused(data)


@given(st.dictionaries(st.sampled_from(["name", "units", "assemblies", "sections", "rules", "keys"]), any_json))
def test_any_fields_under_the_right_format_are_read_or_refused(fields: dict[str, Any]) -> None:
    assert_read_or_refused(project() | fields)


@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(mutated())
def test_a_good_project_spoilt_here_and_there_is_read_or_refused(data: Any) -> None:
    assert_read_or_refused(data)


@pytest.mark.parametrize("depth", [50, 400])
def test_nesting_without_end_is_refused(depth: int) -> None:
    nested: Any = []
    for _ in range(depth):
        nested = [nested]
    assert_read_or_refused(project(name=nested))
    assert_read_or_refused(nested)


@pytest.mark.parametrize("data", GOOD, ids=lambda data: data["name"])
def test_a_project_written_out_reads_back_the_same(data: Any) -> None:
    spec = read_project_file(copy.deepcopy(data))
    written = json.loads(json.dumps(spec.model_dump(mode="json", exclude_unset=True)))
    assert read_project_file(written) == spec
    whole = json.loads(spec.model_dump_json(exclude_none=True))
    assert read_project_file(whole).model_dump() == spec.model_dump()


def test_reading_does_not_change_what_was_given() -> None:
    for data in GOOD:
        before = copy.deepcopy(data)
        read_project_file(data)
        assert data == before


def test_whole_numbers_are_written_whole_and_tenths_as_tenths() -> None:
    spec = read_project_file(project(frame(width="400 mm", height=300.1)))
    written = spec.model_dump(mode="json")["assemblies"][0]
    assert (repr(written["width"]), repr(written["height"])) == ("400", "300.1")


def test_more_assemblies_than_any_project_has_are_refused_before_one_is_read() -> None:
    with pytest.raises(BadInput) as refused:
        read_project_file({"format": "dovetally-project", "name": "Many", "assemblies": [{"kind": "box"}] * 5001})
    assert [(problem.path, problem.code) for problem in refused.value.problems] == [
        (("assemblies",), ProblemCode.TOO_MANY_ITEMS)
    ]


def test_no_more_problems_are_told_than_anybody_mends() -> None:
    fields = {f"field {number}": 0 for number in range(5_000)}
    with pytest.raises(BadInput) as refused:
        read_project_file({"format": "dovetally-project", "name": "Odd", **fields})
    assert len(refused.value.problems) == MOST_PROBLEMS
