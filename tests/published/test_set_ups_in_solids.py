"""What ``setups --json`` tells, done: every piece built as a solid, laid down as told, milled where it is told.

The file alone is followed, by a machine and by wood that this test builds itself from the sizes that were typed:
nothing of the program's geometry is used. A piece is turned, never mirrored; its named side goes to the machine,
its named edge down, its datum to the fence on the side of its hand. Then the two slots of every joint must be each
other's image in the mating face, and no slot may leave its wood. Solids are those of ``manifold3d``.

Space: x to the right, y up, z towards whoever stands before the assembly; its back lies at z = 0. Machine: X to
the right of whoever stands before it, Y away from him, Z up from the table; the cutter stands out of Y = 0.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, pi, radians, sin, tan
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from manifold3d import CrossSection, Manifold

from domain.machine.document import set_ups_document
from domain.takeoff.document import takeoff_document
from webapp.usecases.files import plan_document, set_up_sheet_of

Vector = npt.NDArray[np.float64]
Json = dict[str, Any]
CLOSE = 1e-6
SEGMENTS = 96
APART = 5000.0
"""Copies of an assembly stand behind each other, so far apart."""
WAYS = {
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "bottom": (0, -1, 0),
    "top": (0, 1, 0),
    "back": (0, 0, -1),
    "front": (0, 0, 1),
}
SECTIONS: list[Json] = [
    {"name": "9", "waist": 6.7, "half_depth": 4.4, "flank": 14, "tip_diameter": 9.2, "lengths": [11, 18, 29],
     "drive_limit": 40, "stock_from": 8, "stock_to": 60, "reach_limit": 60},
]  # fmt: skip


def vector(*values: float) -> Vector:
    return np.array(values, dtype=float)


@dataclass(frozen=True)
class Wood:
    """A piece where it stands: ``normals`` of sides that are not square or have no direction, ``tips`` of ends."""

    solid: Manifold
    normals: Mapping[str, Vector] = field(default_factory=dict)
    tips: Mapping[str, Vector] = field(default_factory=dict)

    def normal(self, side: str) -> Vector:
        return self.normals[side] if side in self.normals else vector(*WAYS[side])

    def behind(self, distance: float) -> Wood:
        """The same piece of another copy."""
        moved = vector(0, 0, -distance)
        return Wood(
            self.solid.translate(tuple(moved)),
            self.normals,
            {side: tip + moved for side, tip in self.tips.items()},
        )


Copy = dict[str, list[Wood]]


# --- wood, from the sizes that were typed -----------------------------------------------------------


def block(x: Sequence[float], y: Sequence[float], z: Sequence[float], inside: str | None = None) -> Wood:
    """A board between two planes each way; ``inside`` is which way it looks into the assembly."""
    low, size = (x[0], y[0], z[0]), (x[1] - x[0], y[1] - y[0], z[1] - z[0])
    return Wood(Manifold.cube(size).translate(low), {} if inside is None else {"inside": vector(*WAYS[inside])})


FLAT = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
"""Drawn as seen from the front, thick towards the eye."""
PLAN = ((1, 0, 0), (0, 0, 1), (0, -1, 0))
"""Drawn as seen from above, y to the back, thick upwards."""


def ring(
    outer: Sequence[tuple[float, float]],
    inner: Sequence[tuple[float, float]],
    low: float,
    high: float,
    stood: Sequence[Sequence[float]] = FLAT,
) -> list[Wood]:
    """Mitred pieces all the way round, against the clock as drawn."""
    matrix, pieces = np.array(stood, dtype=float), []
    for index in range(len(outer)):
        after = (index + 1) % len(outer)
        corners = [outer[index], outer[after], inner[after], inner[index]]
        flat = CrossSection([corners]).extrude(high - low).translate((0, 0, low))
        solid = flat.transform([[*row, 0.0] for row in matrix])
        normals, tips = {}, {}
        for here, other in ((index, after), (after, index)):
            line = vector(*inner[here], 0) - vector(*outer[here], 0)
            away = vector(*outer[here], 0) - vector(*outer[other], 0)
            across = vector(line[1], -line[0], 0) / np.linalg.norm(line)
            out = matrix @ (across if across @ away > 0 else -across)
            side = named(matrix @ away)
            normals[side], tips[side] = out, matrix @ vector(*outer[here], low)
        pieces.append(Wood(solid, normals, tips))
    return pieces


def named(way: Vector) -> str:
    """The side that a direction points to most."""
    return max(WAYS, key=lambda side: round(float(vector(*WAYS[side]) @ way), 6))


def rectangle(wide: float, high: float, low: float = 0.0, inset: float = 0.0) -> list[tuple[float, float]]:
    return [
        (inset, low + inset),
        (wide - inset, low + inset),
        (wide - inset, low + high - inset),
        (inset, low + high - inset),
    ]


def a_frame(spec: Json) -> Copy:
    wide, high, stock = spec["width"], spec["height"], spec["stock"]
    bottom, right, top, left = ring(
        rectangle(wide, high), rectangle(wide, high, inset=stock["width"]), 0, stock["thickness"]
    )
    return {"A1": [bottom, top], "A2": [right, left]}


def a_polygon(spec: Json) -> Copy:
    sides, stock = spec["sides"], spec["stock"]

    def corners(across: float) -> list[tuple[float, float]]:
        radius = across / 2 / cos(pi / sides)
        turns = [-pi / 2 + pi / sides * (2 * corner - 1) for corner in range(sides)]
        return [(radius * cos(turn), radius * sin(turn)) for turn in turns]

    across = spec["across"]
    return {"A1": ring(corners(across), corners(across - 2 * stock["width"]), 0, stock["thickness"])}


def a_railed_frame(spec: Json) -> Copy:
    wide, high, thick, stile = spec["width"], spec["height"], spec["thickness"], spec["stile"]
    top, bottom, middle, post = (spec[name] for name in ("top_rail", "bottom_rail", "mid_rail", "mid_stile"))
    first, left = spec["rows"][0]["opening"], spec["rows"][1]["columns"][0]
    z, between = (0, thick), (stile, wide - stile)
    mid_low, start = high - top - first - middle, stile + left
    rails = spec.get("through") == "rails"
    up, across = ((bottom, high - top), (0, wide)) if rails else ((0, high), between)
    return {
        "A1": [block((0, stile), up, z, "right"), block((wide - stile, wide), up, z, "left")],
        "A2": [block(across, (high - top, high), z, "bottom")],
        "A3": [block(between, (mid_low, mid_low + middle), z)],
        "A4": [block(across, (0, bottom), z, "top")],
        "A5": [block((start, start + post), (bottom, mid_low), z)],
    }


def a_frame_of_columns(spec: Json) -> Copy:
    """Two columns of two openings: the mid stile from rail to rail, a mid rail left and right of it."""
    wide, high, thick, stile = spec["width"], spec["height"], spec["thickness"], spec["stile"]
    top, bottom, middle, post = (spec[name] for name in ("top_rail", "bottom_rail", "mid_rail", "mid_stile"))
    first, second = spec["columns"]
    z, clear, between = (0, thick), (bottom, high - top), (stile, wide - stile)
    start = stile + first["opening"]
    stop = start + post

    def rail(x: Sequence[float], opening: float) -> Wood:
        y = high - top - opening
        return block(x, (y - middle, y), z)

    rails = spec.get("through") == "rails"
    up, across = (clear, (0, wide)) if rails else ((0, high), between)
    return {
        "A1": [block((0, stile), up, z, "right"), block((wide - stile, wide), up, z, "left")],
        "A2": [block(across, (high - top, high), z, "bottom")],
        "A3": [block(across, (0, bottom), z, "top")],
        "A4": [block((start, stop), clear, z)],
        "A5": [rail((stile, start), first["rows"][0])],
        "A6": [rail((stop, wide - stile), second["rows"][0])],
    }


def a_box(spec: Json) -> Copy:
    long, wide, wall, lid = spec["length"], spec["width"], spec["wall"], spec.get("lid")
    top = spec.get("top", {})
    cover = top["thickness"] if top.get("fit") == "over" else 0
    high = spec["height"] - cover + (lid["lip"] + lid["kerf"] if lid else 0)
    laid_over = {"A3": [block((0, long), (high, high + cover), (-wide, 0))]} if cover else {}
    if spec["corner"] == "mitre":
        front, right, back, left = ring(rectangle(long, wide), rectangle(long, wide, inset=wall), 0, high, PLAN)
        return {"A1": [front, back], "A2": [right, left]} | laid_over
    y, between = (0, high), (-wide + wall, -wall)
    return {
        "A1": [block((0, long), y, (-wall, 0), "back"), block((0, long), y, (-wide, -wide + wall), "front")],
        "A2": [block((long - wall, long), y, between, "left"), block((0, wall), y, between, "right")],
    }


def a_carcass(spec: Json) -> Copy:
    wide, high, deep, thick = (spec[name] for name in ("width", "height", "depth", "thickness"))
    plinth, over = spec["plinth"], spec["corner"] == "top_over"
    z, floor, ceiling = (0, deep), plinth + thick, high - thick
    up = (0, ceiling if over else high)
    (partition,), (shelf,) = spec["partitions"], spec["shelves"]
    between = (thick, wide - thick)
    return {
        "A1": [block((0, thick), up, z, "right"), block((wide - thick, wide), up, z, "left")],
        "A2": [block((0, wide) if over else between, (ceiling, high), z, "bottom")],
        "A3": [block(between, (plinth, floor), z, "top")],
        "A4": [block((partition, partition + thick), (floor, ceiling), z)],
        "A5": [block((thick, partition), (shelf, shelf + thick), z)],
        "A6": [block((partition + thick, wide - thick), (shelf, shelf + thick), z)],
        "A7": [block(between, (0, plinth), (deep - thick, deep))],
    }


def a_back(spec: Json) -> Wood:
    """As large as the opening and twice the rabbet's depth."""
    back, wide, high, thick = (spec[name] for name in ("back", "width", "height", "thickness"))
    low, inset = thick - back["depth"], back.get("inset", 0)
    return block((low, wide - low), (low, high - low), (inset, inset + back["thickness"]))


