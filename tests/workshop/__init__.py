"""A workshop of the tests' own: sections, prices, suppliers, three projects; the demo may change beside it.

The projects carry the sections and rules that they are planned with, so that they come out alike wherever they
are read.
"""

from __future__ import annotations

from pathlib import Path

WORKSHOP = Path(__file__).parent
SHIPPED = WORKSHOP.parents[1] / "shared" / "demo"
"""The demo workshop that comes with the program."""
