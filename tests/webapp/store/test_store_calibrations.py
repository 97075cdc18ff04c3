"""Calibrations: written once, read back newest first."""

from __future__ import annotations

from typing import Any

import pytest

from domain.problems import BadInput
from domain.trials.calibration import Calibration
from tests.webapp.store.store_samples import Clock
from webapp.store import Store, calibrations, shop


def depth(**more: Any) -> Calibration:
    plain = {"scale": "depth", "section": "14", "cutter": "close", "reading": 16.5, "measured": 16.8}
    return Calibration.model_validate(plain | {"day": "2026-03-02"} | more)


def fence(**more: Any) -> Calibration:
    return Calibration.model_validate(
        {"scale": "fence", "reading": 18, "measured": 17.9, "day": "2026-03-01"} | more
    )


def test_calibrations_come_back_newest_first_with_the_moment_of_writing(store: Store, clock: Clock) -> None:
    made = [depth(), fence(), depth(cutter="free", day="2026-03-02")]
    with store.writing() as session:
        assert [calibrations.add_calibration(session, each) for each in made] == [1, 2, 3]
    clock.forward(hours=1)
    with store.writing() as session:
        calibrations.add_calibration(session, fence())
    with store.reading() as session:
        kept = calibrations.list_calibrations(session)
    assert [(each.number, each.calibration) for each in kept] == [
        (3, made[2]),
        (1, made[0]),
        (4, made[1]),
        (2, made[1]),
    ]
    assert [each.booked for each in kept[:3]] == [
        "2026-03-02T08:30:00.000000Z",
        "2026-03-02T08:30:00.000000Z",
        "2026-03-02T09:30:00.000000Z",
    ]


def test_an_absurd_one_is_refused_and_nothing_is_written(store: Store) -> None:
    with pytest.raises(BadInput, match="must be within 5 mm of the reading"), store.writing() as session:
        calibrations.add_calibration(session, depth(measured=165))
    with store.reading() as session:
        assert calibrations.list_calibrations(session) == ()


def test_set_up_sheets_are_made_anew_after_a_calibration(store: Store) -> None:
    with store.writing() as session:
        before = shop.load_shop(session).edition
        calibrations.add_calibration(session, depth())
        assert shop.load_shop(session).edition == before + 1
