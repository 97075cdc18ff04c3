"""The wood at every joint, drawn with ``shapely`` from what was typed in: the planner's faces are not asked."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from domain.lengths import Mm
from domain.parts import Expansion, Joint
from domain.spec.assemblies import (
    Assembly,
    Box,
    BoxCorner,
    Carcass,
    CarcassCorner,
    Fit,
    FrameStock,
    MitredFrame,
    RailedFrame,
    SingleJoint,
)
from domain.spec.rules import Rules


@dataclass(frozen=True, slots=True)
class Wood:
    """Cross-section in (x, v) seen from the first entry edge, its extent along v, φ, and the deepest slot.

    ``deepest`` is how far a slot may go into the other member of a butt joint (None: a mitre).
    """

    section: BaseGeometry
    run: float
    angle: float
    deepest: float | None = None

    def turned(self) -> BaseGeometry:
        """The section seen from the opposite edge."""
        return affinity.affine_transform(self.section, [1, 0, 0, -1, 0, self.run])


def stock_section(stock: FrameStock) -> BaseGeometry:
    """Frame stock in section: the front as drawn, the rabbet cut off the inner back corner."""
    width, thickness = stock.width.mm, stock.thickness.mm
    front = [(0.0, thickness), (width, thickness)]
    if stock.front is not None:
        front = [(x.mm, height.mm) for x, height in stock.front]
    whole = shapely.Polygon([(0.0, 0.0), *front, (width, 0.0)]).buffer(0)
    if not stock.rabbet_width:
        return whole
    return whole.difference(shapely.box(width - stock.rabbet_width.mm, 0, width, stock.rabbet_depth.mm))


def wood_at(spec: Assembly, expansion: Expansion, joint: Joint, rules: Rules) -> Wood:
    """The wood at a joint, by the assembly's own drawing."""
    match spec:
        case MitredFrame():
            return Wood(stock_section(spec.stock), spec.stock.thickness.mm, 90 - 180 / spec.sides)
        case Box():
            return _box(spec, joint, rules)
        case Carcass():
            return _carcass(spec, joint, rules)
        case RailedFrame():
            return _railed(spec, expansion, joint, rules)
        case SingleJoint():
            angle = spec.angle
            line = shapely.LineString([(0, 0), (spec.breadth.mm, 0)])
            across = affinity.rotate(line, angle, origin=(0, 0)).bounds[3]
            return Wood(
                shapely.box(0, 0, across, spec.run.mm),
                spec.run.mm,
                angle,
                min(wood.mm for wood in spec.behind) - rules.wall.mm,
            )


def _box(spec: Box, joint: Joint, rules: Rules) -> Wood:
    """A wall from its bottom edge up (a lid corner: from its top edge down), grooves and saw line out."""
    wall, height = spec.wall.mm, spec.height.mm
    lip = kerf = 0.0
    cut = height
    over = spec.top is not None and spec.top.depth is None
    if spec.lid is not None:
        lip, kerf = spec.lid.lip.mm, spec.lid.kerf.mm
        cut = Mm(height - spec.lid.height.mm)
    if spec.top is not None and over:
        # laid over the walls, which are so much lower
        height = Mm(height - spec.top.thickness.mm)
        cut = min(cut, height)
    made = height + lip + kerf
    section: BaseGeometry = shapely.box(0, 0, wall, made)
    if spec.bottom is not None:
        low = spec.bottom.up.mm if spec.bottom.fit is Fit.GROOVE else 0.0
        floor = (spec.bottom.up + spec.bottom.thickness).mm
        section = section.difference(shapely.box(wall - spec.bottom.depth.mm, low, wall, floor))
    if spec.top is not None and spec.top.depth is not None and spec.top.down is not None:
        high = made - spec.top.down.mm
        groove = shapely.box(wall - spec.top.depth.mm, high - spec.top.thickness.mm, wall, high)
        section = section.difference(groove)
    run = made
    if spec.lid is not None:
        # the lip is halved on both sides of the kerf's foot, so keys stay below it and above the lid's own
        section = section.difference(shapely.box(0, cut, wall, cut + lip + kerf + lip))
        if joint.place == "lid corner":
            section = affinity.affine_transform(section, [1, 0, 0, -1, 0, made])
            run = height - cut - lip
        else:
            run = cut
        section = section.intersection(shapely.box(0, 0, wall, run))
    mitred = spec.corner is BoxCorner.MITRE
    return Wood(section, run, 45 if mitred else 90, None if mitred else wall - rules.skin.mm)


def _carcass(spec: Carcass, joint: Joint, rules: Rules) -> Wood:
    thick, depth, back = spec.thickness.mm, spec.depth.mm, spec.back
    if not joint.place.endswith("corner"):
        inner = depth - (0.0 if back is None else (back.inset + back.thickness).mm)
        both_sides = joint.place == "shelf end at partition"
        deepest = (thick - rules.web.mm) / 2 if both_sides else thick - rules.skin.mm
        return Wood(shapely.box(0, 0, thick, inner), inner, 90, deepest)
    section: BaseGeometry = shapely.box(0, 0, thick, depth)
    if back is not None:
        low = back.inset.mm if back.fit is Fit.GROOVE else 0.0
        high = (back.inset + back.thickness).mm
        section = section.difference(shapely.box(thick - back.depth.mm, low, thick, high))
    if spec.corner is CarcassCorner.MITRE:
        return Wood(section, depth, 45)
    return Wood(section, depth, 90, thick - rules.skin.mm)


def _railed(spec: RailedFrame, expansion: Expansion, joint: Joint, rules: Rules) -> Wood:
    """A bar's end, grooved on the edges that face a panel, against the stile or rail it meets."""
    names = {member.mark: member.name for member in expansion.members}
    bar, other = (names[mark] for mark in joint.members)
    width = getattr(spec, bar.replace(" ", "_")).mm
    thickness = spec.thickness.mm
    section: BaseGeometry = shapely.box(0, 0, width, thickness)
    cut = 0.0
    if spec.panel is not None:
        cut, across = spec.panel.depth.mm, spec.panel.width.mm
        low = (thickness - across) / 2 if spec.panel.fit is Fit.GROOVE else 0.0
        section = section.difference(shapely.box(width - cut, low, width, low + across))
        if bar.startswith("mid"):
            section = section.difference(shapely.box(0, low, cut, low + across))
    met = getattr(spec, other.replace(" ", "_")).mm
    if other != "mid rail":
        return Wood(section, thickness, 90, met - rules.wall.mm)
    # the next row's panel is let into the mid rail's far edge, save where a mid stile stands there
    before_the_groove = met - cut - rules.wall.mm
    apart = _apart(spec)
    if apart >= width:
        return Wood(section, thickness, 90, before_the_groove)
    half = (met - rules.web.mm) / 2
    return Wood(section, thickness, 90, min(half, before_the_groove) if apart else half)


def _apart(spec: RailedFrame) -> float:
    """In the two-row door of these checks: how far the mid stiles above and below are out of line."""
    assert spec.mid_stile is not None
    inside = (spec.width - spec.stile * 2).mm
    upper = spec.rows[0].columns[0]
    lower = spec.rows[1].columns[1]
    assert not isinstance(upper, str)
    assert not isinstance(lower, str)
    left = inside - lower.mm - spec.mid_stile.mm
    return abs(left - upper.mm)
