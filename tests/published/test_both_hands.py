"""Left and right hand: every mark replayed on pieces that are really turned and laid down.

Nothing here knows the program's rule of hands. Members stand in space as the elevation shows them (read
with shapely); a piece is taken to the machine by a rotation, never by a mirror, as hands can do it; the
machine mills where fence and stop say; the slot goes back with the piece. The two slots of a joint must then be
one: the same place on the joint line, the same round end's top.

Space: x to the right and y upwards in the elevation, z towards whoever looks at it. Machine: X to the right of
whoever stands before it, Y away from him, Z up from the table; the cutter's axis at X = 0.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import sqrt
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
import shapely

from domain.assemblies.expand import expand
from domain.machine.hands import Lie
from domain.machine.set_ups import Batch, Source, set_up_works
from domain.parts import Expansion, Joint, JointLine
from domain.planning.set_up import SetUp
from domain.project_file import read_project_file
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.choices import NO_CHOICES, Entry
from domain.spec.rules import Rules
from domain.takeoff.build import gather, take_off, take_off_assembly
from domain.takeoff.pieces import Hand
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import carcass, demo_sections, frame, polygon, read, single
from tests.published import trade
from tests.published.replay import Readings, SlotPlace, replay
from tests.workshop import WORKSHOP

Vector = npt.NDArray[np.float64]
CLOSE = 1e-6
SEEN = {
    # by view: what lies towards the eye, as an edge that keys enter by, and away from it
    "front": (Entry.FRONT, Entry.BACK),
    "plan": (Entry.TOP, Entry.BOTTOM),
}


def vector(x: float, y: float, z: float = 0.0) -> Vector:
    return np.array([x, y, z])


@dataclass(frozen=True)
class Standing:
    """A member at a joint, in space: the joint line's ``start`` at the entry edge, and three directions.

    ``into`` its wood, ``along`` the joint line from tip or reference edge, ``up`` from the edge that is entered.
    """

    start: Vector
    into: Vector
    along: Vector
    up: Vector

    @property
    def datum_left(self) -> bool:
        """Laid with the entry edge down and the mating face away: whether the datum comes to lie to the left."""
        to_machine = self.turned()
        assert np.linalg.det(to_machine) == pytest.approx(1), "a piece can be turned, not mirrored"
        return bool((to_machine @ self.along)[0] > 0)

    def turned(self) -> Vector:
        """The rotation that lays the piece down: its wood towards him, up from the entry edge up."""
        away = -self.into
        return np.stack([np.cross(away, self.up), away, self.up])


@dataclass(frozen=True)
class Milled:
    """What the machine has milled, back in space: the slot's foot at the entry edge, the round end's top."""

    foot: Vector
    top: Vector


def slots_of(standing: Standing, lie: Lie, readings: Readings, breadth: float) -> Milled:
    """Lay the piece against the fence of this hand and mill: fence and stop are all that is read.

    The end of the joint line that comes to the fence's side is what touches it, whichever it is.
    """
    turn = standing.turned()
    left = lie.hand is Hand.LEFT
    touches = 0.0 if standing.datum_left == left else breadth
    fence = vector(-readings.fence_reading if left else readings.fence_reading, 0.0)
    start = fence - touches * (turn @ standing.along)
    scale, tip = readings.scale_tip_diameter, readings.tip_diameter
    # the carriage stops so that the cutter's centre is the reading less half the scale's cutter above the table
    centre = readings.depth_stop - (tip if scale is None else scale) / 2
    foot, top = vector(0, 0), vector(0, 0, centre + tip / 2)
    return Milled(standing.start + turn.T @ (foot - start), standing.start + turn.T @ (top - start))


def standings(expansion: Expansion, joint: Joint, line: JointLine, entry: Entry) -> dict[int, Standing]:
    """The two members (0 and 1) at one place of the elevation, entered from ``entry``; {} where it is not seen."""
    near, far = SEEN[expansion.elevation.view]
    (x0, y0), (x1, y1) = line.start, line.end
    length = sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2)
    if entry not in {near, far} or abs(length - joint.face.breadth) > CLOSE:
        return {}
    along = vector((x1 - x0) / length, (y1 - y0) / length)
    up = vector(0, 0, 1 if entry is far else -1)
    height = joint.face.run if entry is near else 0.0
    found: dict[int, Any] = {}
    for index in (0, 1):
        for normal in (vector(along[1], -along[0]), vector(-along[1], along[0])):
            at = shapely.Point((x0 + x1) / 2 + normal[0] / 100, (y0 + y1) / 2 + normal[1] / 100)
            marks = {one.mark for one in expansion.elevation.members if shapely.Polygon(one.points).contains(at)}
            taken = [standing.into.tolist() for standing in found.values()]
            if joint.members[index] in marks and normal.tolist() not in taken:
                found[index] = Standing(vector(x0, y0, height), normal, along, up)
                break
    return found


def readings_of(set_up: SetUp, rules: Rules) -> Readings:
    scale = rules.scale_tip_diameter
    return Readings(
        set_up.fence_reading, set_up.depth_stop, set_up.tip_diameter, None if scale is None else scale.mm
    )


def pieces_of(assembly: AssemblyTakeoff, rules: Rules) -> Iterator[tuple[SetUp, Batch]]:
    source = Source("1", gather("Test", (assembly,), rules), rules)
    for work in set_up_works([source]):
        for piece in work.batches:
            yield work.set_up, piece


def check_assembly(assembly: AssemblyTakeoff, rules: Rules, spoil: Callable[[Lie], Lie] = lambda lie: lie) -> int:
    """Replay every mark at every place of the elevation; returns how many pairs of slots met.

    ``spoil`` changes the second member's marks: the check is then expected to fail.
    """
    expansion, met = assembly.expansion, 0
    laid: dict[tuple[str, SetUp, bool], list[Batch]] = {}
    for set_up, piece in pieces_of(assembly, rules):
        laid.setdefault((piece.joint, set_up, piece.turned), []).append(piece)
    for (mark, set_up, _), pieces in laid.items():
        (plan,) = [one for one in assembly.joints if one.joint.mark == mark]
        used: Counter[str] = Counter()
        for line in (one for one in expansion.elevation.joints if one.mark == mark):
            met += check_place(expansion, plan.joint, line, set_up, pieces, rules, used, spoil)
        # as many of each hand as were counted, so that the two heaps of pieces come out even
        if used:
            counted = {piece.key: piece.quantity for piece in pieces}
            assert {key: number * expansion.quantity for key, number in used.items()} == counted
    return met


def check_place(
    expansion: Expansion,
    joint: Joint,
    line: JointLine,
    set_up: SetUp,
    pieces: list[Batch],
    rules: Rules,
    used: Counter[str],
    spoil: Callable[[Lie], Lie],
) -> int:
    """One joint at one place: for both members the piece whose mark fits them is found, laid down and milled."""
    readings, met = readings_of(set_up, rules), 0
    for number, entry in enumerate(pieces[0].entries):
        milled = []
        for index, standing in standings(expansion, joint, line, entry).items():
            (piece,) = [one for one in pieces if is_of(one, joint, index, number, standing)]
            lie = piece.lies[number]
            assert lie.entry is entry
            milled.append(slots_of(standing, spoil(lie) if index else lie, readings, joint.face.breadth))
            used[piece.key] += number == 0
        if milled:
            first, second = milled
            assert np.abs(first.foot - second.foot).max() < CLOSE
            assert np.abs(first.top - second.top).max() < CLOSE
            met += 1
    return met


def is_of(piece: Batch, joint: Joint, index: int, number: int, standing: Standing) -> bool:
    """Whether a piece is the one in hand: the member's mark, and the hand that it has by its shape alone."""
    if piece.member.mark != joint.members[index] or piece.meets != joint.members[1 - index]:
        return False
    # turned, the edge across from its reference edge is at the fence
    return (piece.lies[number].hand is Hand.LEFT) == (standing.datum_left != piece.turned)


