"""What the tests of the web application start from."""

from __future__ import annotations

from tests.workshop import WORKSHOP
from webapp.usecases import demo

# its figures are the tests' own: the shop that the program comes with may change
demo.FOLDER = WORKSHOP
