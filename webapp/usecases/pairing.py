"""The code that pairs a device: short, for minutes, used once, and not to be found by trying.

It is kept in memory alone: it is gone with the program, and a copy of the data has none.
"""

from __future__ import annotations

import hmac
import secrets
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock

from domain.problems import BadInput, Problem
from webapp.store import Store
from webapp.store.devices import Role
from webapp.usecases.devices import add_device
from webapp.wording.problems import InputProblem

LASTS = timedelta(minutes=5)
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Those that are not taken for one another; 32 of them, so that each letter of a code is worth five bits."""
LONG = 8
WRONG_ONES = 5
"""After so many wrong codes, from wherever they came, the code that is shown is dead."""
WINDOW = timedelta(minutes=10)
FROM_ONE_ADDRESS, IN_ALL = 5, 30
"""Wrong codes within a window after which no more are looked at: from one address, and from all together."""
CODE = ("code",)


@dataclass(frozen=True, slots=True)
class Shown:
    """A code that is shown: as it is typed, what the device may do that types it, and until when."""

    code: str
    role: Role
    until: datetime

    @property
    def grouped(self) -> str:
        """The code as it is read out: in two groups."""
        return f"{self.code[: LONG // 2]}-{self.code[LONG // 2 :]}"


class TooManyCodes(BadInput):
    """Wrong codes came so often that none is looked at for a while; ``wait`` says for how long."""

    def __init__(self, text: str, wait: timedelta) -> None:
        self.wait = wait
        minutes = -(-wait // timedelta(minutes=1))
        super().__init__([Problem.of(CODE, text, InputProblem.TOO_MANY_CODES, minutes_n=minutes)])


class Pairing:
    """The one code that may be under way, and the wrong ones that were tried."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._shown: Shown | None = None
        self._wrong = 0
        self._tries: deque[tuple[datetime, str]] = deque()

    def show(self, role: Role, moment: datetime) -> Shown:
        """A new code; one that was shown before is dead with it."""
        with self._lock:
            code = "".join(secrets.choice(LETTERS) for _ in range(LONG))
            self._shown, self._wrong = Shown(code, role, moment + LASTS), 0
            return self._shown

    def shown(self, moment: datetime) -> Shown | None:
        """The code that is shown; None where there is none, or none that holds any more."""
        with self._lock:
            return self._living(moment)

    @contextmanager
    def used(self, typed: str, address: str, moment: datetime) -> Iterator[Role]:
        """What the device may do that typed this code. After the block the code is used up; not if it raises.

        Raises BadInput where the code does not hold, which tells nothing of whether one is under way, and
        TooManyCodes.
        """
        with self._lock:
            self._refuse_too_many(typed, address, moment)
            shown = self._living(moment)
            if shown is None or not hmac.compare_digest(_plain(typed).encode(), shown.code.encode()):
                self._note_wrong(address, moment)
                raise BadInput([Problem.of(CODE, typed, InputProblem.WRONG_CODE)])
            yield shown.role
            self._shown = None

    def _living(self, moment: datetime) -> Shown | None:
        shown = self._shown
        return shown if shown is not None and moment < shown.until else None

    def _note_wrong(self, address: str, moment: datetime) -> None:
        self._tries.append((moment, address))
        self._wrong += 1
        if self._wrong >= WRONG_ONES:
            self._shown = None

    def _refuse_too_many(self, typed: str, address: str, moment: datetime) -> None:
        while self._tries and moment - self._tries[0][0] > WINDOW:
            self._tries.popleft()
        theirs = [at for at, where in self._tries if where == address]
        if len(theirs) >= FROM_ONE_ADDRESS:
            raise TooManyCodes(typed, theirs[0] + WINDOW - moment)
        if len(self._tries) >= IN_ALL:
            raise TooManyCodes(typed, self._tries[0][0] + WINDOW - moment)


def _plain(typed: str) -> str:
    """A code without what sets its groups apart, in capitals."""
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def pair(store: Store, pairing: Pairing, code: str, name: str, address: str) -> str:
    """Pair the device that typed the code, under this name; its secret, which is told this once.

    Raises what ``Pairing.used`` does.
    """
    with pairing.used(code, address, store.moment()) as role:
        return add_device(store, name, role)
