"""The interface's description as OpenAPI: the documents' fields, their units, and how a refusal looks.

Made when asked for: an endpoint reads its body itself, so that every problem gets our words, and FastAPI
cannot know its shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version
from typing import Any

from fastapi.openapi.utils import get_openapi
from starlette.routing import BaseRoute

from domain.ordering.request import OrderRequest
from domain.spec.project import Project
from webapp.site import urls
from webapp.usecases.json_text import LARGEST_DOCUMENT

MOST_PROJECTS = 40
"""Projects that are set up together in one request."""

ABOUT = f"""Documents in, documents out; nothing is stored.

Units. In: a length is a number of millimetres, or text such as "12.5", "12,5 mm", "3 7/8 in" or 7/8". Out:
lengths are in millimetres, rounded to 0.001, angles in degrees, times in minutes, glue in grams. Money is whole
minor units of the currency (cents), in and out. `hold` is the length of a joint's keys over the length of its
faces along the slot.

Errors. 422: something in the document cannot be used, and every problem is named with its path, its value and
what is allowed. 413: the document is larger than {LARGEST_DOCUMENT // 1_000_000} MB. 403, 421: the request came
from another site, or went to another address than the program's own. What cannot be made is no error: the answer
says so, and why."""

_REFUSAL = {
    "type": "object",
    "required": ["error", "problems"],
    "properties": {
        "error": {"type": "string", "description": "What happened and what would work, in one or two sentences."},
        "problems": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["path", "value", "allowed"],
                "properties": {
                    "path": {"type": "string", "examples": ["assemblies[0].stock.width"]},
                    "value": {"type": "string", "description": "What was given, cut short."},
                    "allowed": {"type": "string", "description": "What would work."},
                },
            },
        },
    },
}
_REFUSALS = {
    "403": "The request came from another site.",
    "413": "The document is too large.",
    "421": "The request went to an address that is not the program's own.",
    "422": "Something in the document cannot be used.",
}


def describe(routes: Sequence[BaseRoute]) -> dict[str, Any]:
    """The description of these routes."""
    description = get_openapi(title="Dovetally", version=version("dovetally"), description=ABOUT, routes=routes)
    schemas: dict[str, Any] = description["components"]["schemas"]
    # FastAPI's own way of refusing, which no answer of ours has
    for theirs in ("HTTPValidationError", "ValidationError"):
        del schemas[theirs]
    schemas["Refusal"] = _REFUSAL
    for model in (Project, OrderRequest):
        schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
        schemas |= {**schema.pop("$defs", {}), model.__name__: schema}
    for address, offered in description["paths"].items():
        operation = offered["post"]
        operation["requestBody"] = {"required": True, "content": _json(_body_of(address))}
        refused = {"content": _json(_part("Refusal"))}
        operation["responses"] |= {status: {"description": told, **refused} for status, told in _REFUSALS.items()}
    return description


def _body_of(address: str) -> dict[str, Any]:
    if address == urls.api_order:
        return _part("OrderRequest")
    if address == urls.api_setups:
        several = {"type": "array", "items": _part("Project"), "minItems": 1, "maxItems": MOST_PROJECTS}
        return {"anyOf": [_part("Project"), several]}
    return _part("Project")


def _part(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/schemas/{name}"}


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}
