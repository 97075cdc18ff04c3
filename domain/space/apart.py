"""An assembly taken apart for the eye: what moves where, so that no two pieces touch and none passes another.

Pieces part along their joints: on every way of space, what stands beyond another stays beyond it, by a gap more
where the two are joined there. That orders them; each takes the middle of the room that the order leaves it. A
ring of mitred sides opens outwards. Panels in grooves stay in the middle of what holds them, those in rabbets come
out of the open side, and the lid of a box that is sawn open is lifted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from domain.parts import Single, Vector
from domain.space.bodies import Seam
from domain.space.body import Body, Channel, moved, oblong
from domain.space.solid import corners
from domain.spec.assemblies import Fit

AXES = range(3)
STEEP = 0.3
"""A joint's normal counts on an axis where it goes that way by more than this share."""
HELD = 1e-3
"""Bodies that reach into each other's bounds by more than this, mm, hold each other."""
Bounds = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
Moves = dict[Single, Vector]
NOWHERE: Vector = (0.0, 0.0, 0.0)


def apart(bodies: Sequence[Body], seams: Sequence[Seam], gap: float) -> Moves:
    """How far every body moves, joined pieces ``gap`` mm away from each other."""
    pieces = [body for body in bodies if not body.is_panel]
    if all(body.ends[0].by_width for body in pieces):
        moves = {body.piece: moved(NOWHERE, body.ways[1], -gap) for body in pieces}
        moves |= _halves(pieces, seams, gap) if len(pieces) == 2 else {}
    else:
        moves = _ordered(bodies, seams, gap)
    return moves | {body.piece: _panel_move(body, pieces, moves, gap) for body in bodies if body.is_panel}


def _halves(pieces: Sequence[Body], seams: Sequence[Seam], gap: float) -> Moves:
    """Two pieces straight away from the face between them."""
    (seam,) = seams
    first = seam.meeting.first.piece
    return {body.piece: moved(NOWHERE, seam.into, gap / 2 if body.piece == first else -gap / 2) for body in pieces}


def bounds(body: Body) -> Bounds:
    """From where to where a body reaches on each axis, mm."""
    x, y, z = zip(*corners(body), strict=True)
    return (min(x), max(x)), (min(y), max(y)), (min(z), max(z))


def _ordered(bodies: Sequence[Body], seams: Sequence[Seam], gap: float) -> Moves:
    """Axis by axis, the middle between as near and as far as each piece can stand."""
    reaches = {body.piece: bounds(body) for body in bodies}
    ways = []
    for axis in AXES:
        steps = _steps(reaches, seams, axis, gap) | _held(bodies, reaches, axis, gap)
        near = _longest(reaches, steps)
        far = _longest(reaches, {(above, below): step for (below, above), step in steps.items()})
        most = max(near.values())
        ways.append({piece: (near[piece] + most - far[piece]) / 2 - most / 2 for piece in reaches})
    return {piece: (ways[0][piece], ways[1][piece], ways[2][piece]) for piece in reaches}


def _steps(
    reaches: Mapping[Single, Bounds], seams: Sequence[Seam], axis: int, gap: float
) -> dict[tuple[Single, Single], float]:
    """For every two pieces of which one stands beyond the other on the axis: by how much more it is to."""
    steps = {}
    for one, here in reaches.items():
        for other, there in reaches.items():
            beyond = there[axis][0] > here[axis][1] - HELD and one != other
            if beyond and all(_over(here[each], there[each]) for each in AXES if each != axis):
                steps[one, other] = 0.0
    for seam in seams:
        first, second, into = seam.meeting.first.piece, seam.meeting.second.piece, seam.into[axis]
        if abs(into) > STEEP:
            steps[(second, first) if into > 0 else (first, second)] = gap
    return steps


def _held(
    bodies: Sequence[Body], reaches: Mapping[Single, Bounds], axis: int, gap: float
) -> dict[tuple[Single, Single], float]:
    """The same for a panel and what holds it at its edges."""
    steps = {}
    for panel in bodies:
        if panel.is_panel and abs(panel.ways[_thick_way(panel)][axis]) < STEEP:
            room = reaches[panel.piece]
            for body in bodies:
                there = reaches[body.piece]
                if not body.is_panel and all(_over(room[each], there[each]) for each in AXES):
                    if there[axis][1] < room[axis][1] - HELD and there[axis][0] < room[axis][0]:
                        steps[body.piece, panel.piece] = gap
                    elif there[axis][0] > room[axis][0] + HELD and there[axis][1] > room[axis][1]:
                        steps[panel.piece, body.piece] = gap
    return steps


