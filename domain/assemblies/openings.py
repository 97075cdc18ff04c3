"""Sharing a length out among openings, one of which may be "rest"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from domain.lengths import Length
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
        yield Problem(paths[index], "rest", 'only one of a list may be "rest"')
    if rests and fixed >= room:
        yield Problem(paths[rests[0]], "rest", f"nothing is left: {fixed.mm:g} of {room.mm:g} mm is taken")
    elif not rests and fixed != room:
        yield Problem(paths[-1], fixed.mm, f'the openings must add up to {room.mm:g} mm; make one of them "rest"')


def share_out(asked: Asked, room: Length) -> list[Length]:
    """The openings with "rest" worked out; ``check_openings`` has found them good.

    >>> mm = Length.from_mm
    >>> [size.mm for size in share_out([mm(140), "rest"], mm(600))]
    [140.0, 460.0]
    """
    fixed = Length(sum(size.nm for size in asked if isinstance(size, Length)))
    return [size if isinstance(size, Length) else room - fixed for size in asked]