def a_rabbeted_carcass(spec: Json) -> Copy:
    """Partition and shelves stand before the back, one shelf behind the front edges."""
    wide, high, deep, thick = (spec[name] for name in ("width", "height", "depth", "thickness"))
    behind = spec["back"]["inset"] + spec["back"]["thickness"]
    z, inner, ceiling, between = (0, deep), (behind, deep), high - thick, (thick, wide - thick)
    (partition,), (left, right) = spec["partitions"], spec["shelves"]
    y, back = (left["at"], left["at"] + thick), deep - right["setback"]
    return {
        "A1": [block((0, thick), (0, high), z, "right"), block((wide - thick, wide), (0, high), z, "left")],
        "A2": [block(between, (ceiling, high), z, "bottom")],
        "A3": [block(between, (0, thick), z, "top")],
        "A4": [block((partition, partition + thick), (thick, ceiling), inner)],
        "A5": [block((thick, partition), y, inner)],
        "A6": [block((partition + thick, wide - thick), (right["at"], right["at"] + thick), (behind, back))],
        "A7": [a_back(spec)],
    }


def a_carcass_set_back(spec: Json) -> Copy:
    """One partition behind the front edges, a shelf flush with it and one behind it; a back in a rabbet."""
    wide, high, deep, thick = (spec[name] for name in ("width", "height", "depth", "thickness"))
    behind, ceiling, between = spec["back"]["thickness"], high - thick, (thick, wide - thick)
    (partition,), (left, right) = spec["partitions"], spec["shelves"]
    at = partition["at"]

    def inner(x: Sequence[float], y: Sequence[float], setback: float) -> Wood:
        return block(x, y, (behind, deep - setback))

    return {
        "A1": [
            block((0, thick), (0, high), (0, deep), "right"),
            block((wide - thick, wide), (0, high), (0, deep), "left"),
        ],
        "A2": [block(between, (ceiling, high), (0, deep), "bottom")],
        "A3": [block(between, (0, thick), (0, deep), "top")],
        "A4": [inner((at, at + thick), (thick, ceiling), partition["setback"])],
        "A5": [inner((thick, at), (left["at"], left["at"] + thick), left["setback"])],
        "A6": [inner((at + thick, wide - thick), (right["at"], right["at"] + thick), right["setback"])],
        "A7": [a_back(spec)],
    }


