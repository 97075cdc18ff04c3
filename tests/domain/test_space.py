"""Bodies against the meetings: a piece stands where its joints say that it is."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from domain.assemblies.expand import expand
from domain.parts import Expansion, JointKind, Meeting, Side, Spot
from domain.space.apart import apart
from domain.space.bodies import Seam, bodies, seams
from domain.space.body import Body, dot
from domain.space.solid import corners
from domain.spec.assemblies import Assembly
from tests.domain.test_pieces import SHAPES
from tests.published.assorted import assorted

ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
SHAPED: list[dict[str, Any]] = [{"mark": "A"} | shape for shape in SHAPES.values()]
EVERYTHING = [*SHAPED, *(assorted(seed) for seed in range(40))]


def put_together(fields: dict[str, Any]) -> tuple[Expansion, tuple[Body, ...], tuple[Seam, ...]]:
    spec = ASSEMBLY.validate_python(fields)
    expansion = expand(spec)
    every = bodies(spec, expansion)
    return expansion, every, seams(expansion, every)


@pytest.mark.parametrize("fields", EVERYTHING)
class TestEveryKind:
    def test_every_meeting_s_pieces_have_the_sides_that_it_names(self, fields: dict[str, Any]) -> None:
        expansion, every, _ = put_together(fields)
        placed = {body.piece: body for body in every}
        for meeting in expansion.meetings:
            for spot in (meeting.first, meeting.second):
                body = placed[spot.piece]
                assert body.outward(spot.surface)
                assert spot.start is None or body.outward(spot.start)

    def test_both_pieces_touch_along_the_seam(self, fields: dict[str, Any]) -> None:
        # the joint line's beginning lies on both mating faces, its end too, and the wood is on either side
        expansion, every, found = put_together(fields)
        placed = {body.piece: body for body in every}
        breadths = {joint.mark: joint.face.breadth for joint in expansion.joints}
        assert [seam.meeting for seam in found] == list(expansion.meetings)
        for seam in found:
            first, second = (corners(placed[spot.piece]) for spot in (seam.meeting.first, seam.meeting.second))
            level = dot(seam.start, seam.into)
            assert min(dot(point, seam.into) for point in first) == pytest.approx(level, abs=1e-6)
            assert max(dot(point, seam.into) for point in second) == pytest.approx(level, abs=1e-6)
            begins, breadth = dot(seam.start, seam.along), breadths[seam.meeting.joint]
            for piece in (first, second):
                assert min(dot(point, seam.along) for point in piece) <= begins + 1e-6
                assert max(dot(point, seam.along) for point in piece) >= begins + breadth - 1e-6
            assert abs(dot(seam.along, seam.into)) < 1e-9
            assert abs(dot(seam.run, seam.into)) + abs(dot(seam.run, seam.along)) < 1e-9

    def test_a_seam_starts_as_far_off_as_its_spots_say(self, fields: dict[str, Any]) -> None:
        expansion, every, found = put_together(fields)
        placed = {body.piece: body for body in every}
        kinds = {joint.mark: joint.kind for joint in expansion.joints}
        for seam in found:
            for spot in (seam.meeting.first, seam.meeting.second):
                if spot.start is not None and kinds[seam.meeting.joint] is not JointKind.MITRE:
                    assert off(placed[spot.piece], spot, seam) == pytest.approx(spot.offset, abs=1e-6)

    def test_joined_pieces_part_along_their_joints(self, fields: dict[str, Any]) -> None:
        _, every, found = put_together(fields)
        moves = apart(every, found, 40.0)
        assert set(moves) == {body.piece for body in every}
        for seam in found:
            first, second = (moves[spot.piece] for spot in (seam.meeting.first, seam.meeting.second))
            assert dot(first, seam.into) - dot(second, seam.into) >= 40 - 1e-6


def off(body: Body, spot: Spot, seam: Seam) -> float:
    """How far a seam begins from the side of a piece that it is counted from, mm."""
    assert spot.start is not None
    way = body.outward(spot.start)
    return max(dot(point, way) for point in corners(body)) - dot(seam.start, way)


def test_a_slot_s_mouth_lies_at_its_entry_edge() -> None:
    _, _, found = put_together({"mark": "A"} | SHAPES["butted box"])
    seam = found[0]
    assert isinstance(seam.meeting, Meeting)
    # a box 90 high of 14 stock: the left side's front end, counted from the outside, entered from above or below
    assert seam.mouth(7.0, Side.BOTTOM) == ((7.0, 0.0, -14.0), (0.0, 1.0, 0.0))
    assert seam.mouth(7.0, Side.TOP) == ((7.0, 90.0, -14.0), (0.0, -1.0, 0.0))
