"""The open JSON interface: what every command of the terminal does, for programs. Nothing is stored.

A project's sections, rules and starts are its own; those it lacks are the shop's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib.metadata import version
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, Response
from pydantic import BeforeValidator
from starlette.routing import BaseRoute

from domain.cutting.request import CuttingRequest
from domain.ordering.request import OrderRequest
from domain.problems import BadInput, Problem, Refused
from domain.spec.project import Project
from webapp.papers.kinds import LabelChoices, PrintKind, QuotePaper, print_kind
from webapp.site import urls
from webapp.site.incoming import Json
from webapp.usecases import answers
from webapp.usecases.answers import Document
from webapp.usecases.drafts import label_size, paper_called
from webapp.usecases.json_text import LARGEST_DOCUMENT
from webapp.usecases.lent_quotes import lent_paper, lent_quote
from webapp.usecases.places import MOST_SECONDS, Places
from webapp.usecases.shop import Lent, lent_by
from webapp.wording.problems import InputProblem

router = APIRouter()


def _answer(document: Document) -> Response:
    """The document as JSON, written here in its thread: FastAPI would write it where everybody waits.

    >>> bytes(_answer({"hold": 0.5}).body)
    b'{"hold":0.5}'
    """
    return JSONResponse(document)


def _lent(request: Request) -> Lent:
    """What the shop lends to a project that lacks it."""
    return lent_by(request.app.state.store)


def _work(request: Request, work: Callable[..., Document], *arguments: object, long: bool) -> Response:
    """The document that the work comes to, done in one of the places there are. Raises as they do."""
    places: Places = request.app.state.places
    return _answer(places.do(work, *arguments, long=long))


@router.post(urls.api_check, response_model=Document)
def check(request: Request, document: Json) -> Response:
    """Which joints of a project cannot be made, and why; whether it is good as a whole."""
    long = answers.assemblies_of(document) > answers.MOST_CHECKED
    return _work(request, answers.checked, _lent(request), document, long=long)


@router.post(urls.api_takeoff, response_model=Document)
def takeoff(request: Request, document: Json) -> Response:
    """A project's takeoff: members, panels, joints with their slots and reasons, keys, plugs and glue to buy.

    A joint that cannot be made has changes that make it, one that holds little what a small change would gain.
    """
    long = answers.assemblies_of(document) > answers.MOST_TAKEN_OFF
    return _work(request, answers.taken_off, _lent(request), document, long=long)


@router.post(urls.api_setups, response_model=Document)
def setups(request: Request, document: Json) -> Response:
    """The machine's set-ups of one project, or of a list of projects, in the order of least changing."""
    documents = document if isinstance(document, list) else [document]
    if not 1 <= len(documents) <= MOST_PROJECTS:
        raise BadInput([Problem.of((), len(documents), InputProblem.PROJECTS_AT_ONCE, most_n=MOST_PROJECTS)])
    long = answers.assemblies_of(documents) > answers.MOST_SET_UP
    return _work(request, answers.set_up, _lent(request), documents, long=long)


@router.post(urls.api_order, response_model=Document)
def order(request: Request, document: Json) -> Response:
    """The packs that cost least for what a request is short of."""
    return _work(request, answers.ordered, document, long=answers.packs_of(document) > answers.MOST_PACKS)


@router.post(urls.api_cutting, response_model=Document)
def cutting(request: Request, document: Json) -> Response:
    """How bars and sheets are cut at the least cost, and what no plan costs less than.

    Takes a cutting request, or a project: its parts are cut from the stock that it names.
    """
    return _work(request, answers.cut, _lent(request), document, long=answers.cuts_long(document))


@router.post(urls.api_quote, response_model=Document)
def quote(request: Request, document: Json) -> Response:
    """What a project is quoted at: materials, work, margin, tax, and the lines that the customer is shown.

    What its `quote` does not say is the shop's usual; prices that are not typed in it are those on offer today.
    """
    from domain.quoting.document import quote_document

    def quoted() -> Document:
        project, planned = answers.planned(_lent(request), document)
        reckoning = lent_quote(request.app.state.store, project, planned)
        return quote_document(reckoning, project.name, project.customer)

    return _work(request, quoted, long=False)


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
    try:
        width, height = label_size(label)
    except Refused as refusal:
        raise BadInput([refusal.at(("label",), label)]) from None
    places: Places = request.app.state.places
    lent, size, labels = _lent(request), paper_called(paper), LabelChoices(width, height, address)
    if not isinstance(kind, QuotePaper):
        long = answers.assemblies_of(document) > answers.MOST_PRINTED
        pdf = places.do(answers.printed, lent, document, kind, size, labels, long=long)
        return Response(pdf, media_type="application/pdf")

    def quoted() -> bytes:
        project, planned = answers.planned(lent, document)
        return lent_paper(request.app.state.store, kind, project, planned, size)

    return Response(places.do(quoted, long=False), media_type="application/pdf")


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

Work. Every request has an end. Little is worked out at once; what may take long has few places and, after
{MOST_SECONDS:g} s, an end: 413 then says how to ask for less, 503 with `Retry-After` that all places are taken.
What could not be proven within the work allowed says so in the answer.

Errors. 422: something in the document cannot be used, and every problem is named with its path, its value and
what is allowed. 413: the document is larger than {LARGEST_DOCUMENT // 1_000_000} MB, or its work takes too long.
403, 421: the request came from another site, or went to another address than the program's own. What cannot be
made is no error: the answer says so, and why."""

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
    "413": "The document is too large, or its work takes too long.",
    "421": "The request went to an address that is not the program's own.",
    "422": "Something in the document cannot be used.",
    "503": "All places are taken, or the data is busy; `Retry-After` says when to ask again.",
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
