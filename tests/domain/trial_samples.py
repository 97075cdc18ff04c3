"""Trials of KEY, whose flank is 45°: waist 8, half depth 2, tip 12, snug at 2."""

from __future__ import annotations

from typing import Any

from domain.trials.trial import KeptTrial, Trial
from tests.domain.builders import Json

PIECE: Json = {
    "section": "12",
    "tip_diameter": 12,
    "species": "oak",
    "thickness": 20,
    "projection": 2,
    "depth": 16.5,
    "fence_reading": 12,
    "outcome": "snug",
}


def trial(**more: Any) -> Trial:
    return Trial.model_validate(PIECE | more)


def held(projection: float, gap: float, **more: Any) -> Trial:
    return trial(projection=projection, gap=gap, outcome="held_apart", **more)


def loose_by(projection: float, gap: float, **more: Any) -> Trial:
    return trial(projection=projection, gap=gap, outcome="loose", **more)


def at(projection: float, outcome: str, **more: Any) -> Trial:
    return trial(projection=projection, outcome=outcome, **more)


def book(*trials: Trial, day: str = "2026-03-02") -> tuple[KeptTrial, ...]:
    """The trials of one day, numbered from 1."""
    return tuple(KeptTrial(number, day, one) for number, one in enumerate(trials, 1))