def a_carcass_of_bays(spec: Json) -> Copy:
    """Three bays: a shelf in the first two at one height, one set back in the third, one through all of them."""
    wide, high, deep, thick = (spec[name] for name in ("width", "height", "depth", "thickness"))
    toe, plinth = spec["plinth"]["setback"], spec["plinth"]["height"]
    z, floor, ceiling, between = (0, deep), plinth + thick, high - thick, (thick, wide - thick)
    one, two = spec["partitions"]
    bays = [(thick, one), (one + thick, two), (two + thick, wide - thick)]

    def shelf(bay: int, at: float, setback: float = 0) -> Wood:
        return block(bays[bay], (at, at + thick), (0, deep - setback))

    low, back, through = spec["shelves"][0]["at"], spec["shelves"][2], spec["shelves"][3]
    return {
        "A1": [block((0, thick), (0, high), z, "right"), block((wide - thick, wide), (0, high), z, "left")],
        "A2": [block(between, (ceiling, high), z, "bottom")],
        "A3": [block(between, (plinth, floor), z, "top")],
        "A4": [block((left, left + thick), (floor, ceiling), z) for left in (one, two)],
        "A5": [shelf(0, low), shelf(0, through)],
        "A6": [shelf(1, low), shelf(1, through)],
        "A7": [shelf(2, back["at"], back["setback"])],
        "A8": [shelf(2, through)],
        "A9": [block(between, (0, plinth), (deep - toe - thick, deep - toe))],
    }


