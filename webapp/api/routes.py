"""The open JSON interface: what every command of the terminal does, for programs. Nothing is stored.

A project's sections, rules and starts are its own; those it lacks are the shop's.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, Response
from pydantic import BeforeValidator
from starlette.routing import BaseRoute

from domain.cutting.request import CuttingRequest, read_cutting_request
from domain.machine.document import set_ups_document
from domain.ordering.order import order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from domain.problems import BadInput, Problem, Refused
from domain.spec.project import Project
from domain.takeoff.document import check_document, takeoff_document
from domain.takeoff.takeoff import Takeoff
from webapp.papers.kinds import DocumentKind, LabelChoices, PrintKind, QuotePaper, print_kind
from webapp.site import urls
from webapp.site.incoming import Json
from webapp.usecases.drafts import draft, heading_today, label_size, paper_called
from webapp.usecases.files import is_project, plan_document, plan_several, set_up_sheet_of
from webapp.usecases.json_text import LARGEST_DOCUMENT
from webapp.usecases.lent_quotes import lent_quote, with_lent_terms
from webapp.usecases.shop import lent_by
from webapp.wording.problems import InputProblem

router = APIRouter()

Document = dict[str, Any]
"""What is answered, as it is described."""


def _answer(document: Document) -> Response:
    """The document as JSON, written here in its thread: FastAPI would write it where everybody waits.

    >>> bytes(_answer({"hold": 0.5}).body)
    b'{"hold":0.5}'
    """
    return JSONResponse(document)


class Shop:
    """What the shop lends to a project that lacks it."""

    def __init__(self, request: Request) -> None:
        lent = lent_by(request.app.state.store)
        self.name, self.rules, self.sections, self.starts = lent.shop, lent.rules, lent.sections, lent.starts

    def plan(self, document: object, *, advice: bool = False) -> tuple[Project, Takeoff]:
        """The project of a parsed document and its takeoff. Raises BadInput."""
        return plan_document(document, self.sections, self.rules, self.starts, advice=advice)


@router.post(urls.api_check, response_model=Document)
def check(request: Request, document: Json) -> Response:
    """Which joints of a project cannot be made, and why; whether it is good as a whole."""
    _, takeoff = Shop(request).plan(document)
    return _answer(check_document(takeoff))


@router.post(urls.api_takeoff, response_model=Document)
def takeoff(request: Request, document: Json) -> Response:
    """A project's takeoff: members, panels, joints with their slots and reasons, keys, plugs and glue to buy.

    A joint that cannot be made has changes that make it, one that holds little what a small change would gain.
    """
    _, planned = Shop(request).plan(document, advice=True)
    return _answer(takeoff_document(planned))


@router.post(urls.api_setups, response_model=Document)
def setups(request: Request, document: Json) -> Response:
    """The machine's set-ups of one project, or of a list of projects, in the order of least changing."""
    documents = document if isinstance(document, list) else [document]
    if not 1 <= len(documents) <= MOST_PROJECTS:
        raise BadInput([Problem.of((), len(documents), InputProblem.PROJECTS_AT_ONCE, most_n=MOST_PROJECTS)])
    shop = Shop(request)
    planned = plan_several(documents, shop.plan, lambda number, _: number)
    return _answer(set_ups_document(set_up_sheet_of(planned, shop.rules)))


@router.post(urls.api_order, response_model=Document)
def order(document: Json) -> Response:
    """The packs that cost least for what a request is short of."""
    return _answer(order_document(plan_order(read_order_request(document))))


@router.post(urls.api_cutting, response_model=Document)
def cutting(request: Request, document: Json) -> Response:
    """How bars and sheets are cut at the least cost, and what no plan costs less than.

    Takes a cutting request, or a project: its parts are cut from the stock that it names.
    """
    # the solver is loaded when it is first needed
    from domain.cut_list.of_file import asked_of_project
    from domain.cutting.document import cutting_document
    from webapp.usecases.cutting_plans import asked_document, plan_now

    if not is_project(document):
        return _answer(cutting_document(plan_now(read_cutting_request(document))))
    shop = Shop(request)
    project, planned = shop.plan(document)
    asked = asked_of_project(project, planned, shop.rules)
    return _answer(asked_document(asked, plan_now(asked.request), project))


@router.post(urls.api_quote, response_model=Document)
def quote(request: Request, document: Json) -> Response:
    """What a project is quoted at: materials, work, margin, tax, and the lines that the customer is shown.

    What its `quote` does not say is the shop's usual; prices that are not typed in it are those on offer today.
    """
    from domain.quoting.document import quote_document

    project, planned = Shop(request).plan(document)
    reckoning = lent_quote(request.app.state.store, project, planned)
    return _answer(quote_document(reckoning, project.name, project.customer))


@router.post(urls.api_print, response_class=Response, responses={200: {"content": {"application/pdf": {}}}})
def print_document(
    request: Request,
    document: Json,
    kind: Annotated[PrintKind, BeforeValidator(print_kind), Query(description="The document.")],
    paper: Annotated[Literal["A4", "Letter"], Query(description="The paper.")] = "A4",
    label: Annotated[str, Query(max_length=40, description="A part label's width and height in mm.")] = "63x42",
    address: Annotated[
        str | None, Query(max_length=200, description="What QR codes on labels lead to; the part's mark follows.")
    ] = None,
) -> Response:
    """A project's document as PDF, a draft of the day."""
    shop = Shop(request)
    try:
        width, height = label_size(label)
    except Refused as refusal:
        raise BadInput([refusal.at(("label",), label)]) from None
    project, planned = shop.plan(document, advice=kind is DocumentKind.SCHEDULE)
    if isinstance(kind, QuotePaper):
        project = with_lent_terms(request.app.state.store, project, planned)
    pdf = draft(
        kind,
        project,
        planned,
        heading_today(project, shop.name),
        paper_called(paper),
        LabelChoices(width, height, address),
    )
    return Response(pdf, media_type="application/pdf")


@router.get(urls.api_description, include_in_schema=False)
def description(request: Request) -> Response:
    """The interface's description as OpenAPI."""
    return _answer(describe(router.routes))


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
    for model in (Project, OrderRequest, CuttingRequest):
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
    if address == urls.api_cutting:
        return {"anyOf": [_part("CuttingRequest"), _part("Project")]}
    if address == urls.api_setups:
        several = {"type": "array", "items": _part("Project"), "minItems": 1, "maxItems": MOST_PROJECTS}
        return {"anyOf": [_part("Project"), several]}
    return _part("Project")


def _part(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/schemas/{name}"}


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}
