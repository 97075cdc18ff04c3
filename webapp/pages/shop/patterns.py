"""Everything that has a style, once: the page to look at for whoever changes a style. Nothing leads to it."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from webapp.drawings.measured_key import draw_whole_key
from webapp.drawings.model import Drawing
from webapp.form.differences import Difference
from webapp.form.fields import Field, Plain, SimpleForm, Sort, form_of, joined
from webapp.form.filled import Filled
from webapp.site import urls
from webapp.site.rendering import render
from webapp.usecases.demo import demo_catalogue

router = APIRouter(include_in_schema=False)

_WOODS = (("ash", "Ash"), ("elm", "Elm"))
_PLAIN = Plain(Units.MM, "EUR")


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """A form as it is shown first, the same refused and overtaken, and a drawing."""

    sound: Filled
    refused: Filled
    drawing: Drawing


@router.get(urls.patterns)
def show(request: Request) -> HTMLResponse:
    """The page."""
    return render(
        request,
        "shop/patterns.html",
        PatternsPage(
            sound=Filled(_form("sound"), _PLAIN, {}, version=1),
            refused=_refused(_form("refused")),
            drawing=draw_whole_key(demo_catalogue()[0], Units.MM),
        ),
    )


def _form(lead: str) -> SimpleForm:
    """One field of each kind; ``lead`` keeps the names of two forms on one page apart."""
    return form_of(
        Field(joined(lead, "text"), "Text", Sort.TEXT, hint="A hint to a text."),
        Field(joined(lead, "length"), "Length", hint="A hint to a length."),
        Field(joined(lead, "count"), "Count", Sort.COUNT, required=False, unit="pcs", hint="A hint to a count."),
        Field(joined(lead, "choice"), "Choice", Sort.CHOICE, options=_WOODS, hint="A hint to a choice."),
        Field(joined(lead, "lines"), "Lines", Sort.TEXT, required=False, lines=3, hint="A hint to lines."),
        Field(joined(lead, "tiles"), "Tiles", Sort.CHOICE, options=_WOODS, tiles=True, hint="A hint to tiles."),
    )


def _refused(form: SimpleForm) -> Filled:
    return Filled(
        form,
        _PLAIN,
        dict.fromkeys(form.labels, "as typed"),
        version=1,
        errors={name: f"this is what is wrong with {label.lower()}" for name, label in form.labels.items()},
        theirs=(Difference("Text", "as typed", "as stored"),),
    )
