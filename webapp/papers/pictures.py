"""Drawings for paper: the page's own SVG, lettered in the document's own font."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from webapp.drawings.model import LETTER, Anchor, Box, Drawing, TextRole
from webapp.drawings.svg import svg

FAMILY = "DejaVu Sans"
LETTERING = 2.3
"""Height of a drawing's em on paper, in mm."""

WIDEST, WIDEST_BOLD = 0.65, 1.11
"""Room for a letter in em: figures and small words upright; marks bold, up to a W."""
MARKS = {TextRole.MEMBER, TextRole.JOINT}

Json = dict[str, Any]


def picture(drawing: Drawing) -> Json:
    """A drawing with the size (mm) at which its lettering is as tall as the text around it."""
    drawing = _with_room(drawing)
    scale = LETTERING / drawing.em
    return {
        "svg": paper_svg(drawing),
        "width": round(drawing.width * scale, 3),
        "height": round(drawing.height * scale, 3),
        "alt": f"{drawing.name}. {drawing.describes}",
    }


def _with_room(drawing: Drawing) -> Drawing:
    """The drawing with a view that holds its words in the documents' font, which is a wide one."""
    view = drawing.view
    for text in drawing.texts:
        wider = (WIDEST_BOLD if text.role in MARKS else WIDEST) / LETTER
        middle, half = (text.box.left + text.box.right) / 2, (text.box.right - text.box.left) / 2 * wider
        if text.anchor is Anchor.START:
            middle = text.at[0] + half
        elif text.anchor is Anchor.END:
            middle = text.at[0] - half
        view = view.union(Box(middle - half, text.box.low, middle + half, text.box.high))
    return replace(drawing, view=view)


def paper_svg(drawing: Drawing) -> str:
    """The drawing as SVG, whole without a stylesheet."""
    return str(svg(drawing, "drawing", family=FAMILY))
