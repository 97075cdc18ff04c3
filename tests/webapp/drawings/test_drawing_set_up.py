"""A set-up's picture: its dimensions are the readings, read back from the SVG; its words keep apart."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from itertools import combinations, product
from math import cos, hypot, pi, radians, sin

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from domain.lengths import Mm, Units
from domain.planning.plans import CutterKind
from domain.planning.set_up import SetUp, set_ups
from domain.trials.calibration import Calibration, Corrections, KeptCalibration, Scale
from tests.webapp.drawings.drawing_samples import KINDS, SVG, planned, sections, subpaths, svg, svg_text
from webapp.drawings.model import Drawing
from webapp.drawings.set_up import draw_set_up
from webapp.drawings.set_up_machine import EMS, Wood
from webapp.pages.machine.at_machine import EMS_AT_ARMS_LENGTH
from webapp.wording.figures import as_set
from webapp.wording.reading import fence_setting

SECTIONS = {section.name: section for section in sections()}
MITRE = SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.24), True, 45, Mm(16.5), Mm(16.25), Mm(20))
TEN = replace(MITRE, section="10", tip_diameter=Mm(10.08), projection=Mm(4.76))
FRAME = Wood(breadth=63.64, run=20, on_edge=False, down="back")
BOARD = Wood(breadth=22.627, run=110, on_edge=True, down="bottom")


def drawn(set_up: SetUp = MITRE, piece: Wood = FRAME, units: Units = Units.MM, **how: object) -> Drawing:
    return draw_set_up(set_up, SECTIONS[set_up.section], piece, units, **how)  # type: ignore[arg-type]


def figures(drawing: Drawing, css: str) -> list[list[tuple[float, float]]]:
    return subpaths(svg(drawing), css)


@lru_cache(maxsize=8)
def ticks(drawing: Drawing) -> tuple[tuple[float, float], ...]:
    """The places where dimensions end, read back from the SVG: once, however many dimensions are asked for."""
    return tuple(((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in figures(drawing, "tick"))


def dimensioned(drawing: Drawing, size: float, direction: float) -> bool:
    """Whether two ticks are ``size`` mm apart within 0.01 mm, in a direction in degrees."""
    along = (cos(radians(direction)), sin(radians(direction)))
    for (x0, y0), (x1, y1) in combinations(ticks(drawing), 2):
        dx, dy = x1 - x0, y1 - y0
        off = abs(dx * along[1] - dy * along[0])
        if off < 0.01 and abs(abs(dx * along[0] + dy * along[1]) - size) < 0.01:
            return True
    return False


def words(drawing: Drawing) -> set[str]:
    return {text.words for text in drawing.texts}


class TestReadings:
    @pytest.mark.parametrize("right_hand", [False, True])
    def test_a_frame_piece(self, right_hand: bool) -> None:
        drawing = drawn(right_hand=right_hand)
        assert dimensioned(drawing, 16.5, 0)
        assert dimensioned(drawing, 6.24, 90)
        assert dimensioned(drawing, 16.25, 90)
        assert dimensioned(drawing, 20, 90)
        assert {"fence 16.5", "projection 6.24", "stop 16.25", "clamp 20", "fence 45°"} <= words(drawing)

    @pytest.mark.parametrize("right_hand", [False, True])
    def test_a_board_on_its_end_is_clamped_square_to_the_fence(self, right_hand: bool) -> None:
        set_up = replace(TEN, projection=Mm(4.76), fence_reading=Mm(11), depth_stop=Mm(40.5), clamp_height=Mm(16))
        drawing = drawn(set_up, BOARD, right_hand=right_hand)
        assert dimensioned(drawing, 16, 135 if right_hand else 45)
        assert dimensioned(drawing, 40.5, 90)
        assert dimensioned(drawing, 11, 0)

    def test_the_cutter_is_the_dovetail_that_mills_the_slot(self) -> None:
        drawing = drawn()
        dovetail = min(figures(drawing, "key"), key=len)
        section = SECTIONS["14"]
        (left, _), (tip_left, out), (tip_right, _), (right, _) = dovetail[:4]
        assert tip_right - tip_left == pytest.approx(section.tip_diameter.mm, abs=0.001)
        assert out == pytest.approx(-6.24, abs=0.001)
        # the slot's mouth, as domain/planning/fit.py has it: D − 2p·tan θ
        assert right - left == pytest.approx(section.tip_diameter.mm - 2 * 6.24 * section.slope, abs=0.001)

    @pytest.mark.parametrize("scale", [None, 14.06, 18.0, 10.0])
    def test_the_stop_counts_from_where_the_scales_cutter_is_level_with_the_table(
        self, scale: float | None
    ) -> None:
        drawing = drawn(scale_tip=scale)
        tip = SECTIONS["14"].tip_diameter.mm
        circle = max(figures(drawing, "key"), key=len)
        centre = sum(y for _, y in circle) / len(circle)
        foot = next(y for (x, y), *_ in figures(drawing, "slot") if abs(x) < tip / 2)
        # reading = depth + (D of the scale − D) / 2, domain.md §8
        depth = 16.25 - ((scale or tip) - tip) / 2
        assert centre + tip / 2 - foot == pytest.approx(depth, abs=0.001)
        low, high = sorted({round(y, 3) for x, y in ticks(drawing) if y > foot - 20})[0], centre
        assert high - low == pytest.approx(16.25, abs=0.01)

    def test_the_fence_stands_at_its_angle_through_the_tip(self) -> None:
        set_up = replace(MITRE, angle=67.5)
        fence = next(points for points in figures(drawn(set_up), "slot") if (-16.5, 0.0) in points)
        start, end = fence[0], fence[1]
        assert start == (-16.5, 0.0)
        length = hypot(end[0] - start[0], end[1] - start[1])
        assert (end[0] - start[0]) / length == pytest.approx(cos(67.5 * pi / 180), abs=1e-4)

    def test_inches_are_fractions_where_they_are_and_thousandths_else(self) -> None:
        set_up = replace(MITRE, fence_reading=Mm(16.66875), clamp_height=Mm(19.05))
        found = words(drawn(set_up, units=Units.INCH))
        assert {"fence 21/32″", "clamp 3/4″", "projection 0.246″", "stop 0.640″"} <= found


def out_by(scale: Scale, error: float) -> Corrections:
    """A scale of the 14's close-fit cutter that reads 20 where the slot measures more by ``error``."""
    figure = {} if scale is Scale.FENCE else {"section": "14", "cutter": CutterKind.CLOSE}
    checked = Calibration(scale=scale, reading=20, measured=20 + error, day="2026-03-02", **figure)
    return Corrections((KeptCalibration(1, "2026-03-02T08:00:00.000000Z", checked),), "2026-03-03")