def a_mitred_carcass(spec: Json) -> Copy:
    wide, high, deep, thick = (spec[name] for name in ("width", "height", "depth", "thickness"))
    plinth, (shelf,) = spec["plinth"], spec["shelves"]
    bottom, right, top, left = ring(
        rectangle(wide, high - plinth, plinth), rectangle(wide, high - plinth, plinth, thick), 0, deep
    )
    sides = [
        Wood(each.solid, {**each.normals, "inside": vector(*WAYS[inside])}, each.tips)
        for each, inside in ((right, "left"), (left, "right"))
    ]
    y, ends = (0, plinth), (thick, deep - thick)
    return {
        "A1": sides,
        "A2": [top],
        "A3": [bottom],
        "A4": [block((thick, wide - thick), (shelf, shelf + thick), (0, deep))],
        "A5": [
            block((0, wide), y, (deep - thick, deep), "back"),
            block((0, wide), y, (0, thick), "front"),
        ],
        "A6": [block((0, thick), y, ends), block((wide - thick, wide), y, ends)],
    }


def a_single_joint(spec: Json) -> Copy:
    """Two pieces that meet in x = 0; the tip, or the reference edge, lies below."""
    breadth, run, angle = spec["breadth"], spec["run"], radians(spec["angle"])
    left, right = spec["behind"]
    if spec["angle"] == 90:
        return {
            "A1": [block((-left, 0), (0, breadth), (0, run))],
            "A2": [block((0, right), (0, breadth), (0, run))],
        }
    lean = vector(-sin(angle), cos(angle)) * left
    corners = [(0, 0), (0, breadth), (lean[0], breadth + lean[1]), tuple(lean)]
    solid = CrossSection([corners]).extrude(run)
    tip = vector(0, 0, 0)
    return {"A1": [Wood(solid, {}, {"right": tip})], "A2": [Wood(solid.mirror((1, 0, 0)), {}, {"left": tip})]}


# --- the machine ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Milled:
    """A slot back in space: ``solid`` with what of the bit went into the wood, the mating face, and two points."""

    piece: str
    solid: Manifold
    out: Vector
    foot: Vector
    top: Vector


def swept(set_up: Json) -> tuple[Manifold, float]:
    """What the bit sweeps from the table up to the stop, in the machine, and how high it comes."""
    (section,) = [each for each in SECTIONS if each["name"] == set_up["cutter"].split()[0]]
    tip, out, top = set_up["tip_diameter"] / 2, set_up["projection"], set_up["depth_stop"]
    mouth = tip - out * tan(radians(section["flank"]))
    # its axis along −Y, the wide end out of the machine's face
    bit = Manifold.cylinder(out, mouth, tip, SEGMENTS).rotate((90, 0, 0))
    both = [bit.translate((0, 0, -2 * tip)), bit.translate((0, 0, top - tip))]
    return Manifold.batch_hull(both).trim_by_plane((0, 0, 1), 0), top


