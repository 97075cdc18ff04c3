"""The glossary: a slot and a key drawn, and every word of the joint explained."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.drawings.model import Drawing
from webapp.drawings.terms import draw_face_terms, draw_key_terms
from webapp.site import urls
from webapp.site.rendering import render

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class GlossaryPage:
    """The drawings that mark what the words mean; the words themselves every template knows."""

    pictures: tuple[Drawing, ...]


@router.get(urls.glossary)
def show(request: Request) -> HTMLResponse:
    """The glossary."""
    return render(request, "shop/glossary.html", GlossaryPage((draw_face_terms(), draw_key_terms())))
