"""Keys, plugs, fastenings and glue that a project needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.projects import plan_soon
from webapp.wording.bought import BoughtWords, counting_words, fastening_words, glue_words, key_words, plug_words
from webapp.wording.words import notes_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class KeysPage:
    """What the project needs. What it comes to is told in one place, on the page of its costs."""

    head: ProjectHead
    keys: Sequence[BoughtWords]
    plugs: Sequence[BoughtWords]
    fastenings: Sequence[BoughtWords]
    glue: str
    counting: Sequence[str]
    notes: Sequence[str]


@router.get(urls.keys)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """Keys to buy."""
    project = plan_soon(request.app.state.store, project_id)
    totals = project.totals
    return render(
        request,
        "projects/keys_to_buy.html",
        KeysPage(
            head=project.head,
            keys=[key_words(key) for key in totals.keys],
            plugs=[plug_words(plug) for plug in totals.plugs],
            fastenings=[fastening_words(each) for each in totals.fastenings],
            glue=glue_words(totals),
            counting=counting_words(project.rules),
            notes=notes_text(project.notes, project.head.units) if project.assemblies else (),
        ),
        units=project.head.units,
    )
