"""Carcasses: sides, top, bottom, fixed shelves and partitions, a back, a plinth.

Partitions run from bottom to top, shelves are cut in bays between sides and partitions, through all of them
or in one. Shelves and partitions that are set back stand flush with the others at their back edges, and are
entered from there; a shelf is set back at least as far as a partition that it meets.
A back in a groove goes in with the panels around it; one in a rabbet goes in last, so that keys of what stands
before it can be driven from behind until then.
With a mitred carcass the plinth is a frame of its own underneath; otherwise the sides run to the floor and a
plinth board stands between them under the bottom, flush with the front edges or set back from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from domain.assemblies.bays import Board, boards_of, meets_another
from domain.assemblies.carcass_sizes import Sizes, sizes_of
from domain.assemblies.parts_list import PartsList, grooves_stop
from domain.assemblies.ring import Ring
from domain.faces.face import Backing, Behind, MatingFace, between_ends
from domain.faces.region import Region, Void
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Side, Single, Spot, rectangle
from domain.spec.assemblies import Carcass, CarcassBack, CarcassCorner, Fit
from domain.spec.choices import Entry, KeyChoices

EDGE_ENDS = (Entry.BACK, Entry.FRONT)
ALL_ENTRIES = (Entry.BOTH, Entry.FRONT, Entry.BACK)
ENDS = ((Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT))
"""A level piece's ends, the left one first, and where its wood lies from there."""


def expand(spec: Carcass, choices: KeyChoices) -> Expansion:
    """Every panel and every edge joint; equal bays and equal ends are counted."""
    sizes = sizes_of(spec)
    parts = PartsList(spec, choices, "Carcass")
    build = _Build(spec, sizes, parts)
    build.shell()
    build.partitions()
    build.shelves()
    build.plinth()
    notes = []
    if spec.back is not None:
        grown = 2 * spec.back.depth.mm
        wide = sizes.width - 2 * sizes.thickness + grown
        parts.panel("back", 1, sizes.ceiling - sizes.floor + grown, wide, spec.back.thickness.mm)
        notes.append(Note.of(NoteCode.PANEL_FULL))
        if spec.corner is not CarcassCorner.MITRE:
            # a top laid over the sides has their ends on its face
            through = "bottom" if spec.corner is CarcassCorner.TOP_OVER else "top and bottom"
            notes.insert(0, grooves_stop("back", spec.back.fit, through, spec.back.depth.mm))
    elevation = Elevation("front", sizes.width, sizes.height, tuple(build.outlines), joints=tuple(build.lines))
    return parts.expansion(elevation, notes)


