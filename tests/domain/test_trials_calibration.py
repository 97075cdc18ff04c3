"""Scales that are out: the newest calibration counts, and a changed one marks the sheets before it."""

from __future__ import annotations

from typing import Any

import pytest

from domain.lengths import Mm, Units
from domain.problems import BadInput, path_text
from domain.spec.catalogue import CutterKind
from domain.trials.calibration import (
    FENCE,
    Calibration,
    Figure,
    KeptCalibration,
    Scale,
    changed_since,
    check_calibration,
    corrected,
    errors_on,
    in_force,
)

FOURTEEN = Figure(Scale.DEPTH, "14", CutterKind.CLOSE)
TEN = Figure(Scale.DEPTH, "10", CutterKind.CLOSE)


def depth(reading: float, measured: float, **more: Any) -> Calibration:
    plain = {"scale": "depth", "section": "14", "cutter": "close", "day": "2026-03-02"}
    return Calibration.model_validate(plain | {"reading": reading, "measured": measured} | more)


def fence(reading: float, measured: float, day: str = "2026-03-02") -> Calibration:
    return Calibration(scale=Scale.FENCE, reading=reading, measured=measured, day=day)


def kept(*calibrations: Calibration) -> tuple[KeptCalibration, ...]:
    """Each booked at eight on its day."""
    return tuple(
        KeptCalibration(number, f"{one.day}T08:00:00.000000Z", one) for number, one in enumerate(calibrations, 1)
    )


def test_the_error_is_measured_less_reading_and_is_taken_off_the_setting() -> None:
    # set to 16.5 it milled 16.8: 0.3 too deep, so 16.5 is had at 16.2
    one = depth(16.5, 16.8)
    assert one.error.mm == 0.3
    assert corrected(Mm(16.5), one) == pytest.approx(16.2)
    assert corrected(Mm(40), one) == pytest.approx(39.7)
    assert corrected(Mm(16.5), depth(16.5, 16.3)) == pytest.approx(16.7)
    assert corrected(Mm(16.5), None) == 16.5


def test_a_setting_below_the_scale_is_refused() -> None:
    with pytest.raises(BadInput) as refusal:
        corrected(Mm(0.2), fence(18, 18.3))
    assert str(refusal.value) == "reading: 0.2: must be 0.3 mm or more: so much is the fence scale out"


def test_the_newest_not_after_the_day_counts() -> None:
    book = kept(
        depth(16.5, 16.8, day="2026-03-02"),
        depth(16.5, 16.6, day="2026-03-10"),
        depth(16.5, 16.7, day="2026-03-10"),
        depth(16.5, 16.4, section="10", day="2026-03-05"),
        depth(16.5, 16.5, cutter="free", day="2026-03-06"),
        fence(18, 18.2, day="2026-03-03"),
    )

    def number(figure: Figure, day: str) -> int | None:
        found = in_force(book, figure, day)
        return None if found is None else found.number

    assert number(FOURTEEN, "2026-03-01") is None
    assert number(FOURTEEN, "2026-03-09") == 1
    assert number(FOURTEEN, "2026-03-10") == 3
    assert number(FOURTEEN, "2027-01-01") == 3
    assert number(TEN, "2026-03-09") == 4
    assert number(FENCE, "2026-03-09") == 6
    assert errors_on(book, (FOURTEEN, TEN, FENCE), "2026-03-04") == {FOURTEEN: 0.3, TEN: 0.0, FENCE: 0.2}


@pytest.mark.parametrize(
    ("wrong", "path", "said"),
    [
        (depth(16.5, 16.8, section=None), "section", "the depth scale is calibrated for each cutter; say which"),
        (depth(16.5, 16.8, cutter=None), "cutter", "the depth scale is calibrated for each cutter; say which"),
        (
            depth(16.5, 16.8, scale="fence", cutter=None),
            "section",
            "the fence is the same for every cutter; leave it empty",
        ),
        (
            depth(16.5, 22),
            "measured",
            "must be within 5 mm of the reading, 16.5 mm; measure again, or see whether the stop has slipped",
        ),
        (
            depth(16.5, 11.4),
            "measured",
            "must be within 5 mm of the reading, 16.5 mm; measure again, or see whether the stop has slipped",
        ),
    ],
)
def test_what_cannot_be_a_calibration_is_named(wrong: Calibration, path: str, said: str) -> None:
    assert [(path_text(one.path), one.text()) for one in check_calibration(wrong)] == [(path, said)]


def test_a_good_one_is_taken() -> None:
    assert not tuple(check_calibration(depth(16.5, 21.5)))
    assert not tuple(check_calibration(fence(18, 17.9)))


BOOK = kept(
    depth(16.5, 16.8, day="2026-03-02"),
    fence(18, 18.2, day="2026-03-02"),
    depth(16.5, 16.7, day="2026-03-20"),
    fence(18, 18.2, day="2026-03-21"),
)


def test_a_changed_calibration_marks_the_sheets_before_it() -> None:
    (change,) = changed_since(
        BOOK, (FOURTEEN, FENCE), "2026-03-10T12:00:00.000000Z", "2026-03-10", today="2026-03-25"
    )
    assert (change.figure, change.before, change.after) == (FOURTEEN, 0.3, 0.2)
    assert change.text() == (
        "Since this sheet, the depth scale with the 14 close-fit cutter was calibrated: it was taken to be out by"
        " 0.3 mm, and is out by 0.2 mm."
    )
    assert "0.012″, and is out by 0.008″" in change.text(Units.INCH)


def test_a_sheet_after_the_last_change_holds_and_so_does_one_with_other_cutters() -> None:
    after = ("2026-03-20T08:00:00.000001Z", "2026-03-20", "2026-03-25")
    assert changed_since(BOOK, (FOURTEEN, FENCE), *after) == ()
    before = ("2026-03-10T12:00:00.000000Z", "2026-03-10", "2026-03-25")
    assert changed_since(BOOK, (TEN, FENCE), *before) == ()


def test_a_sheet_of_the_same_day_is_told_by_the_moment() -> None:
    # issued at seven on the day that the depth scale was calibrated at eight
    early = ("2026-03-20T07:00:00.000000Z", "2026-03-20", "2026-03-20")
    assert [change.figure for change in changed_since(BOOK, (FOURTEEN, FENCE), *early)] == [FOURTEEN]


def test_a_first_calibration_changes_a_sheet_made_without_one() -> None:
    (change,) = changed_since(BOOK, (FENCE,), "2026-03-01T12:00:00.000000Z", "2026-03-01", today="2026-03-25")
    assert (change.before, change.after) == (0.0, 0.2)


def test_what_was_booked_at_the_moment_of_issue_was_known_to_the_sheet() -> None:
    # the depth scale is calibrated again at eight on the twentieth
    moment = ("2026-03-20T08:00:00.000000Z", "2026-03-20", "2026-03-20")
    assert changed_since(BOOK, (FOURTEEN, FENCE), *moment) == ()


def test_half_a_micrometre_is_a_change() -> None:
    book = kept(fence(18, 18.2), fence(18, 18.2005, day="2026-03-20"))
    (change,) = changed_since(book, (FENCE,), "2026-03-10T12:00:00.000000Z", "2026-03-10", today="2026-03-25")
    assert change.after - change.before == pytest.approx(0.0005)
