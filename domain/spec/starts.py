"""Starts that the shop accepted: projections found on test pieces, which replace the catalogue's.

A start is never taken silently: somebody looked at the trials behind it and said yes on a day.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.catalogue import CutterKind
from domain.spec.fields import Day, Name, Size, Spec


class AcceptedStart(Spec):
    """A section's projection with one of its cutters, as the shop's trials have it.

    ``species`` None holds for every wood that has no start of its own. ``snug`` is the snug projection that
    the trials found and ``projection`` where to start from; both hold for the ``tip_diameter`` of then, and
    move with it when the cutter is ground: p₀ = (D − a) / (2 tan θ). ``trials`` are the trials' numbers.
    """

    section: Name
    cutter: CutterKind = CutterKind.CLOSE
    species: Name | None = None
    snug: Size
    projection: Size
    tip_diameter: Size
    trials: Annotated[
        tuple[Annotated[int, Field(strict=True, ge=1, le=2**31 - 1)], ...], Field(min_length=1, max_length=50)
    ]
    day: Day

    @property
    def trials_text(self) -> str:
        """The trials behind it, in words.

        >>> start = dict(section="14", snug=6.1, projection=6.2, tip_diameter=13.8, day="2026-03-02")
        >>> AcceptedStart(trials=(3,), **start).trials_text, AcceptedStart(trials=(3, 4, 7), **start).trials_text
        ('trial 3', 'trials 3, 4 and 7')
        """
        return numbered_text(self.trials)


Starts = tuple[AcceptedStart, ...]


def starts_in_use(own: Starts | None, own_sections: bool, shops: Starts) -> Starts:
    """The starts that a project is planned with: its own, else the shop's.

    A project with sections of its own takes none of the shop's: its key of that name may be another key.
    """
    if own is not None:
        return own
    return () if own_sections else shops


def numbered_text(numbers: tuple[int, ...]) -> str:
    """Trials by their numbers, in words."""
    *most, last = (str(number) for number in numbers)
    return f"trials {', '.join(most)} and {last}" if most else f"trial {last}"


def check_start(start: AcceptedStart) -> Iterator[Problem]:
    """What cannot be in an accepted start: one that would leave the joint loose."""
    if start.projection < start.snug:
        yield Problem.of(("projection",), start.projection.mm, ProblemCode.START_TOO_LOOSE, snug=start.snug.mm)


def same_wood(one: str | None, other: str | None) -> bool:
    """True where two species, as people write them, are the same: case and spaces do not count.

    >>> same_wood("White  Oak", "white oak"), same_wood("oak", None), same_wood(None, None)
    (True, False, True)
    """
    if one is None or other is None:
        return one is other
    return plain_wood(one) == plain_wood(other)


def plain_wood(name: str) -> str:
    """A wood's name without what does not count: case and spaces.

    >>> plain_wood(" White  Oak")
    'white oak'
    """
    return " ".join(name.split()).casefold()


def in_this_wood(starts: Starts, species: str | None) -> Starts:
    """The starts that hold for a wood, one for a section and cutter.

    A start for that species comes before one for any wood; of equal ones the newest counts, then the last.
    """
    best: dict[tuple[str, CutterKind], tuple[tuple[bool, str], AcceptedStart]] = {}
    for start in starts:
        its_own = start.species is not None
        if its_own and not same_wood(start.species, species):
            continue
        place, rank = (start.section, start.cutter), (its_own, start.day)
        if place not in best or rank >= best[place][0]:
            best[place] = (rank, start)
    return tuple(start for _, start in best.values())
