"""What happens beside the page under test: the same form sent from another window, a project brought in."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode, urlsplit

from playwright.sync_api import APIResponse, Page

_FORM_DATA = """form => [...new FormData(form)].filter(([, value]) => typeof value === 'string')"""


def send_form(page: Page, selector: str, **changes: str) -> APIResponse:
    """Send the page's form as it stands, with some fields changed, as another window would."""
    form = page.locator(selector)
    changes = {"token": new_token(page), **changes}
    fields = [(name, changes.get(name, value)) for name, value in form.evaluate(_FORM_DATA)]
    return post(page, str(form.evaluate("form => form.action")), fields)


def post(page: Page, address: str, fields: Any) -> APIResponse:
    """Send a plain form to ``address``, as the program's own page would."""
    parts = urlsplit(address)
    headers = {
        "Origin": f"{parts.scheme}://{parts.netloc}",
        "Content-Type": "application/x-www-form-urlencoded",
    }
    answer = page.request.post(address, data=urlencode(fields), headers=headers, max_redirects=0)
    assert answer.status < 400, f"{address}: {answer.status}: {answer.text()[-2000:]}"
    return answer


def bring_in(page: Page, server: str, *assemblies: Mapping[str, Any], **fields: Any) -> int:
    """Create a project of these assemblies by importing its file; its number."""
    project = {"format": "dovetally-project", "version": 1, "name": "Brought in", "assemblies": assemblies}
    document = json.dumps({**project, **fields})
    answer = post(page, f"{server}/import/confirm", {"token": new_token(page), "document": document})
    return int(answer.headers["location"].rsplit("/", 1)[-1])


def new_token(page: Page) -> str:
    """A token such as every new form carries."""
    return str(page.evaluate("crypto.randomUUID()"))
