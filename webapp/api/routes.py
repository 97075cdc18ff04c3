"""The open JSON interface: a project in, its takeoff out; a request in, the order out. Nothing is stored."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, FastAPI, Request
from fastapi.openapi.utils import get_openapi

from domain.ordering.order import order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from domain.spec.project import Project
from domain.takeoff.document import takeoff_document
from webapp.site import urls
from webapp.site.incoming import Json
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.shop import load_shop
from webapp.store.trials import shops_starts
from webapp.usecases.files import plan_document

router = APIRouter()


@router.post(urls.api_takeoff)
def takeoff(request: Request, document: Json) -> dict[str, Any]:
    """The takeoff of a project document; sections, rules and starts it lacks are the shop's own."""
    store: Store = request.app.state.store
    with store.reading() as session:
        sections = tuple(stored.section for stored in list_sections(session))
        rules, starts = load_shop(session).rules, shops_starts(session)
    _, planned = plan_document(document, sections, rules, starts)
    return takeoff_document(planned)


@router.post(urls.api_order)
def order(document: Json) -> dict[str, Any]:
    """The cheapest order for a request."""
    return order_document(plan_order(read_order_request(document)))


def describe(app: FastAPI) -> dict[str, Any]:
    """The interface's description as OpenAPI, the documents' fields and all.

    Made when asked for: an endpoint reads its body itself, so that every problem gets our words, and
    FastAPI cannot know its shape.
    """
    description = get_openapi(title=app.title, version=app.version, routes=app.routes)
    schemas = description["components"] = {"schemas": {}}
    for address, model in ((urls.api_takeoff, Project), (urls.api_order, OrderRequest)):
        schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
        schemas["schemas"] |= {**schema.pop("$defs"), model.__name__: schema}
        description["paths"][address]["post"]["requestBody"] = {
            "required": True,
            "content": {"application/json": {"schema": {"$ref": f"#/components/schemas/{model.__name__}"}}},
        }
    return description
