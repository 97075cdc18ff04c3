"""The files for the browser: our style, our small script, htmx."""

from __future__ import annotations

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from webapp.site.rendering import static_url
from webapp.site.urls import static


class VersionedFiles(StaticFiles):
    """Static files; an address with the mark of the file's content may be kept for a year."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file; without the right mark it is asked for again every time."""
        response = await super().get_response(path, scope)
        asked = f"{static(path)}?{scope['query_string'].decode('latin-1')}"
        current = response.status_code == 200 and asked == static_url(path)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if current else "no-cache"
        return response
