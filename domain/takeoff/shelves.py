"""Shelves that hold: how far each sags under the load that is to stand on it, on the first day and in years.

A shelf lies freely on its ends and carries the load evenly, with its own weight. Wood goes on bending: the Wood
Handbook (chapter 5) has it that the creep of several years may come to the first day's sag, hence the rule
``creep`` of 2. How much is too much is the shop's rule ``sag_limit``: the span by 300, common practice (no
source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.parts import Expansion, Member
from domain.spec.assemblies import Assembly, Carcass
from domain.spec.rules import Rules
from domain.timber.sag import Beam, weight_of
from domain.timber.species import wood_as_said

USUAL_DENSITY = 700.0
"""Of a wood whose density is not known, kg/m³: common practice (no source)."""
POUNDS_A_FOOT = 0.3048 / 0.45359237
"""Pounds a foot in a kilogram a metre, both exact (agreement of 1 July 1959)."""


@dataclass(frozen=True, slots=True)
class ShelfSag:
    """A shelf under its load (kg/m): its sag on the first day and in years, what is allowed, the longest span.

    Lengths in mm. ``wood`` is what it was reckoned as: the least stiff kind that its name can mean.
    """

    mark: str
    name: str
    load: float
    span: Mm
    first_day: Mm
    in_years: Mm
    allowed: Mm
    longest: Mm
    wood: str

    @property
    def holds(self) -> bool:
        """True where it stays within what is allowed for good."""
        return self.in_years <= self.allowed + 1e-9


def shelf_sags(spec: Assembly, expansion: Expansion, rules: Rules) -> tuple[ShelfSag, ...]:
    """Every shelf of a carcass that is to carry something, as far as its wood's stiffness is known."""
    if not isinstance(spec, Carcass) or spec.shelf_load is None:
        return ()
    load = spec.shelf_load
    found = (_sag(member, spec, load, rules) for member in _shelves(expansion))
    return tuple(sag for sag in found if sag is not None)


def notes_on_shelves(
    spec: Assembly, expansion: Expansion, sags: tuple[ShelfSag, ...], rules: Rules
) -> Iterator[Note]:
    """What is said of shelves that are to carry something: the warnings first."""
    if not isinstance(spec, Carcass) or spec.shelf_load is None:
        return
    for sag in sorted(sags, key=lambda each: each.holds):
        code = NoteCode.SHELF_HOLDS if sag.holds else NoteCode.SHELF_SAGS
        yield Note.of(
            code,
            piece_text=f"{sag.mark}, {sag.name}",
            load_n=sag.load,
            pounds_n=round(sag.load * POUNDS_A_FOOT, 1),
            first_fine=sag.first_day,
            years_fine=sag.in_years,
            allowed_fine=sag.allowed,
            share_n=rules.sag_limit,
            wood_text=sag.wood,
            longest=sag.longest,
        )
    known = {sag.mark for sag in sags}
    unknown = ", ".join(f"{shelf.mark} {shelf.name}" for shelf in _shelves(expansion) if shelf.mark not in known)
    if unknown:
        named = spec.material or spec.species
        wood = "no wood is named" if named is None else f"the stiffness of {named} is not known"
        yield Note.of(NoteCode.SHELF_UNKNOWN, pieces_text=unknown, why_text=wood)


def _shelves(expansion: Expansion) -> Iterator[Member]:
    return (member for member in expansion.members if member.name == "shelf")


def _sag(shelf: Member, spec: Carcass, load: float, rules: Rules) -> ShelfSag | None:
    wood = wood_as_said(spec.species, shelf.material)
    if wood is None:
        return None
    kind = wood.least_stiff
    density = USUAL_DENSITY if kind.density is None else kind.density
    own = density * shelf.width * shelf.thickness / 1e6
    weight, beam = weight_of(load + own), Beam(shelf.width, shelf.thickness, kind.stiffness)
    first = beam.sag(weight, shelf.length)
    longest = beam.longest(weight, rules.sag_limit, rules.creep)
    return ShelfSag(
        mark=shelf.mark,
        name=shelf.name,
        load=load,
        span=shelf.length,
        first_day=Mm(first),
        in_years=Mm(rules.creep * first),
        allowed=Mm(shelf.length / rules.sag_limit),
        # a span that holds, in whole millimetres
        longest=Mm(floor(round(longest, 6))),
        wood=wood.said(kind),
    )
