"""What holds the bare middle of a long edge, mortised as the sheets say, in solids of ``manifold3d``.

The largest tenon that a joint's note allows is cut into both of its pieces at the distances that the setting-out
sheet gives, from the edges that it names, into wood that is built by a way of the tests' own
(``test_bodies_in_solids``, ``test_setting_out_in_solids``). Both mortises are one hole through the mating face,
lie in their wood, clear of grooves and of every slot, and no two of them meet.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold

from domain.notes import NoteCode
from domain.parts import Single
from domain.planning.plans import JointPlan
from domain.setting_out.piece_views import piece_views
from domain.setting_out.views import Fastened, View
from domain.space.bodies import bodies, seams
from domain.takeoff.fastened import fastenings
from domain.takeoff.pieces import Piece, pieces
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import Json, carcass
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import ASSEMBLY
from tests.published.test_bodies_in_solids import cut as shaped
from tests.published.test_set_ups_in_solids import SECTIONS
from tests.published.test_setting_out_in_solids import placed, stood
from tests.published.test_slots_in_bodies import off, swept
from webapp.drawings.driven import driven_keys
from webapp.usecases.files import plan_document

KEYS = [SECTIONS[0] | {"reach_limit": 30}]
"""Keys that reach no farther, so that many edges have a bare middle."""
Point = tuple[float, ...]


def planned(spec: Json) -> AssemblyTakeoff:
    project = {"format": "dovetally-project", "version": 1, "name": "Held", "units": "mm", "sections": KEYS}
    return plan_document(project | {"assemblies": [spec]})[1].assemblies[0]


def largest(joint: JointPlan) -> tuple[float, float, float]:
    """How thick, wide and deep the joint's own note lets a tenon be."""
    (note,) = [note for note in joint.notes if note.code is NoteCode.TENON_SIZE]
    said = dict(note.figures)
    thick, wide, deep = (float(said[name]) for name in ("thick", "wide", "deep"))
    return thick, wide, deep


def mortises(view: View, row: Fastened, size: tuple[float, float, float]) -> Iterator[tuple[Manifold, np.ndarray]]:
    """The mortises that the sheet marks, and their middles on the face, in the view."""
    thick, wide, deep = size
    for place in row.places:
        along, centre = view.at(row.start, place), (row.span[0] + row.span[1]) / 2
        x, y = (along, centre) if row.across else (centre, along)
        block = Manifold.cube((wide, thick, deep) if row.across else (thick, wide, deep))
        low = np.array([x - (wide if row.across else thick) / 2, y - (thick if row.across else wide) / 2, -deep])
        yield block.translate(tuple(low)), np.array([x, y, 0.0, 1.0])


def held(piece: Piece, wood: Any, plans: Mapping[str, JointPlan]) -> Iterator[tuple[str, Manifold, Point]]:
    """Every mortise of a piece where the piece stands."""
    for view in piece_views(piece, plans):
        there = placed(wood, view) if view.fastened else np.eye(3, 4)
        for row in view.fastened:
            for solid, middle in mortises(view, row, largest(plans[row.joint])):
                yield row.joint, solid.transform(there.tolist()), tuple(np.round(there @ middle, 3))


def check(spec: Json) -> int:
    """Mortises one assembly in solids; how many of them there were."""
    spec = spec | {"keys": {"middle": "tenons"}}
    takeoff = planned(spec)
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    stand = bodies(ASSEMBLY.validate_python(spec), takeoff.expansion)
    found = {body.piece: body for body in stand}
    seamed = seams(takeoff.expansion, stand)
    slots: dict[Single, list[Manifold]] = defaultdict(list)
    for driven in driven_keys(takeoff, seamed):
        deep = max(
            float(slot.depth)
            for slot in driven.joint.slots
            if slot.entry is driven.entry and abs(slot.centre - off(driven)) < 1e-6
        )
        for spot, sign in ((driven.seam.meeting.first, 1.0), (driven.seam.meeting.second, -1.0)):
            slots[spot.piece].append(swept(driven, deep, sign))
    on_the_sheet: dict[tuple[str, Point], int] = defaultdict(int)
    for piece in pieces(takeoff.expansion):
        body = found[Single(piece.name.mark, piece.name.number - 1)]
        wood, cut = stood(body), shaped(body)
        here = list(held(piece, wood, plans))
        for joint, mortise, middle in here:
            on_the_sheet[joint, middle] += 1
            assert (mortise - cut).volume() < 1e-4 * mortise.volume(), f"{piece.name} {joint}: out of the wood"
            for slot in slots[body.piece]:
                assert (mortise ^ slot).volume() < 1e-6, f"{piece.name} {joint}: in a slot"
        for (one, first, _), (other, second, _) in combinations(here, 2):
            assert (first ^ second).volume() < 1e-6, f"{piece.name}: those of {one} and {other} meet"
    # both pieces' mortises are one hole, and it is where the pictures draw the tenon
    assert set(on_the_sheet.values()) <= {2}
    drawn = {
        (seam.meeting.joint, tuple(np.round(each.middle, 3)))
        for seam in seamed
        for each in fastenings(plans[seam.meeting.joint], seam)
    }
    apart = [
        min(np.abs(np.subtract(at, to)).max() for mark, to in drawn if mark == joint) for joint, at in on_the_sheet
    ]
    assert max(apart, default=0.0) < 2e-3
    assert len(drawn) == len(on_the_sheet)
    return len(on_the_sheet)


def test_random_assemblies_are_held_in_both_their_pieces() -> None:
    found = [check(assorted(seed)) for seed in range(60) if seed % 5 in {2, 3}]
    assert sum(map(bool, found)) > 10
    assert sum(found) > 60


@pytest.mark.parametrize(
    "more",
    [
        {"corner": "mitre", "shelves": [300]},
        {"corner": "top_between", "shelves": [240, 300], "partitions": [280]},
        {"corner": "mitre", "shelves": [{"at": 300, "bay": 1}, {"at": 304, "bay": 2}], "partitions": [280]},
        {"corner": "top_over", "partitions": [{"at": 200, "setback": 15}]},
        {"corner": "top_between", "back": {"fit": "groove", "thickness": 6, "depth": 6, "inset": 60}},
        {"corner": "top_between", "back": {"fit": "groove", "thickness": 6, "depth": 6, "inset": 150}},
    ],
)
def test_a_carcass_by_hand(more: Json) -> None:
    assert check(carcass() | {"depth": 400, "thickness": 18} | more)