def mill(wood: Wood, told: Json, set_up: Json) -> Milled:
    """Lay a piece down as it is told, mill it, and take the slot back with it; no slot leaves the wood.

    The slot that comes back begins at the table, also where the piece stands above it on a spacer.
    """
    away, up = wood.normal(told["to_machine"]), -wood.normal(told["down"])
    assert abs(away @ up) < CLOSE
    turn = np.stack([np.cross(away, up), away, up])
    assert np.linalg.det(turn) == pytest.approx(1), "a piece can be turned, not mirrored"
    points = np.asarray(wood.solid.to_mesh().vert_properties, dtype=float)[:, :3]
    laid = points @ turn.T
    # to_mesh gives single precision; the sizes are whole micrometres
    laid = np.round(laid, 3)
    left = told["hand"] == "L"
    reading = -set_up["fence_reading"] if left else set_up["fence_reading"]
    far = laid[:, 1].max()
    touching = laid[laid[:, 1] > far - 0.01][:, 0]
    datum = touching.min() if left else touching.max()
    if told["at_fence"] == "tip":
        assert (turn @ wood.tips[told["to_machine"]])[0] == pytest.approx(datum, abs=0.01), (
            "the tip is at the fence"
        )
    if told["at_fence"] == "line":
        end = vector(*WAYS[told["line_from"]])
        datum = ((points @ end).max() - told["line"]) * (turn @ end)[0]
    spacer = told.get("spacer", 0.0)
    shift = vector(reading - datum, -far, spacer - laid[:, 2].min())
    bit, top = swept(set_up)
    back = np.column_stack([turn.T, -turn.T @ shift])
    solid = bit.transform(back.tolist())
    in_wood = bit.trim_by_plane((0, 0, 1), spacer).transform(back.tolist())
    assert (in_wood - wood.solid).volume() < 1e-3 * solid.volume(), f"{told} leaves its wood"
    return Milled(told["piece"], solid, away, turn.T @ -shift, turn.T @ (vector(0, 0, top) - shift))


def assert_one(pair: Sequence[Milled]) -> None:
    """Two slots are each other's image in the mating face."""
    one, other = pair
    assert one.piece != other.piece
    assert np.abs(one.out + other.out).max() < 1e-4
    image = one.solid.translate(tuple(-one.foot)).mirror(tuple(one.out)).translate(tuple(one.foot))
    assert (image ^ other.solid).volume() == pytest.approx(image.volume(), rel=2e-3)
    assert image.volume() == pytest.approx(other.solid.volume(), rel=1e-6)


def pairs(milled: Sequence[Milled]) -> Iterator[list[Milled]]:
    """Slots that have foot and top in common, within what three decimals of a file leave open."""
    rest = list(milled)
    while rest:
        one = rest.pop()
        same = [
            each
            for each in rest
            if max(np.abs(each.foot - one.foot).max(), np.abs(each.top - one.top).max()) < 0.01
        ]
        for each in same:
            rest.remove(each)
        yield [one, *same]


def project_of(spec: Json) -> Json:
    project = {"format": "dovetally-project", "version": 1, "name": "In solids", "units": "mm"}
    return project | {"sections": SECTIONS, "assemblies": [spec]}


def told_of(spec: Json) -> Json:
    planned = plan_document(project_of(spec))
    assert planned[1].makeable
    return set_ups_document(set_up_sheet_of([planned]))


