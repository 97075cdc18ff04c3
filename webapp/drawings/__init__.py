"""Drawings to scale: what the domain worked out, as shapes in millimetres with a role each.

Pure functions from domain values to a frozen ``Drawing``; the one template that writes SVG is
``templates/drawings/_drawing.svg.html``. Page and paper share both.
"""
