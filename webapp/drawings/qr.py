"""QR codes (ISO/IEC 18004) as SVG."""

from __future__ import annotations

from io import BytesIO

import segno


def qr_svg(text: str, *, scale: int = 1, light: str | None = None) -> str:
    """A QR code of the text, in black, with its quiet zone; each module ``scale`` wide, on ``light`` if named."""
    out = BytesIO()
    segno.make(text, micro=False, error="m").save(
        out, kind="svg", border=4, scale=scale, light=light, xmldecl=False, svgclass=None, lineclass=None
    )
    return out.getvalue().decode()
