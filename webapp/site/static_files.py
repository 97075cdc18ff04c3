"""The files for the browser: our style, our scripts, htmx."""

from __future__ import annotations

import mimetypes

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from webapp.site.rendering import static_url
from webapp.site.urls import static

# Windows may call a script plain text, by whatever was installed on it; a browser runs no such module.
mimetypes.add_type("text/javascript", ".js")


class VersionedFiles(StaticFiles):
    """Static files; an address with the mark of the file's content may be kept for a year.

    A module that another one imports is asked for without a mark: it is kept, and asked after every time.
    """

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file; without the right mark it is asked for again every time."""
        response = await super().get_response(path, scope)
        asked = f"{static(path)}?{scope['query_string'].decode('latin-1')}"
        current = response.status_code == 200 and asked == static_url(path)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if current else "no-cache"
        return response
