"""What is run along an assembly's pieces: their grooves and rabbets with their stops, their moulded fronts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from domain.cut_list.part import Groove, Hollow, Shape
from domain.lengths import Mm
from domain.parts import Expansion, Point
from domain.space.bodies import bodies
from domain.space.body import Body, Channel
from domain.spec.assemblies import Assembly, MitredFrame

PLACES = 6
"""Decimals of a millimetre by which two places in a section are told apart."""


@dataclass(frozen=True, slots=True)
class Along:
    """Of one part, over all copies: each groove with its pieces, and each shape with how many have it."""

    grooves: tuple[Groove, ...]
    shapes: tuple[tuple[Shape, int], ...]


NOTHING = Along((), ())


def along_parts(spec: Assembly, expansion: Expansion) -> Mapping[str, Along]:
    """What is run along every member, by its mark."""
    grooves: dict[str, Counter[Groove]] = defaultdict(Counter)
    shapes: dict[str, Counter[Shape]] = defaultdict(Counter)
    front = _front(spec)
    for body in bodies(spec, expansion):
        if body.is_panel:
            continue
        mark = body.piece.mark
        here = [_groove(body, channel) for channel in body.channels]
        grooves[mark].update(here)
        through = [(groove, body.hollow(channel)) for groove, channel in zip(here, body.channels, strict=True)]
        cut = [(groove, _hollow(hollow)) for groove, hollow in through if groove.is_through]
        shape = Shape(frozenset(hollow for _, hollow in cut), front, tuple(groove for groove, _ in cut))
        shapes[mark][shape] += 1
    copies = expansion.quantity
    return {
        mark: Along(
            tuple(replace(groove, pieces=each * copies) for groove, each in grooves[mark].items()),
            tuple((shape, each * copies) for shape, each in counted.items() if not shape.is_plain),
        )
        for mark, counted in shapes.items()
    }


def _front(spec: Assembly) -> tuple[Point, ...]:
    if not isinstance(spec, MitredFrame) or spec.stock.front is None:
        return ()
    return tuple((x.mm, height.mm) for x, height in spec.stock.front)


def _groove(body: Body, channel: Channel) -> Groove:
    """As every piece that has it may say it: stops by the names of the ends, in one order."""
    stops = []
    if channel.begins is not None:
        stops.append((body.sides.ends[0], _mm(channel.begins)))
    if channel.ends is not None:
        stops.append((body.sides.ends[1], _mm(body.length - channel.ends)))
    return Groove(
        channel.fit,
        channel.surface,
        channel.surface in body.sides.edges,
        channel.edge,
        _mm(channel.offset),
        _mm(channel.width),
        _mm(channel.depth),
        tuple(sorted(stops)),
        1,
    )


def _mm(mm: float) -> Mm:
    return Mm(round(mm, PLACES))


def _hollow(hollow: tuple[tuple[float, float], tuple[float, float]]) -> Hollow:
    (left, right), (low, high) = hollow
    return (_mm(left), _mm(right), _mm(low), _mm(high))
