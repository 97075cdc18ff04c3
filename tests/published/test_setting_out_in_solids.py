"""The setting-out sheet, followed: what it draws, put on wood of the tests' own, is what the machine cuts there.

The pieces and the machine are those of ``test_set_ups_in_solids``: solids of ``manifold3d`` from the sizes that
were typed, milled as ``setups --json`` tells. A slot that the sheet draws, measured from the edges that it names,
must be one that was milled in that piece, and every milled slot must be drawn. Grooves and rabbets, cut as they
are drawn, must take from every piece just what the panel fills, as large as its opening and twice its depth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import permutations, product
from math import pi, tan
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold, OpType

from domain.lengths import Mm
from domain.machine.document import set_ups_document
from domain.machine.hands import Place
from domain.parts import Single
from domain.setting_out.piece_views import piece_views
from domain.setting_out.sheets import SetOut, set_out
from domain.setting_out.views import Channel, SlotPlace, View
from domain.space.body import Body
from domain.takeoff.pieces import Joined, pieces
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import cut as shaped
from tests.published.test_bodies_in_solids import placed as uncut
from tests.published.test_bodies_in_solids import put_together, stock
from tests.published.test_set_ups_in_solids import (
    APART,
    BOX,
    CARCASS,
    CASES,
    FRAME,
    LID,
    SECTIONS,
    SEGMENTS,
    STOCK,
    WAYS,
    Copy,
    Json,
    Wood,
    a_box,
    a_carcass,
    a_frame,
    a_mitred_carcass,
    a_railed_frame,
    block,
    mill,
    vector,
)
from webapp.usecases.files import plan_document, set_up_sheet_of

Cutter = tuple[Manifold, np.ndarray[Any, Any]]


def planned(spec: Json) -> tuple[AssemblyTakeoff, Json]:
    project = {"format": "dovetally-project", "version": 1, "name": "Set out", "units": "mm", "sections": SECTIONS}
    found = plan_document(project | {"assemblies": [spec]})
    return found[1].assemblies[0], set_ups_document(set_up_sheet_of([found]))


def placed(wood: Wood, view: View) -> np.ndarray[Any, Any]:
    """From the view (right, up, out) to where the wood stands: three rows of four."""
    points = np.round(np.asarray(wood.solid.to_mesh().vert_properties, dtype=float)[:, :3], 3)
    up = vector(*WAYS[view.high.value])
    right = vector(*WAYS[view.right.value])
    if view.surface.value == "inside" and "inside" not in wood.normals:
        # a mitred piece is shorter on the side that looks into the assembly
        out = np.cross(right, up)
        faces = [points[points @ way > (points @ way).max() - 0.01] @ right for way in (out, -out)]
        assert np.ptp(faces[0]) < np.ptp(faces[1])
    else:
        out = wood.normal(view.surface.value)
    far = (points @ out).max()
    if view.place is Place.MITRED_END:
        # the end itself, whose joint line leans
        points = points[points @ out > far - 0.01]
    named = right
    if abs(up @ out) < 1e-9:
        right = np.cross(up, out)
    else:
        up = np.cross(out, right)
    # a piece that leans is called by where it points to most; its ends are called by the piece
    assert right @ named > 0.7 or view.place is Place.MITRED_END
    turn = np.stack([right, up, out], axis=1)
    assert np.linalg.det(turn) == pytest.approx(1), "a view is no mirror image"
    origin = turn @ vector((points @ right).min(), (points @ up).min(), far)
    assert (points @ right).max() - (points @ right).min() == pytest.approx(view.width, abs=0.01)
    assert (points @ up).max() - (points @ up).min() == pytest.approx(view.height, abs=0.01)
    return np.column_stack([turn, origin])


def drawn_slot(view: View, slot: SlotPlace) -> Manifold:
    """What the bit takes where the sheet draws the slot, in the view: out of its edge, its round end inside."""
    flank = (slot.tip - slot.mouth) / 2 / slot.projection
    assert flank == pytest.approx(tan(SECTIONS[0]["flank"] * pi / 180), rel=1e-6)
    bit = Manifold.cylinder(slot.projection, slot.tip / 2, slot.mouth / 2, SEGMENTS)
    bit = bit.translate((0, 0, -slot.projection))
    end = slot.foot + slot.depth - slot.tip / 2
    low = slot.entry in {view.left, view.low}
    length = view.width if slot.across else view.height
    ways = [-slot.tip, end] if low else [length + slot.tip, length - end]
    return Manifold.batch_hull(
        [bit.translate((way, slot.centre, 0) if slot.across else (slot.centre, way, 0)) for way in ways]
    )


def pieces_of(entries: Sequence[SetOut], copy: Copy) -> Iterator[tuple[str, Wood, SetOut]]:
    for entry in entries:
        woods = copy[entry.member.mark]
        for name in entry.pieces:
            number = name.number - 1
            yield str(name), woods[number % len(woods)].behind(APART * (number // len(woods))), entry


def same(one: Manifold, other: Manifold) -> bool:
    whole = one.volume()
    return bool(abs(whole - other.volume()) < 1e-3 * whole and (one ^ other).volume() > (1 - 1e-3) * whole)


PANEL = {"fit": "groove", "depth": 9, "width": 6, "thickness": 6}
RAILED = CASES["railed frame"][0] | {"quantity": 1, "panel": PANEL}
LET_IN = {"fit": "groove", "depth": 7, "thickness": 5}


def railed_panels(spec: Json) -> list[Manifold]:
    """As large as the openings and twice the groove's depth, in the middle or at the back."""
    panel, thick = spec["panel"], spec["thickness"]
    low = (thick - panel["width"]) / 2 if panel["fit"] == "groove" else 0
    wide, high, stile, grow = spec["width"], spec["height"], spec["stile"], panel["depth"]
    top, bottom, rail, post = (spec[name] for name in ("top_rail", "bottom_rail", "mid_rail", "mid_stile"))
    first, left = spec["rows"][0]["opening"], spec["rows"][1]["columns"][0]
    mid = high - top - first
    openings = [
        ((stile, wide - stile), (mid, high - top)),
        ((stile, stile + left), (bottom, mid - rail)),
        ((stile + left + post, wide - stile), (bottom, mid - rail)),
    ]
    z = (low, low + panel["width"])
    return [block((x[0] - grow, x[1] + grow), (y[0] - grow, y[1] + grow), z).solid for x, y in openings]


