"""How pages look on one device: light or dark, in larger letters, with shortcuts of single letters or without.

It is kept in a cookie of the device and stands in the page's own tag, so nothing flashes and no script is needed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from fastapi import Request

COOKIE = "dovetally_look"
KEPT_FOR = 400 * 24 * 3600
"""Seconds: as long as browsers keep a cookie at most."""


class Scheme(StrEnum):
    """Ink on paper, chalk on slate, or whatever the device is set to."""

    DEVICE = "device"
    LIGHT = "light"
    DARK = "dark"


class Letters(StrEnum):
    """How large letters are, and all that is measured by them."""

    USUAL = "usual"
    LARGE = "large"
    LARGER = "larger"


@dataclass(frozen=True, slots=True)
class Look:
    """How a device shows pages; ``keys`` is False where shortcuts of single letters are switched off."""

    scheme: Scheme = Scheme.DEVICE
    letters: Letters = Letters.USUAL
    keys: bool = True

    @property
    def text(self) -> str:
        """What the cookie holds."""
        return f"{self.scheme}-{self.letters}-{'keys' if self.keys else 'none'}"

    @classmethod
    def of(cls, cookies: Mapping[str, str]) -> Look:
        """The look that a device asks for; what is no look of ours is left as it usually is.

        >>> Look.of({COOKIE: "dark-large-none"})
        Look(scheme=<Scheme.DARK: 'dark'>, letters=<Letters.LARGE: 'large'>, keys=False)
        >>> Look.of({COOKIE: "dark"}) == Look.of({}) == Look()
        True
        """
        scheme, _, rest = cookies.get(COOKIE, "").partition("-")
        letters, _, keys = rest.partition("-")
        if scheme in list(Scheme) and letters in list(Letters) and keys in ("keys", "none"):
            return cls(Scheme(scheme), Letters(letters), keys == "keys")
        return cls()


def look_of(request: Request) -> Look:
    """The look that the request's device asks for."""
    return Look.of(request.cookies)
