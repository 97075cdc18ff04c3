"""Every list of a document has a bound, and one that is too long is refused before its items are read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from pydantic import BaseModel

from domain.bounds import check_lengths
from domain.cutting.request import CuttingRequest, read_cutting_request
from domain.ordering.request import OrderRequest, read_order_request
from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.spec.project import Project

PROJECT = {"format": "dovetally-project", "version": 1, "name": "x", "assemblies": []}
ORDER = {"format": "dovetally-order-request", "version": 1}
CUTTING = {"format": "dovetally-cutting-request", "version": 1}
SHELVES = {"kind": "carcass", "shelves": [{}] * 5_000}


def unbounded(schema: object, place: str = "") -> Iterator[str]:
    """Places of a schema where a list or an object may be as long as it likes."""
    if isinstance(schema, dict):
        if schema.get("type") == "array" and "maxItems" not in schema:
            yield place
        if schema.get("type") == "object" and not (
            "maxProperties" in schema or not schema["additionalProperties"]
        ):
            yield place
        for name, inner in schema.items():
            yield from unbounded(inner, f"{place}/{name}")
    elif isinstance(schema, list):
        for index, inner in enumerate(schema):
            yield from unbounded(inner, f"{place}/{index}")


@pytest.mark.parametrize("model", [Project, OrderRequest, CuttingRequest])
def test_every_list_that_may_be_sent_has_a_bound(model: type[BaseModel]) -> None:
    assert not list(unbounded(model.model_json_schema()))


Reader = Callable[[object], object]


@pytest.mark.parametrize(
    ("read", "document", "place"),
    [
        (read_project_file, {"assemblies": [0] * 5_001}, "assemblies"),
        (read_project_file, {"sections": [{}] * 61}, "sections"),
        (read_project_file, {"starts": [{}] * 501}, "starts"),
        (read_project_file, {"stock": [{}] * 501}, "stock"),
        (read_project_file, {"parts": {f"A{number}": {} for number in range(5_001)}}, "parts"),
        (read_project_file, {"sections": [{"lengths": [0] * 5_000}]}, "sections[0].lengths"),
        (read_project_file, {"assemblies": [{}, SHELVES]}, "assemblies[1].shelves"),
        (read_order_request, {"suppliers": [{}] * 21}, "suppliers"),
        (read_cutting_request, {"bars": [{"pieces": [{}] * 50_000}]}, "bars[0].pieces"),
    ],
)  # fmt: skip
def test_a_list_too_long_is_all_that_is_said(read: Reader, document: dict[str, Any], place: str) -> None:
    """Its items are bad too, every one of them, and a name is given that is no field."""
    heads: dict[Reader, dict[str, Any]] = {
        read_project_file: PROJECT,
        read_order_request: ORDER,
        read_cutting_request: CUTTING,
    }
    with pytest.raises(BadInput) as refusal:
        read({**heads[read], **document, "nonsense": 1})
    (problem,) = refusal.value.problems
    assert str(problem).startswith(f"{place}: ")
    assert "must have at most" in str(problem)


def test_a_list_as_long_as_it_may_be_is_read() -> None:
    with pytest.raises(BadInput) as refusal:
        read_project_file({**PROJECT, "sections": [{"nonsense": 1}] * 60})
    assert {problem.path[:2] for problem in refusal.value.problems} >= {
        ("sections", number) for number in range(60)
    }


@pytest.mark.parametrize(
    "document", [None, [], "text", 7, {"assemblies": 7}, {"sections": {"a": []}}, {"keys": [[]]}]
)
def test_what_has_another_shape_is_left_to_the_model(document: object) -> None:
    check_lengths(Project, document)
