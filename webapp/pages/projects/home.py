"""The first page: the list of projects. It is kept light, for it is what a start waits for."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.shop import project_heads

router = APIRouter(include_in_schema=False)


@router.get(urls.home)
def home() -> RedirectResponse:
    """On to the projects."""
    return RedirectResponse(urls.projects(), status_code=303)


@dataclass(frozen=True, slots=True)
class ProjectsPage:
    """Every project, and the token of the button that opens the demo."""

    heads: tuple[ProjectHead, ...]
    token: str


@router.get(urls.projects)
def projects(request: Request) -> HTMLResponse:
    """Every project; where there is none, three ways to begin."""
    heads = project_heads(request.app.state.store)
    return render(request, "projects/list.html", ProjectsPage(heads, new_token()))
