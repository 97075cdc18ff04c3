"""A joint typed in by hand: the way out where no assembly fits."""

from __future__ import annotations

from collections.abc import Iterator

from domain.assemblies.parts_list import PartsList
from domain.faces.face import Backing, Behind, MatingFace
from domain.faces.region import Region
from domain.lengths import Length
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Side, Spot
from domain.problems import Problem
from domain.spec.assemblies import SingleJoint
from domain.spec.choices import Entry, KeyChoices


def check(spec: SingleJoint) -> Iterator[Problem]:
    """Nothing can clash: one rectangle, one angle."""
    yield from ()


def expand(spec: SingleJoint, choices: KeyChoices) -> Expansion:
    """Two pieces of which only the wood behind the face is known, and their joint."""
    parts = PartsList(spec, choices, "Single joint")
    # breadth runs along the joint line; the piece is as wide as the line is across the stock
    line = MatingFace(Region(spec.breadth.mm, spec.run.mm), spec.angle, (Entry.BACK, Entry.FRONT))
    width = Length.from_mm(spec.breadth.mm * line.sine).mm
    backings = tuple(Backing(wood.mm, Behind.EDGE) for wood in spec.behind)
    face = MatingFace(Region(width, spec.run.mm), spec.angle, (Entry.BACK, Entry.FRONT), backings)
    ends = (90.0, spec.angle)
    marks = [
        parts.member(f"piece {side}, at least", 1, wood.mm, width, spec.run.mm, ends)
        for side, wood in zip(("left", "right"), spec.behind, strict=True)
    ]
    kind = JointKind.BUTT if spec.angle == 90 else JointKind.MITRE
    every = (Entry.BACK, Entry.FRONT, Entry.BOTH)
    joint = parts.joint(kind, "joint", 1, (marks[0], marks[1]), face, (spec.entry,), every)
    left, right = (wood.mm for wood in spec.behind)
    lean = width * face.cosine / face.sine
    whole = left + right + lean
    # what is known of a piece may be wider than it is long: then the joint is at its side
    wide = [width > wood + lean for wood in (left, right)]
    first, second = (parts.single(mark) for mark in marks)
    at_first = Spot(first, Side.RIGHT, whole=wide[0])
    at_second = Spot(second, Side.LEFT, whole=wide[1])
    if kind is JointKind.BUTT:
        at_first = Spot(first, Side.RIGHT, Side.BOTTOM, whole=wide[0])
        at_second = Spot(second, Side.LEFT, Side.BOTTOM, whole=True)
    parts.meet(joint, at_first, at_second, Side.LEFT.way, (lean, width, 0.0))
    elevation = Elevation(
        "front",
        whole,
        width,
        (
            Outline(marks[0], ((0.0, 0.0), (left, 0.0), (left + lean, width), (0.0, width))),
            Outline(marks[1], ((left, 0.0), (whole, 0.0), (whole, width), (left + lean, width))),
        ),
        joints=(JointLine(joint, (left, 0.0), (left + lean, width)),),
    )
    return parts.expansion(elevation)