def demo_assemblies(rules: Rules) -> Iterator[AssemblyTakeoff]:
    for name in ("frame-set", "keepsake-box", "hall-cabinet"):
        project = read_project_file(json.loads((WORKSHOP / f"{name}.json").read_text(encoding="utf-8")))
        yield from take_off(project, demo_sections(), rules).assemblies


@pytest.mark.parametrize("scale", [None, 14.06, 20])
def test_every_mark_of_the_demo(scale: float | None) -> None:
    rules = Rules.model_validate({"scale_tip_diameter": scale})
    met = [check_assembly(assembly, rules) for assembly in demo_assemblies(rules)]
    # frames: corners × centres; box: 4 body and 4 lid corners; carcass: its corners entered
    # from both edges, 4 × 2, its partition and shelves from one, 2 + 4; its plinth's two ends are not seen
    # from the front; face frame: 12 ends × 2; doors: 4 × 2
    assert met == [8, 8, 12, 8, 14, 24, 8]


THICK = {"width": 40, "thickness": 60}
SECTIONS: tuple[Section, ...] = (*trade.SECTIONS, *demo_sections())


MAKERS = (
    trade.random_frame,
    trade.random_box,
    trade.random_carcass,
    trade.random_railed_frame,
    trade.random_single_joint,
)


