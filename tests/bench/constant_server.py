"""The least that this stack can do: FastAPI and Jinja2 rendering a page from a constant.

Run as ``python -m tests.bench.constant_server PORT FOLDER``; ``/NAME`` answers with the bytes of FOLDER/NAME.
"""

from __future__ import annotations

import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from jinja2 import Environment


def constant_app(folder: Path) -> FastAPI:
    """Every file of the folder as a page, each rendered by Jinja2 from the constant that it is."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    template = Environment(autoescape=True).from_string("{{ body | safe }}")
    constants = {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir()}

    @app.get("/{name}")
    def page(name: str) -> HTMLResponse:
        return HTMLResponse(template.render(body=constants[name]))

    return app


if __name__ == "__main__":
    uvicorn.run(constant_app(Path(sys.argv[2])), port=int(sys.argv[1]), log_level="warning")
