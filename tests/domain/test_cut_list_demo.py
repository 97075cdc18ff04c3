"""The demo's cut list by hand: what a joiner writes down from the sizes that ship, in mm, kerf 3.2.

Grooves and rabbets are (fit, width, depth, how far from their edge, stops); the usual rules add nothing to sizes.
"""

from __future__ import annotations

from domain.cut_list.listing import CutList, cut_list
from domain.cut_list.long_lengths import long_lengths
from domain.cut_list.part import CutPart
from tests.domain.cut_lists import demo_job, group_of, part_of

Line = tuple[object, ...]


def demo(*names: str) -> CutList:
    return cut_list([demo_job(name) for name in names])


def line(part: CutPart) -> Line:
    """Mark, name, quantity, length, width, thickness."""
    thick = part.rough.thickness
    sizes = (round(part.rough.length, 3), round(part.rough.width, 3), None if thick is None else round(thick, 4))
    return (part.mark, part.name, part.quantity, *sizes)


def lines(found: CutList, item: str) -> list[Line]:
    return [line(part) for part in group_of(found, item).parts]


def grooves(found: CutList, mark: str) -> list[Line]:
    return [
        (each.fit.value, each.width, each.depth, each.offset, *(f"{end} {stop:g}" for end, stop in each.stops))
        for each in part_of(found, mark).grooves
    ]


def runs(found: CutList) -> list[Line]:
    """Item, the marks with their pieces, the length in mm."""
    return [
        (run.item, "+".join(f"{part.mark}×{each}" for part, each in run.parts), round(run.length, 2))
        for run in long_lengths(found)
    ]


def test_the_frames() -> None:
    found = demo("frame-set")
    # three sections of ash, the thickest first, then glazing, which has no thickness of its own
    items = ["ash 48 × 26", "ash 44 × 24", "ash 34 × 21", "glazing"]
    assert [group.item for group in found.groups] == items
    # 2 frames: glass 460 × 340 and 3 to fit, rabbet to rabbet; beyond it stock 48 less its rabbet 7, twice 41:
    # 463 + 82 = 545, 343 + 82 = 425
    assert lines(found, "ash 48 × 26") == [
        ("A1", "top and bottom", 4, 545, 48, 26),
        ("A2", "side", 4, 425, 48, 26),
    ]
    # 5 frames: 230 + 3 + 2·(34 − 7) = 287, 170 + 3 + 54 = 227
    assert lines(found, "ash 34 × 21") == [
        ("B1", "top and bottom", 10, 287, 34, 21),
        ("B2", "side", 10, 227, 34, 21),
    ]
    # a hexagon 390 across its flats has sides of 390/√3 = 225.167; short points 2·44/√3 = 50.807 less
    assert lines(found, "ash 44 × 24") == [("C1", "side", 6, 225.167, 44, 24)]
    assert round(part_of(found, "C1").short_length or 0, 3) == 174.36
    # glass as typed; the hexagon's: 390 − 2·(44 − 8) − 3 = 315 from flat to flat, ·2/√3 = 363.731 to its points
    assert lines(found, "glazing") == [
        ("A3", "glazing", 2, 460, 340, None),
        ("B3", "glazing", 5, 230, 170, None),
        ("C2", "glazing", 1, 363.731, 315, None),
    ]
    # all long points: 4·545 + 4·425 = 3880 and 7 cuts of 3.2 = 22.4; 6·225.1666 = 1351 and 5 cuts = 16;
    # 10·287 + 10·227 = 5140 and 19 cuts = 60.8
    assert runs(found) == [
        ("ash 48 × 26", "A1×4+A2×4", 3902.4),
        ("ash 44 × 24", "C1×6", 1367.0),
        ("ash 34 × 21", "B1×10+B2×10", 5200.8),
    ]
    # rabbets as wide as they are deep from the back, and 7 or 8 into the edge
    assert [grooves(found, mark) for mark in ("A1", "B1", "C1")] == [
        [("rabbet", 11, 7, 0)],
        [("rabbet", 9, 7, 0)],
        [("rabbet", 8, 8, 0)],
    ]
    assert [bool(run.shape.front) for run in long_lengths(found)] == [False, False, True]


