"""The open JSON interface: a project in, its takeoff out. Nothing is stored."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request

from domain.spec.project import Project
from domain.takeoff.document import takeoff_document
from webapp.incoming import Json
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.shop import load_shop
from webapp.usecases.files import plan_document

router = APIRouter(prefix="/api")

_PROJECT = {
    "requestBody": {
        "required": True,
        "content": {"application/json": {"schema": Project.model_json_schema(mode="validation")}},
    }
}
_PROBLEMS: dict[int | str, dict[str, Any]] = {
    422: {"description": "The project cannot be planned; every problem is named."},
    413: {"description": "The project is too large."},
}


@router.post("/takeoff", openapi_extra=_PROJECT, responses=_PROBLEMS)
def takeoff(request: Request, document: Json) -> dict[str, Any]:
    """The takeoff of a project document; sections and rules it lacks are the shop's own."""
    store: Store = request.app.state.store
    with store.reading() as session:
        sections = tuple(stored.section for stored in list_sections(session))
        rules = load_shop(session).rules
    _, planned = plan_document(document, sections, rules)
    return takeoff_document(planned)
