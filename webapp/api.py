"""The open JSON interface: a project in, its takeoff out. Nothing is stored."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, FastAPI, Request
from fastapi.openapi.utils import get_openapi

from domain.spec.project import Project
from domain.takeoff.document import takeoff_document
from webapp.incoming import Json
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.shop import load_shop
from webapp.store.trials import shops_starts
from webapp.usecases.files import plan_document

router = APIRouter(prefix="/api")


@router.post("/takeoff")
def takeoff(request: Request, document: Json) -> dict[str, Any]:
    """The takeoff of a project document; sections, rules and starts it lacks are the shop's own."""
    store: Store = request.app.state.store
    with store.reading() as session:
        sections = tuple(stored.section for stored in list_sections(session))
        rules, starts = load_shop(session).rules, shops_starts(session)
    _, planned = plan_document(document, sections, rules, starts)
    return takeoff_document(planned)


def describe(app: FastAPI) -> dict[str, Any]:
    """The interface's description as OpenAPI, the project file's fields and all.

    Made when asked for: the endpoint reads its body itself, so that every problem gets our words, and
    FastAPI cannot know its shape.
    """
    description = get_openapi(title=app.title, version=app.version, routes=app.routes)
    project = Project.model_json_schema(ref_template="#/components/schemas/{model}")
    parts = project.pop("$defs")
    description["components"] = {"schemas": {**parts, "Project": project}}
    description["paths"]["/api/takeoff"]["post"]["requestBody"] = {
        "required": True,
        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Project"}}},
    }
    return description
