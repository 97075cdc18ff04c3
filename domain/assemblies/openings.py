"""Sharing a length out among openings, one of which may be "rest"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from domain.lengths import Length
from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem

Asked = Sequence[Length | Literal["rest"]]


def between(total: Length, bar: Length, count: int) -> Length:
    """What is left for ``count`` openings once the bars between them are taken off."""
    return total - bar * (count - 1)


def check_openings(asked: Asked, room: Length, paths: Sequence[Path]) -> Iterator[Problem]:
    """Openings that do not add up to ``room``: each problem under its own path."""
    fixed = Length(sum(size.nm for size in asked if isinstance(size, Length)))
    rests = [index for index, size in enumerate(asked) if not isinstance(size, Length)]
    for index in rests[1:]:
        yield Problem.of(paths[index], "rest", ProblemCode.SECOND_REST)
    if rests and fixed >= room:
        yield Problem.of(paths[rests[0]], "rest", ProblemCode.NOTHING_LEFT, taken_bare=fixed.mm, room=room.mm)
    elif not rests and fixed != room:
        yield Problem.of(paths[-1], fixed.mm, ProblemCode.OPENINGS_ADD_UP, room=room.mm)


def share_out(asked: Asked, room: Length) -> list[Length]:
    """The openings with "rest" worked out; ``check_openings`` has found them good.

    >>> mm = Length.from_mm
    >>> [size.mm for size in share_out([mm(140), "rest"], mm(600))]
    [140.0, 460.0]
    """
    fixed = Length(sum(size.nm for size in asked if isinstance(size, Length)))
    return [size if isinstance(size, Length) else room - fixed for size in asked]
