"""How long the lists of a document may be, looked at before any of their items is read.

A model counts a list's items only as it reads them, and keeps every problem of every one: a list of half a million
items that are none of ours would take most of a minute to refuse. Here every list that a model bounds is counted
first, from the outermost in, and nothing in a list too long is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem

Schema = Mapping[str, Any]


def check_lengths(model: type[BaseModel], document: object) -> None:
    """Raise BadInput for the first list or object of ``document`` that is longer than ``model`` ever takes.

    ``model`` must have a JSON schema: the bounds are read from it. Time is linear in what is within the bounds.
    """
    schema = _schema(model)
    shapes: Mapping[str, Schema] = schema.get("$defs", {})
    waiting: list[tuple[Path, Schema, object]] = [((), schema, document)]
    while waiting:
        path, asked, value = waiting.pop()
        if not isinstance(value, list | dict):
            continue
        shape = [each for each in _ways(asked, shapes) if each.get("type") == _TYPES[type(value)]]
        most = [each.get(_MOST[type(value)]) for each in shape]
        bounds = [bound for bound in most if bound is not None]
        if most and len(bounds) == len(most) and len(value) > max(bounds):
            raise BadInput([Problem.of(path, value, ProblemCode.TOO_MANY_ITEMS, most_n=max(bounds))])
        waiting.extend((path + place, inside, inner) for place, inside, inner in _inside(shape, value))


_TYPES = {list: "array", dict: "object"}
_MOST = {list: "maxItems", dict: "maxProperties"}


@cache
def _schema(model: type[BaseModel]) -> Schema:
    return model.model_json_schema()


def _ways(schema: Schema, shapes: Mapping[str, Schema]) -> Iterator[Schema]:
    """Every shape that a value of this schema may have."""
    if "$ref" in schema:
        yield from _ways(shapes[schema["$ref"].rpartition("/")[2]], shapes)
    for each in (*schema.get("anyOf", ()), *schema.get("oneOf", ())):
        yield from _ways(each, shapes)
    if "type" in schema:
        yield schema


def _inside(
    shapes: list[Schema], value: list[object] | dict[str, object]
) -> Iterator[tuple[Path, Schema, object]]:
    """What the value holds, each with its place and whatever it may be in any of these shapes."""
    if isinstance(value, list):
        items = {"anyOf": [each["items"] for each in shapes if isinstance(each.get("items"), dict)]}
        # a list that no shape bounds holds nothing that is worth a look
        for index, inner in enumerate(value if items["anyOf"] else ()):
            yield (index,), items, inner
        return
    for name in {name for each in shapes for name in each.get("properties", ())} & value.keys():
        yield (
            (name,),
            {"anyOf": [each["properties"][name] for each in shapes if name in each.get("properties", ())]},
            value[name],
        )
    more = [each["additionalProperties"] for each in shapes if isinstance(each.get("additionalProperties"), dict)]
    if more:
        known = {name for each in shapes for name in each.get("properties", ())}
        for name, inner in value.items():
            if name not in known:
                yield (name,), {"anyOf": more}, inner
