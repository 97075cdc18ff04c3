"""A small app with the real guards and handlers, and dummy routes of every kind behind them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from fastapi import APIRouter, FastAPI
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from tests.client import OURS, PORT, TestClient
from webapp.app import create_app
from webapp.site.incoming import Form, Json, RowId

FROM_US = {"Origin": OURS}

dummy = APIRouter()


@dummy.api_route("/dummy/write", methods=["POST", "PUT", "PATCH", "DELETE"])
@dummy.api_route("/api/dummy/write", methods=["POST", "PUT", "PATCH", "DELETE"])
def write() -> dict[str, bool]:
    return {"written": True}


@dummy.post("/dummy/form")
@dummy.post("/import/dummy")
def form(form: Form) -> dict[str, Any]:
    file = form.file("file")
    return {"name": form.text("name"), "file": len(file.file.read()) if file else None}


@dummy.post("/api/dummy/json")
def read(sent: Json) -> Any:
    return sent


class Model(BaseModel):
    name: str
    width: float


@dummy.post("/api/dummy/model")
def model(sent: Model) -> str:
    return sent.name


@dummy.get("/dummy/rows/{row_id}")
def row(row_id: RowId) -> int:
    return row_id


@dummy.get("/dummy/fail/{status}")
@dummy.get("/api/dummy/fail/{status}")
def fail(status: int) -> None:
    raise HTTPException(status)


@dummy.get("/dummy/crash")
@dummy.get("/api/dummy/crash")
def crash() -> None:
    raise RuntimeError("secret detail")


@dummy.get("/dummy/bad")
@dummy.get("/api/dummy/bad")
def bad() -> None:
    raise BadInput(
        [
            Problem.of(
                ("assemblies", 0, "width"), "<wide>", ProblemCode.AS_TOLD, told_text="write a length such as 400"
            )
        ]
    )


@pytest.fixture(scope="session")
def app() -> FastAPI:
    app = create_app(None, port=PORT)  # type: ignore[arg-type]  # no route here reads the store
    app.include_router(dummy)
    return app


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url=OURS) as client:
        yield client


Raise = Callable[[Exception], str]


@pytest.fixture
def raising() -> Iterator[tuple[TestClient, Raise]]:
    """A client and a function that makes ``/raise`` fail with the given exception."""
    app = create_app(None, port=PORT)  # type: ignore[arg-type]
    chosen: list[Exception] = []

    @app.get("/raise")
    @app.get("/api/raise")
    def fail() -> None:
        raise chosen[-1]

    def set_exception(error: Exception) -> str:
        chosen.append(error)
        return "/raise"

    with TestClient(app, base_url=OURS) as client:
        yield client, set_exception
