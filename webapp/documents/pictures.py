"""Drawings for paper: the page's own SVG, lettered in the document's own font."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from webapp.drawings.model import Drawing

TEMPLATES = Path(__file__).parents[2] / "templates"
FAMILY = "DejaVu Sans"
LETTERING = 2.3
"""Height of a drawing's em on paper, in mm."""

Json = dict[str, Any]


def picture(drawing: Drawing) -> Json:
    """A drawing with the size (mm) at which its lettering is as tall as the text around it."""
    scale = LETTERING / drawing.em
    return {
        "svg": paper_svg(drawing),
        "width": round(drawing.width * scale, 3),
        "height": round(drawing.height * scale, 3),
        "alt": f"{drawing.name}. {drawing.describes}",
    }


def paper_svg(drawing: Drawing) -> str:
    """The drawing as SVG, whole without a stylesheet."""
    macros: Any = _environment().get_template("drawings/_drawing.svg.html").module
    return str(macros.svg(drawing, "drawing", family=FAMILY))


@cache
def _environment() -> Environment:
    # the web's own environment would bring the web server's libraries into the command line
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