@pytest.mark.parametrize("maker", MAKERS)
def test_every_mark_of_random_work(maker: Callable[[Random], Assembly]) -> None:
    rng = Random(f"hands {maker.__name__}")
    met = 0
    for _ in range(40):
        scale = rng.choice([None, 12.0, 18.0])
        rules = trade.random_rules(rng).model_copy(
            update={"scale_tip_diameter": Rules.model_validate({"scale_tip_diameter": scale}).scale_tip_diameter}
        )
        met += check_assembly(take_off_assembly(maker(rng), SECTIONS[:4], rules, NO_CHOICES), rules)
    assert met >= 40


@pytest.mark.parametrize(
    "assembly",
    [
        *(polygon(sides, 420, keys={"entry": "both"}, stock=THICK) for sides in (3, 5, 7, 12)),
        frame(keys={"entry": "front"}),
        frame(keys={"entry": "both"}, stock={"width": 45, "thickness": 50}),
        carcass(corner="mitre", depth=160),
        single(angle=60, breadth=60, entry="both", run=50),
    ],
)
def test_both_entries_and_other_angles(assembly: dict[str, object]) -> None:
    rules = Rules.model_validate({"scale_tip_diameter": 18})
    (spec,) = read(assembly).assemblies
    taken = take_off_assembly(spec, SECTIONS[:4], rules)
    assert check_assembly(taken, rules) > 0
    with pytest.raises(AssertionError):
        check_assembly(taken, rules, lambda lie: replace(lie, hand=lie.hand.other))


def test_a_top_laid_over_the_sides() -> None:
    back = {"fit": "groove", "thickness": 6, "depth": 8, "inset": 10}
    (spec,) = read(carcass(corner="top_over", back=back)).assemblies
    # two corners above and two below, a slot from either edge of each
    assert check_assembly(take_off_assembly(spec, SECTIONS[:4], Rules()), Rules()) == 8


def test_a_wrong_hand_is_seen() -> None:
    rules = Rules()
    (assembly, *_) = demo_assemblies(rules)
    assert check_assembly(assembly, rules) == 8
    with pytest.raises(AssertionError):
        check_assembly(assembly, rules, lambda lie: replace(lie, hand=lie.hand.other))
    # by how much: the far end of the joint line comes to the fence, 63.640 − 16.5 instead of 16.5
    set_up, piece = next(iter(pieces_of(assembly, rules)))
    readings = readings_of(set_up, rules)
    right = replay(piece.hand, piece.lies[0], readings, piece.face)
    wrong = replay(piece.hand, replace(piece.lies[0], hand=piece.hand.other), readings, piece.face)
    assert right == SlotPlace(16.5, 0.0, 18.5)
    assert wrong.centre == pytest.approx(45 * sqrt(2) - 16.5)


@pytest.mark.parametrize(("sides", "angle"), [(3, 30.0), (4, 45.0), (6, 60.0), (8, 67.5)])
def test_the_domains_own_replay_gives_back_the_plan(sides: int, angle: float) -> None:
    assembly = polygon(sides, 420) if sides != 4 else frame()
    thick = {"width": 45, "thickness": 60}
    rules = Rules.model_validate({"scale_tip_diameter": 18, "setting_step": 0})
    (spec,) = read(assembly | {"stock": thick, "keys": {"entry": "both"}}).assemblies
    taken = take_off_assembly(spec, SECTIONS[:4], rules)
    (joint,) = taken.joints
    assert joint.plan is not None
    assert joint.joint.face.angle == angle
    milled: Counter[Any] = Counter()
    for set_up, piece in pieces_of(taken, rules):
        base = piece.lies[0].hand
        for lie in piece.lies:
            place = replay(base, lie, readings_of(set_up, rules), piece.face)
            depth = abs(place.top - place.start)
            assert depth == pytest.approx(joint.plan.depth, abs=1e-3)
            milled[lie.entry, round(place.centre, 3)] += piece.quantity
    # every slot of the plan once on each of the two members of every joint
    assert milled == Counter({(slot.entry, round(slot.centre, 3)): 2 * sides for slot in joint.slots})
    assert joint.joint.face.ends == (Entry.BACK, Entry.FRONT)


def test_a_smaller_cutter_is_set_deeper_and_comes_as_deep() -> None:
    # common practice (no source): a cutter 4 mm smaller needs the stop 2 mm deeper
    for tip, stop in ((18.0, 16.5), (14.0, 18.5), (22.0, 14.5)):
        readings = Readings(20.0, stop, tip, 18.0)
        (spec,) = read(frame()).assemblies
        face = expand(spec).joints[0].face
        assert replay(Hand.LEFT, Lie(Entry.BACK, Hand.LEFT), readings, face).top == pytest.approx(16.5)