def carcass_back(spec: Json) -> list[Manifold]:
    back, thick, plinth = spec["back"], spec["thickness"], spec.get("plinth", 0)
    start = back.get("inset", 0) if back["fit"] == "groove" else 0
    grow = back["depth"]
    x = (thick - grow, spec["width"] - thick + grow)
    y = (plinth + thick - grow, spec["height"] - thick + grow)
    return [block(x, y, (start, start + back["thickness"])).solid]


def box_panels(spec: Json) -> list[Manifold]:
    wall, long, wide, lid = spec["wall"], spec["length"], spec["width"], spec.get("lid")
    high = spec["height"] + (lid["lip"] + lid["kerf"] if lid else 0)
    found = []
    for name in {"bottom", "top"} & spec.keys():
        let = spec[name]
        grow, thick = let["depth"], let["thickness"]
        low = let.get("up", 0) if name == "bottom" else high - let["down"] - thick
        x, z = (wall - grow, long - wall + grow), (-(wide - wall + grow), -(wall - grow))
        found.append(block(x, (low, low + thick), z).solid)
    return found


def glass(spec: Json) -> list[Manifold]:
    stock = spec["stock"]
    edge = stock["width"] - stock["rabbet_width"]
    x, y = (edge, spec["width"] - edge), (edge, spec["height"] - edge)
    return [block(x, y, (0, stock["rabbet_depth"])).solid]


def a_backed_carcass(spec: Json) -> Copy:
    """Shelves and partitions stand in front of the back."""
    copy, behind = a_carcass(spec), spec["back"].get("inset", 0) + spec["back"]["thickness"]
    inner = {
        mark: [Wood(wood.solid.trim_by_plane((0, 0, 1), behind), wood.normals, wood.tips) for wood in copy[mark]]
        for mark in ("A4", "A5", "A6")
    }
    return copy | inner


def a_backed_mitred_carcass(spec: Json) -> Copy:
    copy, behind = a_mitred_carcass(spec), spec["back"]["inset"] + spec["back"]["thickness"]
    (shelf,) = copy["A4"]
    return copy | {"A4": [Wood(shelf.solid.trim_by_plane((0, 0, 1), behind))]}


