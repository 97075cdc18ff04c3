"""What is wrong with an input: the place, the value, and what would work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from domain.lengths import Units
from domain.sayings import Code, Figures, worded

Path = tuple[str | int, ...]

MOST_SHOWN = 60
"""Signs of a value that a sentence shows."""


def path_text(path: Path) -> str:
    """A path as people write it.

    >>> path_text(("assemblies", 0, "stock", "width"))
    'assemblies[0].stock.width'
    """
    text = ""
    for step in path:
        name = f"[{step}]" if isinstance(step, int) else _one_line(step)
        text += f".{name}" if text and not isinstance(step, int) else name
    return text or "the file"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong: where (``path``), what was given (``value``), what is allowed (a code with its figures).

    Figures are lengths in mm, ``_n`` plain numbers, ``_text`` words.
    """

    path: Path
    value: object
    code: Code
    figures: Figures = ()

    @classmethod
    def of(cls, path: Path, value: object, code: Code, **figures: float | str) -> Problem:
        """A problem with its figures by name."""
        return cls(path, value, code, tuple(figures.items()))

    def under(self, *prefix: str | int) -> Problem:
        """The same problem, seen from further out."""
        return replace(self, path=(*prefix, *self.path))

    def text(self, units: Units = Units.MM) -> str:
        """What is allowed, in words; lengths in ``units``, with nothing of them rounded away."""
        return worded(self.code, self.figures, units, exact=True)

    def __str__(self) -> str:
        return f"{path_text(self.path)}: {shown(self.value)}: {self.text()}"


def shown(value: object) -> str:
    """A value short enough for one line.

    >>> shown([415, "315 mm"])
    "[415, '315 mm']"
    """
    if not isinstance(value, (list, dict)):
        return _one_line(_whole(value))
    text = ""
    for piece in _pieces(value):  # no more of a long list is written out than is shown
        text += piece
        if len(text) > 2 * MOST_SHOWN:
            break
    return _one_line(text)


def _pieces(value: object) -> Iterator[str]:
    """What ``str`` would write, bit by bit."""
    if isinstance(value, dict):
        yield "{"
        for index, (name, inner) in enumerate(value.items()):
            yield f"{', ' if index else ''}{name!r}: "
            yield from _pieces(inner)
        yield "}"
    elif isinstance(value, list):
        yield "["
        for index, inner in enumerate(value):
            yield ", " if index else ""
            yield from _pieces(inner)
        yield "]"
    else:
        yield _whole(value, inside=True)


def _whole(value: object, *, inside: bool = False) -> str:
    """A plain value written out; inside a list as ``repr`` writes it."""
    try:
        return repr(value) if inside or isinstance(value, str) else str(value)
    except ValueError:  # an integer of thousands of digits
        return f"{type(value).__name__} too large to show"


def _one_line(text: str) -> str:
    """Text from the input, without what would break a line or an encoder; cut short at MOST_SHOWN signs."""
    text = " ".join(text.encode("utf-8", "backslashreplace").decode().split())
    text = "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text)
    return text if len(text) <= MOST_SHOWN else text[: MOST_SHOWN - 3] + "…"


class BadInput(ValueError):
    """An input that cannot be planned; carries every problem found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


class Refused(ValueError):
    """A value that cannot be used, told by whoever does not know its place: a code with its figures."""

    def __init__(self, code: Code, **figures: float | str) -> None:
        self.code = code
        self.figures: Figures = tuple(figures.items())
        super().__init__(worded(code, self.figures, Units.MM, exact=True))

    def at(self, path: Path, value: object) -> Problem:
        """The problem that it is at that place."""
        return Problem(path, value, self.code, self.figures)
