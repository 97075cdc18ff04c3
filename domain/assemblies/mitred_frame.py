"""Mitred frames: regular, 3 to 12 sides, the four-sided one a rectangle.

outside = opening + 2W = rabbet + 2(W − rabbet width); the side of a regular n-gon at apothem r is
2·r·tan(180°/n). ``across`` runs from flat to flat (odd n: twice the apothem).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import cos, pi, radians, sin, tan

from domain.assemblies.parts_list import PartsList, over, under
from domain.assemblies.ring import Ring
from domain.faces.face import MatingFace, short_piece
from domain.faces.region import Region, Void
from domain.lengths import Length
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Point
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.assemblies import FrameMeasure, FrameStock, MitredFrame
from domain.spec.choices import Entry, KeyChoices


def check(spec: MitredFrame) -> Iterator[Problem]:
    """Sizes that belong to the number of sides, stock that leaves wood, an opening that is there."""
    yield from _check_measures(spec)
    yield from _check_stock(spec.stock)
    rabbet = spec.stock.rabbet_width * 2
    if rabbet and spec.fit_allowance >= rabbet:
        yield Problem.of(
            ("fit_allowance",), spec.fit_allowance.mm, ProblemCode.GLAZING_FALLS_THROUGH, most=rabbet.mm
        )
    for field, size in _measures(spec):
        outside = _outside(spec, size)
        if outside <= 2 * spec.stock.width.mm:
            short = 2 * spec.stock.width.mm - outside
            yield Problem.of((field,), size.mm, ProblemCode.NO_OPENING, least=round(size.mm + short, 3))


def _check_measures(spec: MitredFrame) -> Iterator[Problem]:
    needed = ("width", "height") if spec.sides == 4 else ("across",)
    for field in ("width", "height", "across"):
        given = getattr(spec, field)
        if field in needed and given is None:
            yield Problem.of((field,), "missing", ProblemCode.MISSING_FOR_SIDES, sides_n=spec.sides)
        if field not in needed and given is not None:
            words = " and ".join(needed)
            yield Problem.of((field,), given.mm, ProblemCode.NOT_FOR_SIDES, sides_n=spec.sides, needed_text=words)


def _check_stock(stock: FrameStock) -> Iterator[Problem]:
    yield from under(stock.width.mm, ("stock", "rabbet_width"), stock.rabbet_width.mm, "the stock's width")
    yield from under(stock.thickness.mm, ("stock", "rabbet_depth"), stock.rabbet_depth.mm, "the stock's thickness")
    if bool(stock.rabbet_width) != bool(stock.rabbet_depth):
        missing = "rabbet_depth" if stock.rabbet_width else "rabbet_width"
        yield Problem.of(("stock", missing), 0, ProblemCode.HALF_A_RABBET)
    if stock.front is not None:
        yield from _check_front(stock, stock.front)


def _check_front(stock: FrameStock, front: tuple[tuple[Length, Length], ...]) -> Iterator[Problem]:
    path = ("stock", "front")
    if front[0][0]:
        yield Problem.of((*path, 0, 0), front[0][0].mm, ProblemCode.PROFILE_STARTS)
    if front[-1][0] != stock.width:
        end = (*path, len(front) - 1, 0)
        yield Problem.of(end, front[-1][0].mm, ProblemCode.PROFILE_ENDS, width=stock.width.mm)
    for index, (x, height) in enumerate(front):
        if index and x < front[index - 1][0]:
            yield Problem.of((*path, index, 0), x.mm, ProblemCode.PROFILE_GOES_BACK)
        if height > stock.thickness:
            yield Problem.of(
                (*path, index, 1),
                height.mm,
                ProblemCode.MORE_THAN,
                what_text="the thickness",
                most=stock.thickness.mm,
            )
        if x > stock.width - stock.rabbet_width and stock.rabbet_depth:
            yield from over(stock.rabbet_depth.mm, (*path, index, 1), height.mm, "the rabbet's depth")
    for (x, height), (after, after_height) in pairwise(front):
        edge = stock.width - stock.rabbet_width
        if stock.rabbet_depth and x <= edge < after:
            share = (edge.nm - x.nm) / (after.nm - x.nm)
            at_edge = height.mm + share * (after_height.mm - height.mm)
            yield from _check_at_edge(stock, at_edge)


def _check_at_edge(stock: FrameStock, height: float) -> Iterator[Problem]:
    """The profile's height (mm) above the rabbet's edge, which must leave wood over the rabbet."""
    edge, depth = stock.width - stock.rabbet_width, stock.rabbet_depth.mm
    if height <= depth + 1e-9:
        yield Problem.of(
            ("stock", "front"), round(height, 3), ProblemCode.PROFILE_TOO_LOW, edge=edge.mm, least=depth
        )


def _measures(spec: MitredFrame) -> list[tuple[str, Length]]:
    fields = ("width", "height") if spec.sides == 4 else ("across",)
    return [(field, size) for field in fields if (size := getattr(spec, field)) is not None]


def _outside(spec: MitredFrame, size: Length) -> float:
    """Outside size in mm of what was measured as the spec says."""
    stock = spec.stock
    if spec.measure is FrameMeasure.OUTSIDE:
        return size.mm
    if spec.measure is FrameMeasure.OPENING:
        return (size + stock.width * 2).mm
    allowance = spec.fit_allowance if spec.measure is FrameMeasure.GLASS else Length(0)
    return (size + allowance + (stock.width - stock.rabbet_width) * 2).mm


def face_of(stock: FrameStock, sides: int, shortest: float) -> MatingFace:
    """The mitred end of the stock: its own cross-section, x from the outer edge, v from the back.

    ``shortest`` is the long-point length of the frame's shortest side, in mm.
    """
    width, thickness = stock.width.mm, stock.thickness.mm
    front = None if stock.front is None else tuple((x.mm, height.mm) for x, height in stock.front)
    voids: tuple[Void, ...] = ()
    if stock.rabbet_width:
        voids = (Void((stock.width - stock.rabbet_width).mm, width, 0.0, stock.rabbet_depth.mm),)
    region = Region(width, thickness, ceiling=front, voids=voids)
    turn = 180.0 / sides
    short_point = shortest - 2 * width * tan(radians(turn))
    long_point = short_piece(shortest, short_point)
    return MatingFace(region, 90.0 - turn, (Entry.BACK, Entry.FRONT), long_point=long_point)


def expand(spec: MitredFrame, choices: KeyChoices) -> Expansion:
    """Members with long and short points, the glazing, and one kind of joint."""
    parts = PartsList(spec, choices, "Mitred frame" if spec.sides == 4 else f"Frame with {spec.sides} sides")
    outside = [_outside(spec, size) for _, size in _measures(spec)]
    shortest = min(outside) if spec.sides == 4 else outside[0] * tan(radians(180 / spec.sides))
    face = face_of(spec.stock, spec.sides, shortest)
    if spec.sides == 4:
        members, corners = _rectangle(spec, parts, outside[0], outside[1], face)
    else:
        members, corners = _polygon(spec, parts, outside[0], face)
    joint = parts.joint(
        JointKind.MITRE,
        "corner",
        spec.sides,
        (members[0], members[1]),
        face,
        entries=(Entry.BACK,),
        possible=(Entry.BACK, Entry.FRONT, Entry.BOTH),
    )
    inner = _inset(corners, spec.stock.width.mm)
    glazing: tuple[Outline, ...] = ()
    if spec.stock.rabbet_width:
        rabbet = [size - 2 * (spec.stock.width - spec.stock.rabbet_width).mm for size in outside]
        # the blank it is cut from: a polygon measures more from point to point than from flat to flat
        glass = [
            (size - spec.fit_allowance.mm) * round(max(point[axis] for point in corners) / whole, 9)
            for axis, size, whole in ((0, rabbet[0], outside[0]), (1, rabbet[-1], outside[-1]))
        ]
        mark = parts.panel("glazing", 1, glass[0], glass[1], 0.0, room=spec.stock.rabbet_depth.mm)
        glazing = (Outline(mark, inner),)
    count = len(corners)
    around = [members[index % 2] for index in range(count)]
    ring = Ring(parts, around, [(x, y, 0.0) for x, y in corners], [(x, y, 0.0) for x, y in inner])
    for corner in range(count):
        ring.meet(joint, members[0], corner)
    elevation = Elevation(
        view="front",
        width=max(x for x, _ in corners),
        height=max(y for _, y in corners),
        members=tuple(
            Outline(
                around[index],
                (corners[index], corners[(index + 1) % count], inner[(index + 1) % count], inner[index]),
            )
            for index in range(count)
        ),
        panels=glazing,
        joints=tuple(JointLine(joint, corners[index], inner[index]) for index in range(count)),
    )
    notes = (Note.of(NoteCode.GLAZING_ROOM),) if spec.stock.rabbet_width else ()
    return parts.expansion(elevation, notes)


def _rectangle(
    spec: MitredFrame, parts: PartsList, width: float, height: float, face: MatingFace
) -> tuple[tuple[str, ...], tuple[Point, ...]]:
    stock, ends = spec.stock, (face.angle, face.angle)
    across = 2 * stock.width.mm

    def add(name: str, each: int, length: float) -> str:
        return parts.member(name, each, length, stock.width.mm, stock.thickness.mm, ends, length - across)

    corners = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    if width == height:
        mark = add("side", 4, width)
        return (mark, mark), corners
    return (add("top and bottom", 2, width), add("side", 2, height)), corners


def _polygon(
    spec: MitredFrame, parts: PartsList, across: float, face: MatingFace
) -> tuple[tuple[str, ...], tuple[Point, ...]]:
    stock, half_turn = spec.stock, radians(180 / spec.sides)
    long = across * tan(half_turn)
    short = (across - 2 * stock.width.mm) * tan(half_turn)
    mark = parts.member(
        "side", spec.sides, long, stock.width.mm, stock.thickness.mm, (face.angle, face.angle), short
    )
    radius = across / 2 / cos(half_turn)
    turns = [-pi / 2 + half_turn * (2 * index - 1) for index in range(spec.sides)]
    points = [(radius * cos(turn), radius * sin(turn)) for turn in turns]
    left, low = min(x for x, _ in points), min(y for _, y in points)
    return (mark, mark), tuple((x - left, y - low) for x, y in points)


def _inset(corners: tuple[Point, ...], width: float) -> tuple[Point, ...]:
    """The sight edge's corners: every side of a polygon round one centre moved in by ``width``."""
    count = len(corners)
    inner = []
    for index, (x, y) in enumerate(corners):
        before, after = corners[index - 1], corners[(index + 1) % count]
        into, out = _unit(before, (x, y)), _unit((x, y), after)
        # the bisector of a corner, scaled so that it stands `width` off both sides
        turn = into[0] * out[1] - into[1] * out[0]
        inner.append((x + width * (out[0] - into[0]) / turn, y + width * (out[1] - into[1]) / turn))
    return tuple(inner)


def _unit(start: Point, end: Point) -> Point:
    along, up = end[0] - start[0], end[1] - start[1]
    length = (along * along + up * up) ** 0.5
    return along / length, up / length