def _thick_way(panel: Body) -> int:
    """Which of a panel's ways is the one that it is thin in."""
    sizes = (panel.length, panel.width, panel.thickness)
    return sizes.index(min(sizes))


def _over(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] < other[1] - HELD and other[0] < one[1] - HELD


def _longest(pieces: Mapping[Single, object], steps: Mapping[tuple[Single, Single], float]) -> dict[Single, float]:
    """The longest way to each piece; no longer than once past every piece, whatever the steps are."""
    found = dict.fromkeys(pieces, 0.0)
    for _ in pieces:
        longer: dict[Single, float] = {}
        for (below, above), step in steps.items():
            at = found[below] + step
            if at > longer.get(above, found[above]):
                longer[above] = at
        if not longer:
            break
        found |= longer
    return found


def _panel_move(panel: Body, pieces: Sequence[Body], moves: Mapping[Single, Vector], gap: float) -> Vector:
    """The middle of what holds the panel; out of a rabbet, or off the face that it lies on, by a gap."""
    room = bounds(panel)
    holders = [body for body in pieces if all(_over(room[axis], bounds(body)[axis]) for axis in AXES)]
    if not holders:
        return _laid(panel, pieces, moves, gap)
    thin, own, middle = panel.ways[_thick_way(panel)], moves.get(panel.piece), _middle(holders, moves)
    x, y, z = (middle[axis] if own is None or abs(thin[axis]) > STEEP else own[axis] for axis in AXES)
    opens = {
        body.outward(channel.edge) for body in holders for channel in body.channels if _holds(body, channel, room)
    }
    out = next(iter(sorted(opens)), NOWHERE)
    return moved((x, y, z), out, 1.5 * gap)


def _middle(some: Sequence[Body], moves: Mapping[Single, Vector]) -> Vector:
    """Half way between where the farthest of them go."""
    away = [moves[body.piece] for body in some]
    x, y, z = ((min(way[axis] for way in away) + max(way[axis] for way in away)) / 2 for axis in AXES)
    return (x, y, z)


def _holds(body: Body, channel: Channel, room: Bounds) -> bool:
    """True where the panel lies in this rabbet of the body."""
    if channel.fit is not Fit.RABBET:
        return False
    across, through = body.hollow(channel)
    middle = body.point(body.length / 2, sum(across) / 2, sum(through) / 2)
    long = max(AXES, key=lambda axis: abs(body.ways[0][axis]))
    return all(low - HELD <= middle[axis] <= high + HELD for axis, (low, high) in enumerate(room) if axis != long)


def _laid(panel: Body, pieces: Sequence[Body], moves: Mapping[Single, Vector], gap: float) -> Vector:
    """With the pieces that it lies on, and off them by a gap."""
    thick = panel.ways[_thick_way(panel)]
    axis = max(AXES, key=lambda each: abs(thick[each]))
    room, others = bounds(panel), [each for each in AXES if each != axis]
    for sign, near, far in ((1.0, 0, 1), (-1.0, 1, 0)):
        under = [
            body
            for body in pieces
            if abs(room[axis][near] - bounds(body)[axis][far]) < HELD
            and all(_over(room[each], bounds(body)[each]) for each in others)
        ]
        if under:
            way = [0.0, 0.0, 0.0]
            way[axis] = sign * gap
            return moved(_middle(under, moves), (way[0], way[1], way[2]))
    return NOWHERE


# --- a lid, sawn off


def opened(body: Body, lip: float, clearance: float) -> tuple[Body, ...]:
    """What the saw makes of a wall, the lower part first; with a lip (mm), half the wall's thickness wide.

    A body that no saw goes through comes back as it is.
    """
    if body.saw is None:
        return (body,)
    low, high = body.saw
    foot = _part(body, 0.0, low, lambda channel: channel.edge is body.sides.edges[0])
    lid = _part(body, high, body.width, lambda channel: channel.edge is body.sides.edges[1])
    if lip and not body.is_panel:
        half, edges = body.thickness / 2, (body.sides.edges[1], body.sides.edges[0])
        outside, inside = body.sides.faces
        cut = Channel(Fit.RABBET, outside, edges[0], 0.0, lip, half + clearance)
        foot = replace(foot, channels=(*foot.channels, cut))
        lid = replace(lid, channels=(*lid.channels, Channel(Fit.RABBET, inside, edges[1], 0.0, lip, half)))
    return foot, lid


def _part(body: Body, low: float, high: float, kept: Callable[[Channel], bool]) -> Body:
    return replace(
        body,
        origin=moved(body.origin, body.ways[1], low),
        section=oblong(high - low, body.thickness),
        channels=tuple(channel for channel in body.channels if kept(channel)),
        saw=None,
    )