def test_the_box() -> None:
    found = demo("keepsake-box")
    # 12 1/2 in = 317.5, 9 1/4 in = 234.95; walls are made 4 5/16 + 3/16 of lip + 1/16 of kerf = 4 9/16 in high,
    # 115.8875, and are 11/16 in = 17.4625 thick
    wood = "cherry 115.8875 × 17.4625"
    assert lines(found, wood) == [
        ("A1", "front and back", 2, 317.5, round(115.8875, 3), 17.4625),
        ("A2", "side", 2, 234.95, round(115.8875, 3), 17.4625),
    ]
    assert part_of(found, "A1").bevelled
    assert part_of(found, "A1").short_length == 317.5 - 2 * 17.4625
    # bottom and glass: inside 282.575 × 200.025 and 5/32 in = 3.96875 into the wall on each side
    sides = (290.512, 207.962)  # 290.5125 and 207.9625, halves to even
    assert lines(found, "sheet 4.7625") == [("A3", "bottom", 1, *sides, 4.7625)]
    assert lines(found, "clear glass 3.175") == [("A4", "top", 1, *sides, 3.175)]
    # lining 1/16 in = 1.5875: front and back are as long as the inside, the sides stand between, 200.025 − 3.175.
    # The floor is 5/16 + 3/16 = 1/2 in up, the body 4 5/16 − 1 1/2 = 2 13/16 in: with its lip 3 in, so 2 1/2 in
    # = 63.5. The lid's, 1 1/2 in less the lip and the roof of 1/4 + 1/8: 15/16 in = 23.8125
    assert lines(found, "lining 1.5875") == [
        ("A5", "body lining, front and back", 2, 282.575, 63.5, 1.5875),
        ("A6", "body lining, side", 2, 196.85, 63.5, 1.5875),
        ("A7", "lid lining, front and back", 2, 282.575, 23.812, 1.5875),
        ("A8", "lid lining, side", 2, 196.85, 23.812, 1.5875),
    ]
    # the bottom's groove 5/16 in up, the glass's 1/4 in down: both run out in the mitres
    both = [("groove", 4.7625, 3.96875, 7.9375), ("groove", 3.175, 3.96875, 6.35)]
    assert [grooves(found, mark) for mark in ("A1", "A2")] == [both, both]
    # 2·317.5 + 2·234.95 = 1104.9 and 3 cuts = 9.6
    assert runs(found) == [(wood, "A1×2+A2×2", 1114.5)]


def test_the_cabinet() -> None:
    found = demo("hall-cabinet")
    # the carcass is of plywood: 840 wide less its sides, 804; a shelf in each bay: 411 − 18 = 393, and
    # 840 − 18 − 411 − 18 = 393. What stands before the back: 360 less 10 and 6. The partition: 820 − 64 − 36 = 720
    assert lines(found, "birch plywood 18") == [
        ("A1", "side", 2, 820, 360, 18),
        ("A2", "top", 1, 804, 360, 18),
        ("A3", "bottom", 1, 804, 360, 18),
        ("A4", "partition", 1, 720, 344, 18),
        ("A5", "shelf", 4, 393, 344, 18),
        ("A6", "plinth", 1, 804, 64, 18),
    ]
    # the back 8 into its groove all round: 720 + 16 by 804 + 16; the doors' panels: 488 − 116 + 18, 272.5 + 18
    assert lines(found, "sheet 6") == [("A7", "back", 1, 736, 820, 6), ("C4", "panel", 2, 390, 290.5, 6)]
    # the front: rails run between stiles, 840 − 88 = 752
    assert lines(found, "cherry 58 × 21") == [("B4", "bottom rail", 1, 752, 58, 21)]
    assert lines(found, "cherry 44 × 21") == [("B1", "stile", 2, 756, 44, 21), ("B2", "top rail", 1, 752, 44, 21)]
    assert lines(found, "cherry 38 × 21") == [("B3", "mid rail", 1, 752, 38, 21)]
    assert lines(found, "cherry 40 × 21") == [("B5", "mid stile", 1, 124, 40, 21)]
    # two doors
    assert lines(found, "cherry 66 × 21") == [("C3", "bottom rail", 2, 272.5, 66, 21)]
    assert lines(found, "cherry 50 × 21") == [
        ("C1", "stile", 4, 488, 50, 21),
        ("C2", "top rail", 2, 272.5, 50, 21),
    ]
    # the back's groove runs out in top and bottom; in the sides it ends 8 below the bottom's upper face, 82 up,
    # and 8 above the top's under face, 18 down
    assert grooves(found, "A1") == [("groove", 6, 8, 10, "bottom 74", "top 10")]
    assert grooves(found, "A2") == grooves(found, "A3") == [("groove", 6, 8, 10)]
    # a door's groove in the middle of 21: 7.5 from the back; in the stiles 9 past the rails, 66 and 50 wide
    assert grooves(found, "C1") == [("groove", 6, 9, 7.5, "bottom 57", "top 41")]
    # so only the rails are run long: twice 272.5 and a cut
    assert runs(found) == [("cherry 66 × 21", "C3×2", 548.2), ("cherry 50 × 21", "C2×2", 548.2)]


def test_all_three_together() -> None:
    found = demo("frame-set", "keepsake-box", "hall-cabinet")
    assert found.projects == ("Fern prints", "Letter box", "Hall cabinet")
    # 8 + 6 + 20 of ash, 2 + 1 + 6 + 3 + 1 + 1 of the cabinet's cherry and 4 of the box's;
    # 10 of plywood, 1 glass, 8 glazing, 8 lining, 3 + 1 panels nobody named
    assert sum(group.pieces for group in found.groups) == 34 + 14 + 4 + 10 + 1 + 8 + 8 + 4
    assert [found.called(part) for part in group_of(found, "sheet 6").parts] == ["3 A7", "3 C4"]