class TestScalesThatAreOut:
    """What is set stands at the dimension, as in the tile; what is drawn stays to scale."""

    @pytest.mark.parametrize("units", list(Units))
    @pytest.mark.parametrize("error", [0.4, -0.4])
    def test_the_fence(self, error: float, units: Units) -> None:
        out = out_by(Scale.FENCE, error)
        drawing, setting = drawn(corrections=out, units=units), fence_setting(MITRE, out, units)
        assert setting.to.removesuffix(f" {units}") == as_set(Mm(16.5 - error), units).bare
        assert f"fence {setting.drawn(MITRE.fence_reading, units)}" in words(drawing)
        assert f"fence {as_set(MITRE.fence_reading, units).drawn}" not in words(drawing)
        assert dimensioned(drawing, 16.5, 0)
        planned, to = (as_set(Mm(mm), units).drawn for mm in (16.5, 16.5 - error))
        assert f"{planned} from the mitre tip to the cutter's centre, its scale set to {to}." in drawing.describes

    def test_the_stop_with_its_cutter_alone(self) -> None:
        out = out_by(Scale.DEPTH, 0.25)
        assert "stop 16" in words(drawn(corrections=out))
        assert dimensioned(drawn(corrections=out), 16.25, 90)
        assert f"stop {TEN.depth_stop:g}" in words(drawn(TEN, corrections=out))

    def test_a_scale_that_does_not_go_so_low_is_drawn_as_planned(self) -> None:
        assert "fence 16.5" in words(drawn(corrections=out_by(Scale.FENCE, 19)))


def test_large_letters_stand_in_two_lines_and_the_machine_stays_as_it_is() -> None:
    near, far = drawn(), drawn(ems=EMS_AT_ARMS_LENGTH)
    assert far.em == pytest.approx(near.em * EMS / EMS_AT_ARMS_LENGTH)
    for css in ("outline", "key", "slot"):
        sizes = [
            [max(x for x, _ in each) - min(x for x, _ in each) for each in figures(one, css)]
            for one in (near, far)
        ]
        assert sorted(sizes[0]) == pytest.approx(sorted(sizes[1]), abs=0.001)
    assert {"clamp", "20", "stop", "16.25", "projection", "6.24", "fence 16.5"} <= words(far)


