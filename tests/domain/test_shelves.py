"""Shelves under a load: worked by hand from the formula, the wood's figures and the shop's rules."""

from __future__ import annotations

from typing import Any

import pytest

from domain.notes import Note, NoteCode
from domain.takeoff.document import takeoff_document
from domain.takeoff.shelves import ShelfSag
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import EXACT, box, carcass, project, refused, taken_off


def loaded(**more: Any) -> AssemblyTakeoff:
    """764 of shelf between sides of 18, 350 deep, in cherry unless told otherwise: E 10 300, 560 kg/m³."""
    shop = more.pop("rules", {})
    case = carcass(shelves=[400], material="cherry", shelf_load=40) | more
    (assembly,) = taken_off(case, rules=EXACT | shop).assemblies
    return assembly


def told(assembly: AssemblyTakeoff) -> list[Note]:
    codes = {NoteCode.SHELF_SAGS, NoteCode.SHELF_HOLDS, NoteCode.SHELF_UNKNOWN}
    return [note for note in assembly.expansion.notes if note.code in codes]


def only(assembly: AssemblyTakeoff) -> ShelfSag:
    (sag,) = assembly.sags
    return sag


def test_a_shelf_sags_under_its_load_and_its_own_weight() -> None:
    # own 560 · 0.35 · 0.018 = 3.528 kg/m; w = 43.528 · 9.80665 / 1000 = 0.42686 N/mm; I = 350 · 18³ / 12 = 170 100
    # 5 · 0.42686 · 764⁴ / (384 · 10 300 · 170 100) = 1.0808, in years twice that; 764/300 = 2.5467
    sag = only(loaded())
    assert (sag.mark, sag.span, sag.wood) == ("A4", 764, "Cherry, black")
    assert sag.first_day == pytest.approx(1.0808, abs=1e-4)
    assert sag.in_years == pytest.approx(2.1616, abs=2e-4)
    assert sag.allowed == pytest.approx(2.5467, abs=1e-4)
    # (384 · 10 300 · 170 100 / (5 · 0.42686 · 2 · 300))^(1/3) = 806.9
    assert sag.longest == 806
    assert sag.holds


def test_the_species_that_is_told_says_how_stiff_a_shelf_is() -> None:
    # "ash" alone leaves four kinds open, and the least stiff is taken; the Wood Handbook: 12 000 for white ash
    ash, white = only(loaded(material="ash")), only(loaded(material="ash", species="Ash, white"))
    assert (ash.wood, white.wood) == ("Ash, Oregon, of 4 kinds", "Ash, white")
    # own 672 · 0.35 · 0.018 = 4.2336 kg/m; w = 44.2336 · 9.80665 / 1000 = 0.43378
    # 5 · 0.43378 · 764⁴ / (384 · 12 000 · 170 100) = 0.94276
    assert white.first_day == pytest.approx(0.94276, abs=1e-5)
    assert only(loaded(material=None, species="Ash, white")) == white
    # a sheet is what its own name says; a species whose stiffness is not in the table leaves it to the material
    assert only(loaded(material="birch plywood", species="Ash, white")) == only(loaded(material="birch plywood"))
    assert only(loaded(material="cherry", species="Apple")) == only(loaded())


def test_one_that_sags_too_far_is_warned_of_and_one_at_its_longest_holds() -> None:
    # 36 of sides on top of the span
    assert only(loaded(width=842)).holds
    over = loaded(width=844)
    assert not only(over).holds
    (note,) = told(over)
    assert note.code is NoteCode.SHELF_SAGS
    assert "put a partition under it" in note.text()
    (note,) = told(loaded())
    assert note.text().startswith("A4, shelf: under 40 kg a metre (26.9 lb a foot) it sags 1.08 mm at once")


def test_the_shop_says_how_much_is_too_much_and_how_far_wood_creeps() -> None:
    assert not only(loaded(rules={"sag_limit": 400})).holds
    assert not only(loaded(rules={"creep": 2.5})).holds
    sag = only(loaded(rules={"creep": 1, "sag_limit": 144}))
    assert (sag.first_day, sag.allowed) == pytest.approx((sag.in_years, 764 / 144))


def test_every_shelf_is_reckoned_by_its_own_length() -> None:
    assembly = loaded(width=1600, partitions=[500])
    assert {sag.span for sag in assembly.sags} == {482, 1064}
    # the warning comes first
    assert [note.code for note in told(assembly)] == [NoteCode.SHELF_SAGS, NoteCode.SHELF_HOLDS]


def test_a_name_that_several_kinds_share_is_reckoned_as_the_least_stiff() -> None:
    assert only(loaded(material="ash")).wood == "Ash, Oregon, of 4 kinds"
    assert only(loaded(material="birch plywood")).wood == "Plywood, veneer core, Douglas-fir, of 2 kinds"


@pytest.mark.parametrize(
    ("material", "why"), [(None, "no wood is named"), ("wenge", "the stiffness of wenge is not known")]
)
def test_a_wood_that_is_not_known_is_said(material: str | None, why: str) -> None:
    assembly = loaded(material=material)
    assert assembly.sags == ()
    (note,) = told(assembly)
    assert dict(note.figures) == {"pieces_text": "A4 shelf", "why_text": why}


def test_without_a_load_nothing_is_said() -> None:
    assembly = loaded(shelf_load=None)
    assert (assembly.sags, told(assembly)) == ((), [])
    assert "sag" not in takeoff_document(taken_off(box()))["assemblies"][0]


def test_the_document_has_the_figures() -> None:
    document = takeoff_document(taken_off(carcass(shelves=[400], material="cherry", shelf_load=40)))
    assert document["assemblies"][0]["sag"] == [
        {
            "member": "A4",
            "load": 40,
            "first_day": 1.081,
            "in_years": 2.162,
            "allowed": 2.547,
            "longest": 806,
            "holds": True,
            "wood": "Cherry, black",
        }
    ]


@pytest.mark.parametrize("load", [0, -1, 1001, "much", True])
def test_a_load_that_is_none_is_refused(load: object) -> None:
    assert set(refused(project(carcass(shelf_load=load)))) == {"assemblies[0].shelf_load"}