class _Build:
    """Members, joints and their places in the elevation, put up in the order a carcass is."""

    def __init__(self, spec: Carcass, sizes: Sizes, parts: PartsList) -> None:
        self.spec, self.sizes, self.parts = spec, sizes, parts
        self.outlines: list[Outline] = []
        self.lines: list[JointLine] = []
        self.side = self.top = self.bottom = ""
        self.sides: tuple[Single, ...] = ()
        """The left one first."""
        self.uprights: tuple[Single, ...] = ()
        """Partitions from the left."""

    def shell(self) -> None:
        """Sides, top and bottom with their corners."""
        sizes, thick, corner = self.sizes, self.sizes.thickness, self.spec.corner
        if corner is CarcassCorner.MITRE:
            self._mitred_shell()
            return
        over_sides = corner is CarcassCorner.TOP_OVER
        between = sizes.width - 2 * thick
        side_top = sizes.ceiling if over_sides else sizes.height
        stands = (Side.LEFT, Side.RIGHT)
        self.side = self._member("side", 2, side_top, sizes.depth, stands=stands)
        self.top = self._member("top", 1, sizes.width if over_sides else between, sizes.depth)
        self.bottom = self._member("bottom", 1, between, sizes.depth)
        self.sides = (self.parts.single(self.side), self.parts.single(self.side))
        top, bottom = self.parts.single(self.top), self.parts.single(self.bottom)
        left_and_right = (0.0, sizes.width - thick)
        for x in left_and_right:
            self._outline(self.side, x, 0.0, x + thick, side_top)
        inset = 0.0 if over_sides else thick
        self._outline(self.top, inset, sizes.ceiling, sizes.width - inset, sizes.height)
        self._outline(self.bottom, thick, sizes.plinth, sizes.width - thick, sizes.floor)
        face = self._corner_face(90.0)
        if over_sides:
            mark = self._joint(JointKind.EDGE_BUTT, "top corner", 2, (self.side, self.top), face)
            for outer, inner in ((0.0, thick), (sizes.width, sizes.width - thick)):
                self._line(mark, (outer, sizes.ceiling), (inner, sizes.ceiling))
            for side, (end, along) in zip(self.sides, ENDS, strict=True):
                at_side, at_top = Spot(side, Side.TOP, Side.OUTSIDE), Spot(top, Side.INSIDE, end)
                self.parts.meet(mark, at_side, at_top, Side.BOTTOM.way, along.way)
        else:
            mark = self._joint(JointKind.EDGE_BUTT, "top corner", 2, (self.top, self.side), face)
            self._ends(mark, sizes.height, sizes.ceiling)
            self._between_sides(mark, top, Side.TOP, 0.0)
        kind = JointKind.EDGE_TEE if sizes.plinth else JointKind.EDGE_BUTT
        face = self._corner_face(90.0, sizes.plinth)
        mark = self._joint(kind, "bottom corner", 2, (self.bottom, self.side), face)
        self._ends(mark, sizes.plinth, sizes.floor)
        self._between_sides(mark, bottom, Side.BOTTOM, sizes.plinth)

    def _between_sides(self, joint: str, board: Single, start: Side, offset: float) -> None:
        """A board's two ends against the sides, ``offset`` from their end ``start``."""
        away = Side.BOTTOM if start is Side.TOP else Side.TOP
        for side, (end, into) in zip(self.sides, ENDS, strict=True):
            at_side = Spot(side, Side.INSIDE, start, Mm(offset))
            self.parts.meet(joint, Spot(board, end, start), at_side, into.way, away.way)

    def _mitred_shell(self) -> None:
        sizes, thick = self.sizes, self.sizes.thickness
        tall, low = sizes.height - sizes.plinth, sizes.plinth
        ends = (45.0, 45.0)
        # as one goes round from the bottom, the right side comes first
        stands = (Side.RIGHT, Side.LEFT)
        self.side = self._member("side", 2, tall, sizes.depth, ends, tall - 2 * thick, stands)
        self.top = self._member("top", 1, sizes.width, sizes.depth, ends, sizes.width - 2 * thick)
        self.bottom = self._member("bottom", 1, sizes.width, sizes.depth, ends, sizes.width - 2 * thick)
        outer = ((0.0, low), (sizes.width, low), (sizes.width, sizes.height), (0.0, sizes.height))
        inner = (
            (thick, low + thick),
            (sizes.width - thick, low + thick),
            (sizes.width - thick, sizes.ceiling),
            (thick, sizes.ceiling),
        )
        around = (self.bottom, self.side, self.top, self.side)
        ring = Ring(self.parts, around, [(x, y, 0.0) for x, y in outer], [(x, y, 0.0) for x, y in inner])
        self.sides = (ring.pieces[3], ring.pieces[1])
        for index, mark in enumerate(around):
            after = (index + 1) % 4
            self.outlines.append(Outline(mark, (outer[index], outer[after], inner[after], inner[index])))
        face = self._corner_face(45.0)
        for place, member, corners in (("top corner", self.top, (2, 3)), ("bottom corner", self.bottom, (0, 1))):
            joint = self._joint(JointKind.EDGE_MITRE, place, 2, (member, self.side), face)
            for index in corners:
                self._line(joint, outer[index], inner[index])
                ring.meet(joint, member, index)

    def partitions(self) -> None:
        """Partitions from bottom to top, a tee at each end."""
        sizes, thick = self.sizes, self.sizes.thickness
        if not self.spec.partitions:
            return
        # a level board that lies between the sides begins a thickness later than the carcass
        over_sides, mitred = CarcassCorner.TOP_OVER, CarcassCorner.MITRE
        lefts = {
            self.top: 0.0 if self.spec.corner in {over_sides, mitred} else thick,
            self.bottom: 0.0 if self.spec.corner is mitred else thick,
        }
        tall = sizes.ceiling - sizes.floor
        deep = [sizes.inner_depth - partition.setback.mm for partition in self.spec.partitions]
        self.uprights = tuple(self.parts.single(self._member("partition", 1, tall, wide)) for wide in deep)
        for place, member, y, end, into in (
            ("partition top", self.top, sizes.ceiling, Side.TOP, Side.BOTTOM),
            ("partition foot", self.bottom, sizes.floor, Side.BOTTOM, Side.TOP),
        ):
            for upright, partition in zip(self.uprights, self.spec.partitions, strict=True):
                left, setback = partition.at.mm, partition.setback.mm
                face = self._inner_face(Behind.SHOW_FACE, tall, (sizes.behind, setback), setback)
                members = (upright.mark, member)
                joint = self._joint(JointKind.EDGE_TEE, place, 1, members, face, self._entries(face))
                self._line(joint, (left, y), (left + thick, y))
                away = round(left - lefts[member], 6)
                at_board = Spot(Single(member, 0), Side.INSIDE, Side.LEFT, Mm(away))
                self.parts.meet(joint, Spot(upright, end, Side.LEFT), at_board, into.way, Side.RIGHT.way)
        for upright, partition in zip(self.uprights, self.spec.partitions, strict=True):
            left = partition.at.mm
            self._outline(upright.mark, left, sizes.floor, left + thick, sizes.ceiling)

    def shelves(self) -> None:
        """Shelves bay by bay; beside a partition, slots may come from both of its faces."""
        boards = boards_of(self.spec)
        for board in boards:
            mark = self._member("shelf", 1, board.length, self.sizes.inner_depth - board.setback)
            self._outline(mark, board.left, board.low, board.right, board.low + self.sizes.thickness)
            piece = self.parts.single(mark)
            for end in (0, 1):
                self._shelf_end(board, boards, piece, end)

    def _shelf_end(self, board: Board, boards: Sequence[Board], piece: Single, end: int) -> None:
        """A shelf's left (0) or right (1) end against a side, or against the partition next to its bay."""
        thick, y, next_bay = self.sizes.thickness, board.low, board.bay - 1 + 2 * end
        at_side = next_bay in {-1, len(self.uprights) + 1}
        shared = not at_side and meets_another(board, next_bay, boards, thick)
        beyond = Behind.OPPOSITE_SLOT if shared else Behind.SHOW_FACE
        # the partition on the left of a bay is the one before it
        which = board.bay - 1 + end
        upright, place = (self.side, "side") if at_side else (self.uprights[which].mark, "partition")
        foot, before = (self.sizes.behind, 0.0) if at_side else (0.0, self.spec.partitions[which].setback.mm)
        feet = (foot, round(board.setback - before, 6))
        face = self._inner_face(beyond, board.length, feet, board.setback)
        kind, members = JointKind.EDGE_TEE, (piece.mark, upright)
        joint = self._joint(kind, f"shelf end at {place}", 1, members, face, self._entries(face))
        x, (surface, into) = (board.left, board.right)[end], ENDS[end]
        self._line(joint, (x, y), (x, y + thick))
        at_upright = self._in_a_side(end, y) if at_side else self._in_a_partition(which, into, y)
        self.parts.meet(joint, Spot(piece, surface, Side.BOTTOM), at_upright, into.way, Side.TOP.way)

    def _in_a_side(self, which: int, y: float) -> Spot:
        foot = self.sizes.plinth if self.spec.corner is CarcassCorner.MITRE else 0.0
        return Spot(self.sides[which], Side.INSIDE, Side.BOTTOM, Mm(round(y - foot, 6)))

    def _in_a_partition(self, which: int, face: Side, y: float) -> Spot:
        return Spot(self.uprights[which], face, Side.BOTTOM, Mm(round(y - self.sizes.floor, 6)))

    def plinth(self) -> None:
        """A board between the sides, or a frame of its own under a mitred carcass."""
        sizes, thick = self.sizes, self.sizes.thickness
        if not sizes.plinth:
            return
        region = Region(thick, sizes.plinth)
        face = MatingFace(region, 90.0, (Entry.BOTTOM, Entry.TOP), (Backing(thick, Behind.SHOW_FACE),))
        if self.spec.corner is CarcassCorner.MITRE:
            front = self.parts.member("plinth front and back", 2, sizes.width, sizes.plinth, thick)
            end = self.parts.member("plinth end", 2, sizes.depth - sizes.toe - 2 * thick, sizes.plinth, thick)
            entries = (Entry.BOTH, Entry.BOTTOM, Entry.TOP)
            face = replace(face, end_off=0.0)
            joint = self.parts.joint(JointKind.EDGE_BUTT, "plinth corner", 4, (end, front), face, entries, entries)
            self._meet_plinth_frame(joint, end, front)
            self._outline(front, 0.0, 0.0, sizes.width, sizes.plinth)
            return
        board = self.parts.member("plinth", 1, sizes.width - 2 * thick, sizes.plinth, thick)
        below = (Entry.BOTTOM,)
        kind = JointKind.EDGE_TEE if sizes.toe else JointKind.EDGE_BUTT
        joint = self.parts.joint(kind, "plinth end", 2, (board, self.side), face, below, below)
        self._outline(board, thick, 0.0, sizes.width - thick, sizes.plinth)
        piece = self.parts.single(board)
        for x, side, (end, into) in zip((thick, sizes.width - thick), self.sides, ENDS, strict=True):
            self._line(joint, (x, 0.0), (x, sizes.plinth))
            # counted from the sides' front edges to the back
            at_side = Spot(side, Side.INSIDE, Side.FRONT, Mm(sizes.toe), across=True)
            self.parts.meet(joint, Spot(piece, end, Side.FRONT), at_side, into.way, Side.BACK.way)

    def _meet_plinth_frame(self, joint: str, end: str, board: str) -> None:
        """Its ends between front and back, counted from their outer faces."""
        front, back = self.parts.single(board), self.parts.single(board)
        for at, along in ENDS:
            piece = self.parts.single(end)
            for wall, surface, into in ((front, Side.FRONT, Side.BACK), (back, Side.BACK, Side.FRONT)):
                at_end, at_wall = Spot(piece, surface, Side.OUTSIDE), Spot(wall, Side.INSIDE, at)
                self.parts.meet(joint, at_end, at_wall, into.way, along.way)

    def _member(
        self,
        name: str,
        each: int,
        length: float,
        width: float,
        ends: tuple[float, float] = (90.0, 90.0),
        short: float | None = None,
        stands: tuple[Side, ...] = (),
    ) -> str:
        return self.parts.member(name, each, length, width, self.sizes.thickness, ends, short, stands)

    def _corner_face(self, angle: float, end_off: float = 0.0) -> MatingFace:
        """A corner's edge: x from the outer face, v from the back, with the back's groove or rabbet.

        ``end_off`` is how far before its outer face the piece ends that it stands against.
        """
        thick, back = self.sizes.thickness, self.spec.back
        voids = () if back is None else (_back_void(back, thick),)
        backings = () if angle == 45.0 else (Backing(thick, Behind.SHOW_FACE),)
        end = None if angle == 45.0 else end_off
        return MatingFace(Region(thick, self.sizes.depth, voids=voids), angle, EDGE_ENDS, backings, end_off=end)

    def _inner_face(
        self, beyond: Behind, length: float, foot: tuple[float, float], setback: float = 0.0
    ) -> MatingFace:
        """An end of a shelf or partition of this length, ``foot`` inside what it meets."""
        thick = self.sizes.thickness
        return MatingFace(
            Region(thick, self.sizes.inner_depth - setback),
            90.0,
            EDGE_ENDS,
            (Backing(thick, beyond), *between_ends(length)),
            foot=foot,
            closed=Entry.BACK if self.sizes.back is Fit.RABBET else None,
        )

    def _entries(self, face: MatingFace) -> tuple[Entry, ...]:
        """The edges that an inner panel's joint is entered by.

        Behind it there is room before a back in a rabbet goes in, none behind one in a groove. Where the panel
        is set back from what it meets, slots from the front would show before it.
        """
        if face.foot_at(Entry.FRONT):
            return (Entry.BACK,)
        return (Entry.FRONT,) if self.sizes.back is Fit.GROOVE else ALL_ENTRIES

    def _joint(
        self,
        kind: JointKind,
        place: str,
        each: int,
        members: tuple[str, str],
        face: MatingFace,
        entries: tuple[Entry, ...] = ALL_ENTRIES,
    ) -> str:
        return self.parts.joint(kind, place, each, members, face, entries, entries)

    def _ends(self, joint: str, start: float, end: float) -> None:
        """A panel's two ends against the sides, from its reference edge."""
        for x in (self.sizes.thickness, self.sizes.width - self.sizes.thickness):
            self._line(joint, (x, start), (x, end))

    def _outline(self, mark: str, left: float, low: float, right: float, high: float) -> None:
        self.outlines.append(rectangle(mark, left, low, right, high))

    def _line(self, joint: str, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.lines.append(JointLine(joint, start, end))


def _back_void(back: CarcassBack, thick: float) -> Void:
    low = back.inset.mm if back.fit is Fit.GROOVE else 0.0
    return Void(thick - back.depth.mm, thick, low, (back.inset + back.thickness).mm, "back")
