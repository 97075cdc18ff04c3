"""What a request asks of the device that it comes from: declared here by route, and nowhere else.

Whatever is not declared and changes something needs *everything*; so a new route is closed until it is opened.
"""

from __future__ import annotations

import re
from enum import IntEnum

from starlette.routing import compile_path

from webapp.site import urls
from webapp.store.devices import Role

PAIRING_FILES = ("base.css", "form.css", "mark.svg", "pair.js")
"""The static files that the page of pairing is made of."""
ENDING_WORK = (urls.end_job,)
"""Whoever began long work by looking at something may end it: its page has an address that nobody guesses."""
TICKING = (urls.shop_alone, urls.shop_together, urls.shop_ticks_alone, urls.shop_ticks_together)
"""Where pieces are ticked off."""
AT_THE_COMPUTER = (urls.rules, urls.backups, urls.devices)
"""Settings, backups and devices, with all below them: only at the computer itself, to look at them too."""
OF_THE_DEVICE = (urls.look,)
"""What a device keeps of its own: whoever reads may change it."""
READING = frozenset({"GET", "HEAD", "OPTIONS"})


class Need(IntEnum):
    """What a request needs, each more than the one before."""

    NOTHING = 0
    READS = 1
    TICKS = 2
    EVERYTHING = 3
    THE_COMPUTER = 4


GRANTED = {Role.READS: Need.READS, Role.AT_THE_MACHINE: Need.TICKS, Role.EVERYTHING: Need.EVERYTHING}
_TICKING = tuple(compile_path(address)[0] for address in TICKING)
_ENDING_WORK = tuple(compile_path(address)[0] for address in ENDING_WORK)
_FILES = frozenset(urls.static(name) for name in PAIRING_FILES)


def need_of(method: str, path: str) -> Need:
    """What a request needs; ``path`` as the router sees it, decoded."""
    if path == urls.pair or (path in _FILES and method in READING):
        return Need.NOTHING
    if any(path == area or path.startswith(f"{area}/") for area in AT_THE_COMPUTER):
        return Need.THE_COMPUTER
    if method in READING or (method == "POST" and path in OF_THE_DEVICE):
        return Need.READS
    if method == "POST" and any(re.fullmatch(pattern, path) for pattern in _ENDING_WORK):
        return Need.READS
    if any(re.fullmatch(pattern, path) for pattern in _TICKING):
        return Need.TICKS
    return Need.EVERYTHING