def check(
    spec: Json, copy: Copy, joints: Mapping[str, int], spoil: Callable[[Json], Json] = lambda told: told
) -> int:
    """Follow the whole file; ``joints`` are those of one copy. Returns how many pairs of slots met."""
    quantity, met = spec.get("quantity", 1), 0
    document = told_of(spec)
    assert document["setups"]
    for set_up in document["setups"]:
        by_joint: dict[str, list[Milled]] = defaultdict(list)
        passes = [spoil(told) for told in set_up["pieces"]]
        for told in passes:
            mark, place = told["piece"].split()
            number, total = map(int, place.split("/"))
            each = len(copy[mark])
            assert total == each * quantity
            wood = copy[mark][(number - 1) % each].behind(APART * ((number - 1) // each))
            by_joint[told["joint"]].append(mill(wood, told, set_up))
        hands, downs = Counter(told["hand"] for told in passes), defaultdict(set)
        slots: dict[str, set[bool]] = defaultdict(set)
        for told in passes:
            downs[told["joint"]].add(told["down"])
            # a joint whose slots mirror each other has one from either edge in one set-up
            slots[told["joint"]].add(told.get("turned", False))
        for joint, milled in by_joint.items():
            assert len(milled) == 2 * joints[joint] * quantity * len(downs[joint]) * len(slots[joint])
            for pair in pairs(milled):
                assert len(pair) == 2
                assert_one(pair)
                met += 1
        # of each joint one is left and one is right; a piece that is turned over for a second pass counts once
        assert hands["L"] == hands["R"]
        assert set_up["left"] == set_up["right"]
        assert 2 * set_up["left"] == sum(len(milled) / len(downs[joint]) for joint, milled in by_joint.items())
    assert {told["joint"] for set_up in document["setups"] for told in set_up["pieces"]} == set(joints)
    return met


STOCK = {"width": 43, "thickness": 23}
FRAME = {"kind": "mitred_frame", "mark": "A", "quantity": 2, "measure": "outside", "width": 433, "height": 317} | {
    "stock": STOCK
}
HEXAGON = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "sides": 6, "across": 446, "stock": STOCK}
RAILED = {"kind": "railed_frame", "mark": "A", "quantity": 2, "width": 617, "height": 731, "thickness": 23} | {
    "stile": 57, "top_rail": 53, "bottom_rail": 71, "mid_rail": 49, "mid_stile": 41,
    "rows": [{"opening": 183}, {"opening": "rest", "columns": [197, "rest"]}],
}  # fmt: skip
COLUMNS = {"kind": "railed_frame", "mark": "A", "width": 617, "height": 731, "thickness": 23} | {
    "stile": 57, "top_rail": 53, "bottom_rail": 71, "mid_rail": 49, "mid_stile": 43,
    "columns": [{"opening": 211, "rows": [193, "rest"]}, {"opening": "rest", "rows": [307, "rest"]}],
}  # fmt: skip
BOX = {"kind": "box", "mark": "A", "measure": "outside", "length": 293, "width": 187, "height": 109, "wall": 17}
TOP = {"fit": "over", "material": "ash", "thickness": 7}
LID = {"height": 43, "kerf": 3, "lip": 7, "clearance": 0.1}
CARCASS = {"kind": "carcass", "mark": "A", "width": 813, "height": 911, "depth": 343, "thickness": 19} | {
    "shelves": [437], "partitions": [359], "plinth": 77,
}  # fmt: skip
BAYS = {"kind": "carcass", "mark": "A", "width": 941, "height": 913, "depth": 339, "thickness": 19} | {
    "corner": "top_between", "partitions": [283, 557], "plinth": {"height": 83, "setback": 47},
    "shelves": [{"at": 271, "bay": 1}, {"at": 271, "bay": 2}, {"at": 433, "bay": 3, "setback": 29}, 643],
}  # fmt: skip
RABBETED = {"kind": "carcass", "mark": "A", "width": 791, "height": 817, "depth": 337, "thickness": 19} | {
    "corner": "top_between", "partitions": [341],
    "back": {"fit": "rabbet", "thickness": 5, "depth": 7, "inset": 2},
    "shelves": [{"at": 283, "bay": 1}, {"at": 457, "bay": 2, "setback": 31}],
}  # fmt: skip
SET_BACK = RABBETED | {
    "partitions": [{"at": 341, "setback": 37}], "back": {"fit": "rabbet", "thickness": 5, "depth": 7},
    "shelves": [{"at": 283, "bay": 1, "setback": 37}, {"at": 457, "bay": 2, "setback": 59}],
}  # fmt: skip
FROM_BEHIND = {f"A-J{number}": 1 for number in range(3, 9)} | {"A-J1": 2, "A-J2": 2}
SINGLE = {"kind": "single_joint", "mark": "A", "breadth": 67, "run": 53, "behind": [150, 150], "entry": "back"}
JOINTS = {"A-J1": 2, "A-J2": 2, "A-J3": 1, "A-J4": 1, "A-J5": 1, "A-J6": 1, "A-J7": 1, "A-J8": 1, "A-J9": 2}
CASES: dict[str, tuple[Json, Callable[[Json], Copy], dict[str, int]]] = {
    "frame": (FRAME, a_frame, {"A-J1": 4}),
    "frame entered from both edges": (
        FRAME | {"stock": {"width": 43, "thickness": 56}, "keys": {"entry": "both"}}, a_frame, {"A-J1": 4}),
    "hexagon": (HEXAGON, a_polygon, {"A-J1": 6}),
    "octagon": (HEXAGON | {"sides": 8, "across": 517}, a_polygon, {"A-J1": 8}),
    "railed frame": (RAILED, a_railed_frame, {"A-J1": 2, "A-J2": 2, "A-J3": 2, "A-J4": 1, "A-J5": 1}),
    "columns before rows": (
        COLUMNS, a_frame_of_columns,
        {"A-J1": 2, "A-J2": 2, "A-J3": 1, "A-J4": 1, "A-J5": 1, "A-J6": 1, "A-J7": 1, "A-J8": 1}),
    "columns before rows, rails through": (
        COLUMNS | {"through": "rails"}, a_frame_of_columns,
        {"A-J1": 2, "A-J2": 2, "A-J3": 1, "A-J4": 1, "A-J5": 1, "A-J6": 1, "A-J7": 1, "A-J8": 1}),
    "rows, rails through": (
        RAILED | {"through": "rails"}, a_railed_frame, {"A-J1": 2, "A-J2": 2, "A-J3": 2, "A-J4": 1, "A-J5": 1}),
    "mitred box with a lid": (BOX | {"corner": "mitre", "lid": LID, "top": TOP}, a_box, {"A-J1": 4, "A-J2": 4}),
    "butted box": (BOX | {"corner": "butt", "quantity": 2}, a_box, {"A-J1": 4}),
    "carcass, top between": (CARCASS | {"corner": "top_between"}, a_carcass, JOINTS),
    "carcass, top over": (CARCASS | {"corner": "top_over"}, a_carcass, JOINTS),
    "carcass of three bays": (
        BAYS, a_carcass_of_bays,
        {"A-J1": 2, "A-J2": 2, "A-J3": 2, "A-J4": 2, "A-J5": 2, "A-J6": 2, "A-J7": 3, "A-J8": 1, "A-J9": 1,
         "A-J10": 1, "A-J11": 1, "A-J12": 1, "A-J13": 2}),
    "carcass from behind": (RABBETED | {"keys": {"entry": "back"}}, a_rabbeted_carcass, FROM_BEHIND),
    "carcass from behind and in front": (RABBETED, a_rabbeted_carcass, FROM_BEHIND),
    "shallow carcass from behind and in front": (
        RABBETED | {"depth": 83, "shelves": [{"at": 283, "bay": 1}, {"at": 457, "bay": 2, "setback": 3}]},
        a_rabbeted_carcass, FROM_BEHIND),
    "carcass with a partition set back": (SET_BACK, a_carcass_set_back, FROM_BEHIND),
    "mitred carcass": (
        CARCASS | {"corner": "mitre", "partitions": []}, a_mitred_carcass,
        {"A-J1": 2, "A-J2": 2, "A-J3": 2, "A-J4": 4}),
    "single butt": (SINGLE | {"angle": 90}, a_single_joint, {"A-J1": 1}),
    "single mitre, both edges": (SINGLE | {"angle": 52, "entry": "both"}, a_single_joint, {"A-J1": 1}),
    "single mitre, front": (
        SINGLE | {"angle": 61, "run": 29, "keys": {"entry": "front"}}, a_single_joint, {"A-J1": 1}),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_what_the_file_tells_makes_the_joints(name: str) -> None:
    spec, build, joints = CASES[name]
    assert check(spec, build(spec), joints) >= sum(joints.values()) * spec.get("quantity", 1)


def test_some_runs_have_a_depth_and_a_stop_at_each_end() -> None:
    stops: dict[str, set[str]] = {}
    for name, (spec, *_) in CASES.items():
        for assembly in takeoff_document(plan_document(project_of(spec))[1])["assemblies"]:
            for joint in assembly["joints"]:
                if "other_depth_stop" in joint:
                    assert joint["other_depth_stop"] != joint["depth_stop"]
                    assert len({(slot["entry"], slot["depth"]) for slot in joint["slots"]}) == 2
                    stops.setdefault(name, set()).add(joint["mark"])
    assert stops["shallow carcass from behind and in front"] == {"A-J3", "A-J4", "A-J5", "A-J6"}
    assert len(stops) >= 3


TURNING = [name for name, (spec, *_) in CASES.items() if spec["kind"] == "railed_frame" or spec.get("angle") == 90]
"""Where two slots of a square joint lie beside each other: on board edges there is one, and a mitre has a tip."""


@pytest.mark.parametrize("name", CASES)
def test_pieces_are_turned_where_that_saves_a_reading_and_nowhere_else(name: str) -> None:
    document = told_of(CASES[name][0])
    turned = [told for set_up in document["setups"] for told in set_up["pieces"] if told.get("turned")]
    assert bool(turned) == (name in TURNING)
    # never without its mate, and no tip has an edge across from it
    assert Counter(told["hand"] for told in turned)["L"] * 2 == len(turned)
    assert {told["at_fence"] for told in turned} <= {"edge", "line"}
    centres = {
        (joint["mark"], slot["centre"])
        for assembly in takeoff_document(plan_document(project_of(CASES[name][0]))[1])["assemblies"]
        for joint in assembly["joints"]
        for slot in joint["slots"]
    }
    readings = {
        (told["joint"], set_up["fence_reading"]) for set_up in document["setups"] for told in set_up["pieces"]
    }
    assert len(readings) <= len(centres)
    assert (readings < centres or len(readings) < len(centres)) == (name in TURNING)


@pytest.mark.parametrize("name", TURNING)
def test_turned_without_the_other_edge_or_the_other_hand_makes_none(name: str) -> None:
    spec, build, joints = CASES[name]

    def from_its_start(told: Json) -> Json:
        return told | {"line": told["line"] - 1} if told.get("turned") and "line" in told else told

    def from_its_hand(told: Json) -> Json:
        return told | {"hand": OTHER[told["hand"]]} if told.get("turned") and "line" not in told else told

    for spoil in (from_its_start, from_its_hand):
        with pytest.raises(AssertionError):
            check(spec, build(spec), joints, spoil)


OTHER = {"L": "R", "R": "L"}


# a butted box's front, turned end for end, has its slots in the same places, and so has an end that is measured
# from both its edges with mirror-image centres: there a wrong hand does no harm
@pytest.mark.parametrize("name", [name for name in CASES if name not in {"butted box", "single butt"}])
def test_a_wrong_hand_makes_none(name: str) -> None:
    spec, build, joints = CASES[name]

    def spoil(told: Json) -> Json:
        return told | {"hand": OTHER[told["hand"]]} if told["piece"].startswith("A1 ") else told

    with pytest.raises(AssertionError):
        check(spec, build(spec), joints, spoil)


@pytest.mark.parametrize("name", ["carcass from behind", "carcass from behind and in front"])
@pytest.mark.parametrize("wrong", [0.0, 5.0, 9.0])
def test_another_spacer_makes_none(name: str, wrong: float) -> None:
    spec, build, joints = CASES[name]
    told = [each for set_up in told_of(spec)["setups"] for each in set_up["pieces"]]
    # inset and thickness of the back: so far inside the side's edge the shelf's lies
    assert {each.get("spacer", 0) for each in told} == {0, 7}

    def spoil(told: Json) -> Json:
        return told | {"spacer": wrong} if "spacer" in told else told

    with pytest.raises(AssertionError):
        check(spec, build(spec), joints, spoil)


@pytest.mark.parametrize("name", ["railed frame", "carcass, top between"])
@pytest.mark.parametrize("wrong", [{"line": 100.0}, {"to_machine": "back"}])
def test_a_wrong_place_makes_none(name: str, wrong: Json) -> None:
    spec, build, joints = CASES[name]

    def spoil(told: Json) -> Json:
        return told | wrong if told["at_fence"] == "line" else told

    with pytest.raises(AssertionError):
        check(spec, build(spec), joints, spoil)
