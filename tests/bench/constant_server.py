"""The least that a page can cost: Jinja2 rendering it from a constant, on the bare stack or behind our door.

Run as ``python -m tests.bench.constant_server bare|door PORT FOLDER``; ``/constant/NUMBER/NAME`` answers with the
bytes of FOLDER/NAME. Behind the door the route is one like ours: guarded, its number and its form read.
"""

from __future__ import annotations

import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from jinja2 import Environment

from webapp.app import create_app
from webapp.site.incoming import Form, RowId
from webapp.site.settings import FILE_NAME
from webapp.store import Store


class Constants:
    """Every file of the folder as a page, each rendered by Jinja2 from the constant that it is."""

    def __init__(self, folder: Path) -> None:
        self._template = Environment(autoescape=True).from_string("{{ body | safe }}")
        self._bodies = {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir()}

    def page(self, name: str) -> HTMLResponse:
        """The page of that name."""
        return HTMLResponse(self._template.render(body=self._bodies[name]))


def bare_app(constants: Constants) -> FastAPI:
    """Routes and nothing else; what is sent is not read."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)

    @app.api_route("/constant/{number}/{name}", methods=["GET", "POST"])
    def page(number: int, name: str) -> HTMLResponse:
        return constants.page(name)

    return app


def door_app(constants: Constants, port: int, folder: Path) -> FastAPI:
    """The application itself over an empty shop, with these pages beside its own."""
    app = create_app(Store.open(folder / FILE_NAME), port=port)

    @app.get("/constant/{number}/{name}")
    def page(number: RowId, name: str) -> HTMLResponse:
        return constants.page(name)

    @app.post("/constant/{number}/{name}")
    def preview(number: RowId, name: str, sent: Form) -> HTMLResponse:
        return constants.page(name)

    return app


def _main(which: str, port: int, folder: Path) -> None:
    constants = Constants(folder)
    empty = folder.with_name("empty shop")
    empty.mkdir(exist_ok=True)
    app = bare_app(constants) if which == "bare" else door_app(constants, port, empty)
    uvicorn.run(app, port=port, log_level="warning")


if __name__ == "__main__":
    _main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]))