@pytest.mark.parametrize("kind", KINDS)
def test_the_hands_are_mirror_images(kind: str) -> None:
    for joint in planned(kind).joints:
        if joint.plan is None:
            continue
        face = joint.joint.face
        piece = Wood(face.breadth, face.run, joint.joint.kind.on_edge)
        for set_up in (each.set_up for each in set_ups(joint, joint.plan)):
            left, right = (drawn(set_up, piece, right_hand=right) for right in (False, True))
            for css in ("key", "slot", "outline", "dimension"):
                turned = [sorted((round(-x, 3), round(y, 3)) for x, y in each) for each in figures(left, css)]
                there = [sorted((round(x, 3), round(y, 3)) for x, y in each) for each in figures(right, css)]
                assert sorted(turned) == sorted(there)
            assert words(left) - {"left-hand"} == words(right) - {"right-hand"}


def test_words_say_what_the_picture_shows() -> None:
    drawing = drawn(right_hand=True, name="Set-up 3")
    assert drawing.name == "Set-up 3, right-hand pieces"
    for said in ("45°", "right of the cutter", "16.5 from the mitre tip", "back on the table", "6.24", "16.25"):
        assert said in drawing.describes
    board = drawn(replace(MITRE, mitred=False, angle=90), BOARD)
    assert "from the reference edge" in board.describes
    assert "pressed to the fence" in board.describes


def test_it_is_black_and_white_and_light() -> None:
    text = svg_text(drawn())
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', text)) == {"none", "#fff", "currentColor"}
    assert len(list(svg(drawn()).iter(f"{SVG}path"))) <= 12
    assert len(text) < 16_000


SET_UPS = st.builds(
    SetUp,
    section=st.sampled_from(sorted(SECTIONS)),
    cutter=st.just(CutterKind.CLOSE),
    tip_diameter=st.just(0.0),
    projection=st.floats(2, 9),
    mitred=st.booleans(),
    angle=st.sampled_from([15.0, 22.5, 30.0, 45.0, 54.0, 60.0, 67.5, 75.0, 83.125, 90.0]),
    fence_reading=st.floats(6, 250),
    depth_stop=st.floats(4, 300),
    clamp_height=st.floats(6, 120),
)
PIECES = st.builds(
    lambda breadth, run, on_edge: (breadth, run, on_edge), st.floats(8, 600), st.floats(8, 2000), st.booleans()
)


# the fence's word came upon the projection's figure
@example(
    set_up=SetUp("10", CutterKind.CLOSE, Mm(10.08), Mm(6), False, 15.0, Mm(6), Mm(4), Mm(6)),
    piece=(9.0, 8.0, False),
    scale=None,
    units=Units.MM,
    ems=EMS_AT_ARMS_LENGTH,
)
@settings(max_examples=400, deadline=None)
@given(
    set_up=SET_UPS,
    piece=PIECES,
    scale=st.none() | st.floats(5, 30),
    units=st.sampled_from(Units),
    ems=st.sampled_from([EMS, EMS_AT_ARMS_LENGTH]),
)
def test_no_words_overlap_and_all_lies_within_the_view(
    set_up: SetUp, piece: tuple[float, float, bool], scale: float | None, units: Units, ems: float
) -> None:
    breadth, run, on_edge = piece
    set_up = replace(set_up, tip_diameter=SECTIONS[set_up.section].tip_diameter.mm)
    # a joint line holds its slot, and the thickness that is clamped is the board's or the frame's
    sine = sin(radians(set_up.angle))
    breadth = set_up.clamp_height / sine if on_edge else set_up.fence_reading + breadth
    if on_edge:
        set_up = replace(set_up, fence_reading=Mm(min(set_up.fence_reading, 0.8 * breadth)))
    run = run if on_edge else set_up.clamp_height
    shown = Wood(breadth, max(run, 1.0), on_edge)
    for right_hand in (False, True):
        drawing = drawn(set_up, shown, units, right_hand=right_hand, scale_tip=scale, ems=ems)
        touching = [
            (one.words, other.words)
            for one, other in combinations(drawing.texts, 2)
            if one.box.overlaps(other.box)
        ]
        assert touching == []
        view = drawing.view
        assert all(text.box.union(view) == view for text in drawing.texts)
        for shape, low in product(drawing.shapes, (view,)):
            assert all(low.left <= x <= low.right and low.low <= y <= low.high for x, y in shape.points)
        assert dimensioned(drawing, set_up.fence_reading, 0)
        assert dimensioned(drawing, set_up.projection, 90)
        assert dimensioned(drawing, set_up.depth_stop, 90)
        square = 90 - set_up.angle if not right_hand else 90 + set_up.angle
        assert dimensioned(drawing, set_up.clamp_height, square if on_edge else 90)
        assert f"fence {as_set(set_up.fence_reading, units).drawn}" in words(drawing)
