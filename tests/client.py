"""The test client, for every test that speaks HTTP without a server."""

from __future__ import annotations

import warnings

from starlette.exceptions import StarletteDeprecationWarning

with warnings.catch_warnings():
    # Starlette would rather have httpx's successor; httpx still serves
    warnings.simplefilter("ignore", StarletteDeprecationWarning)
    from fastapi.testclient import TestClient

__all__ = ["TestClient"]
