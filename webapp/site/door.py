"""The door to other devices, opened and closed while the program runs.

The program is started anew behind it, in the same process: another address cannot be listened to beside one that
holds it already. Whoever holds the server says how to stop it; what is decided is done once it has stopped.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Timer

SECONDS_FOR_THE_PAGE = 1.0
"""Until the program stops: the page that says so fetches its style and script before."""


@dataclass(slots=True)
class Door:
    """Whether other devices are let in, and what was decided about that since the server was started."""

    open: bool
    refused: str = ""
    """Why the door could not be opened the last time, as a sentence; "" where nothing was in the way."""
    decided: bool | None = None
    """Open (True) or closed (False) from the next start on; None where nothing was decided."""
    _stop: Callable[[], None] | None = field(default=None, repr=False)

    def kept_by(self, stop: Callable[[], None]) -> None:
        """Who serves now, and how that is asked to stop once its answers are given."""
        self._stop, self.decided = stop, None

    def turn(self, opens: bool) -> bool:
        """Open or close the door; whether that starts the program anew: False where it stands so already."""
        if opens is self.open or self._stop is None:
            return False
        self.decided, self.refused = opens, ""
        soon = Timer(SECONDS_FOR_THE_PAGE, self._stop)
        soon.daemon = True
        soon.start()
        return True

    def turned(self, opens: bool, refused: str = "") -> None:
        """What came of it."""
        self.open, self.refused = opens, refused