INSET, RABBETED = {"back": LET_IN | {"inset": 11}}, {"back": LET_IN | {"fit": "rabbet"}}
BOTTOM = {"fit": "groove", "depth": 6, "thickness": 4, "up": 5}
TOP = {"depth": 5, "thickness": 3, "down": 4, "material": "ash"}
Build = Callable[[Json], Copy]
CHANNELS: dict[str, tuple[Json, Build, Callable[[Json], list[Manifold]]]] = {
    "railed, grooved": (RAILED, a_railed_frame, railed_panels),
    "railed, rabbeted": (RAILED | {"panel": PANEL | {"fit": "rabbet"}}, a_railed_frame, railed_panels),
    "carcass, back in a groove": (CARCASS | {"corner": "top_between"} | INSET, a_backed_carcass, carcass_back),
    "carcass, top over, backed": (CARCASS | {"corner": "top_over"} | INSET, a_backed_carcass, carcass_back),
    "carcass, back in a rabbet": (CARCASS | {"corner": "top_between"} | RABBETED, a_backed_carcass, carcass_back),
    "mitred carcass with a back": (
        CARCASS | {"corner": "mitre", "partitions": []} | INSET, a_backed_mitred_carcass, carcass_back),
    "mitred box": (
        BOX | {"corner": "mitre", "lid": LID, "bottom": BOTTOM, "top": TOP}, a_box, box_panels),
    "butted box with a bottom": (BOX | {"corner": "butt", "bottom": BOTTOM}, a_box, box_panels),
    "frame with a rabbet": (
        FRAME | {"quantity": 1, "stock": STOCK | {"rabbet_width": 7, "rabbet_depth": 9}}, a_frame, glass),
}  # fmt: skip


@pytest.mark.parametrize("name", [*(name for name in CASES if not name.startswith("single")), *CHANNELS])
def test_slots_are_drawn_where_they_are_milled(name: str) -> None:
    spec, build, _ = CASES[name] if name in CASES else CHANNELS[name]
    takeoff, document = planned(spec)
    copy, entries = build(spec), set_out(takeoff)
    woods = {piece: wood for piece, wood, _ in pieces_of(entries, copy)}
    milled: dict[tuple[str, str], list[Manifold]] = {}
    for set_up in document["setups"]:
        for told in set_up["pieces"]:
            solid = mill(woods[told["piece"]], told, set_up).solid ^ woods[told["piece"]].solid
            milled.setdefault((told["piece"], told["joint"]), []).append(solid)
    for piece, wood, entry in pieces_of(entries, copy):
        # pieces that share an entry are each other turned: the one that is drawn is the first
        if piece != str(entry.pieces[0]):
            continue
        for view in entry.views:
            there = placed(wood, view)
            for slot in view.slots:
                solid = drawn_slot(view, slot).transform(there.tolist()) ^ wood.solid
                rest = milled[piece, slot.joint]
                found = [each for each in rest if same(solid, each)]
                assert len(found) == 1, f"{piece} {slot}"
                rest.remove(found[0])
    firsts = {str(entry.pieces[0]) for entry in entries}
    assert not [key for key, rest in milled.items() if rest and key[0] in firsts]


ROTATIONS = [
    turn
    for order in permutations(range(3))
    for signs in product((1, -1), repeat=3)
    if np.linalg.det(turn := np.diag(signs)[list(order)].astype(float)) > 0
]


def moved(one: Manifold, other: Manifold) -> bool:
    """True where a shape is the other one moved and turned, squarely; never mirrored."""

    def centred(solid: Manifold) -> Manifold:
        low, high = np.array(solid.bounding_box()[:3]), np.array(solid.bounding_box()[3:])
        return solid.translate(tuple(-(low + high) / 2))

    here, there = centred(one), centred(other)
    turned = (centred(here.transform(np.column_stack([turn, np.zeros(3)]).tolist())) for turn in ROTATIONS)
    return any((each - there).volume() + (there - each).volume() < 5e-5 * there.volume() for each in turned)


@pytest.mark.parametrize(
    "name", [name for name in CASES if name != "octagon" and not name.startswith(("single", "hex"))]
)
def test_pieces_share_an_entry_where_they_are_one_shape_and_a_mirror_is_one(name: str) -> None:
    spec, build, _ = CASES[name]
    takeoff, document = planned(spec)
    copy, entries = build(spec), set_out(takeoff)
    woods = {piece: wood for piece, wood, _ in pieces_of(entries, copy)}
    slotted = {piece: wood.solid for piece, wood in woods.items()}
    for set_up in document["setups"]:
        for told in set_up["pieces"]:
            slotted[told["piece"]] -= mill(woods[told["piece"]], told, set_up).solid
    for entry in entries:
        first, *others = (slotted[str(each)] for each in entry.pieces)
        assert all(moved(first, other) for other in others)
        if entry.mirrors is not None:
            assert moved(first.mirror((1, 0, 0)), slotted[str(entry.mirrors)])


def cut(view: View, channel: Channel, stretch: tuple[Mm, Mm]) -> Manifold:
    """A stretch of a groove as a block in the view, longer by far where it runs out."""
    start, end = stretch
    start = start if start > view.inset[0] + 0.001 else Mm(start - 500)
    end = end if end < view.width - view.inset[1] - 0.001 else Mm(end + 500)
    low = channel.low if channel.side is view.low else view.height - channel.low - channel.width
    over = 0.5 if channel.low == 0 else 0.0
    if over and channel.side is view.low:
        low -= over
    size = (end - start, channel.width + over, channel.depth + 1)
    return Manifold.cube(size).translate((start, low, -channel.depth))


@pytest.mark.parametrize("name", CHANNELS)
def test_grooves_are_drawn_where_the_panels_are(name: str) -> None:
    spec, build, panels = CHANNELS[name]
    takeoff, _ = planned(spec)
    filled = Manifold.batch_boolean(panels(spec), OpType.Add)
    taken = 0
    for piece, wood, entry in pieces_of(set_out(takeoff), build(spec)):
        if piece != str(entry.pieces[0]):
            continue
        cuts = [
            cut(view, channel, stretch).transform(placed(wood, view).tolist())
            for view in entry.views
            for channel in view.channels
            for stretch in channel.stretches
        ]
        need = wood.solid ^ filled
        if not cuts:
            assert need.volume() == pytest.approx(0, abs=1e-6), piece
            continue
        taken += 1
        away = Manifold.batch_boolean(cuts, OpType.Add) ^ wood.solid
        assert (need - away).volume() < 1e-6 * need.volume() + 1e-6, f"{piece}: the panel does not go in"
        assert (away - need).volume() < 1e-6 * need.volume() + 1e-6, f"{piece}: more is cut than the panel fills"
    assert taken


def stood(body: Body) -> Wood:
    """A body before its channels are cut, with what its sides are called."""
    normals = {side.value: np.array(body.outward(side)) for side in (*body.sides.edges, *body.sides.faces)}
    for side, end, sign in zip(body.sides.ends, body.ends, (-1, 1), strict=True):
        normal = sign * np.array([1.0, -end.by_width, -end.by_thickness])
        normals[side.value] = np.stack(body.ways, axis=1) @ normal / np.linalg.norm(normal)
    return Wood(uncut(body, stock(body)), normals)


# of a single joint only the wood behind its face is known
@pytest.mark.parametrize("seed", [seed for seed in range(60) if seed % 5 != 4])
def test_random_assemblies_are_set_out_as_their_bodies_stand(seed: int) -> None:
    """Both slots of a joint coincide where its two pieces stand, and grooves are those of the bodies."""
    spec = {"name": "Set out", "keys": {}} | assorted(seed)
    takeoff, _ = planned(spec)
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    bodies = {body.piece: body for body in put_together(spec)[1]}
    ends: dict[tuple[str, int], list[list[np.ndarray[Any, Any]]]] = {}
    for piece in pieces(takeoff.expansion):
        body = bodies[Single(piece.name.mark, piece.name.number - 1)]
        views, wood = piece_views(piece, plans), stood(body)
        cuts = [
            cut(view, channel, stretch).transform(placed(wood, view).tolist())
            for view in views
            for channel in view.channels
            for stretch in channel.stretches
        ]
        if views:
            mine, theirs = wood.solid - Manifold.batch_boolean(cuts, OpType.Add), shaped(body)
            # a micrometre of a long groove
            assert (mine - theirs).volume() + (theirs - mine).volume() < 5, str(piece.name)
        for view in views:
            there = placed(wood, view)
            for one in view.joints:
                here = [
                    there @ np.array([*point, 0, 1])
                    for slot in view.slots
                    if slot.joint == one.joint.mark and is_of(slot, one, view)
                    for point in in_view(view, slot)
                ]
                ends.setdefault((one.joint.mark, one.number), []).append(here)
    assert {mark for mark, _ in ends} == set(plans)
    for key, pair in ends.items():
        first, second = ([tuple(np.round(point, 3)) for point in points] for points in pair)
        assert len(first) == 2 * len(plans[key[0]].slots)
        assert np.abs(np.array(sorted(first)) - np.array(sorted(second))).max(initial=0) < 2e-3, key


def is_of(slot: SlotPlace, one: Joined, view: View) -> bool:
    """Whether a slot is this joint's: two of one mark may be in one face or edge."""
    if view.datum is not None:
        return True
    assert one.spot.start is not None
    return abs(view.at(one.spot.start, one.spot.offset + slot.reading) - slot.centre) < 1e-6


def in_view(view: View, slot: SlotPlace) -> list[tuple[float, float]]:
    """Where a slot's middle enters the face and where it ends."""
    places = [view.at(slot.entry, deep) for deep in (slot.foot, slot.foot + slot.depth)]
    return [(place, slot.centre) if slot.across else (slot.centre, place) for place in places]
