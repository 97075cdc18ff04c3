"""What the machine's scales are out by: the depth scale for each cutter, and the fence.

A slot is milled at a reading and measured; measured less reading is the error, and a planned reading is set
that much lower. Every calibration has its day, and the newest not after a day counts on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Length, Mm, Units, format_fine
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.sayings import with_sign
from domain.spec.catalogue import CutterKind
from domain.spec.fields import Day, Name, Room, Spec

MOST_ERROR = Length.from_mm(5)
"""A scale that is out by more was misread, or has come loose; common practice (no source)."""


class Scale(StrEnum):
    """Which of the machine's scales."""

    DEPTH = "depth"
    FENCE = "fence"


@dataclass(frozen=True, slots=True)
class Figure:
    """What a calibration is of: the fence, or the depth scale with one section's cutter."""

    scale: Scale
    section: str | None = None
    cutter: CutterKind | None = None

    @property
    def text(self) -> str:
        """The figure in words."""
        if self.cutter is None:
            return "the fence scale"
        return f"the depth scale with the {self.section} {self.cutter.words} cutter"


FENCE = Figure(Scale.FENCE)


class Calibration(Spec):
    """A scale checked on a day: what it read, and what the slot measured.

    For the depth scale that is the slot's depth, for the fence the distance of the slot's centre.
    """

    scale: Scale
    section: Name | None = None
    cutter: CutterKind | None = None
    reading: Room
    measured: Room
    day: Day

    @property
    def figure(self) -> Figure:
        """What it is a calibration of."""
        return Figure(self.scale, self.section, self.cutter)

    @property
    def error(self) -> Length:
        """Measured less reading: what the scale is out by."""
        return self.measured - self.reading


@dataclass(frozen=True, slots=True)
class KeptCalibration:
    """A calibration in the shop's book; ``booked`` is the moment it was written there, ISO 8601 in UTC."""

    number: int
    booked: str
    calibration: Calibration


@dataclass(frozen=True, slots=True)
class Change:
    """A scale whose error is another now than when a sheet was made; errors in mm, 0 where none was known."""

    figure: Figure
    before: float
    after: float

    def text(self, units: Units = Units.MM) -> str:
        """The change in a sentence."""
        return (
            f"Since this sheet, {self.figure.text} was calibrated: it was taken to be out by"
            f" {with_sign(format_fine(self.before, units))}, and is out by"
            f" {with_sign(format_fine(self.after, units))}."
        )


def check_calibration(calibration: Calibration) -> Iterator[Problem]:
    """What cannot be a calibration of this machine."""
    depth = calibration.scale is Scale.DEPTH
    for name, given in (("section", calibration.section), ("cutter", calibration.cutter)):
        if depth and given is None:
            yield Problem.of((name,), "missing", ProblemCode.FOR_EACH_CUTTER)
        if not depth and given is not None:
            yield Problem.of((name,), given, ProblemCode.FOR_EVERY_CUTTER)
    if abs(calibration.error.nm) > MOST_ERROR.nm:
        yield Problem.of(
            ("measured",),
            calibration.measured.mm,
            ProblemCode.SCALE_DOUBTED,
            most=MOST_ERROR.mm,
            reading=calibration.reading.mm,
        )


def in_force(kept: Iterable[KeptCalibration], figure: Figure, day: str) -> KeptCalibration | None:
    """The calibration that counts on a day (ISO 8601): the newest not after it; None where there is none."""
    ours = (each for each in kept if each.calibration.figure == figure and each.calibration.day <= day)
    return max(ours, key=lambda each: (each.calibration.day, each.number), default=None)


def corrected(reading: Mm, calibration: Calibration | None) -> Mm:
    """The reading (mm) to set so that the slot comes out as planned at ``reading``.

    Raises BadInput where the scale does not go so low.
    """
    if calibration is None:
        return reading
    setting = Mm(reading - calibration.error.mm)
    if setting < 0:
        error, of = calibration.error.mm, calibration.figure.text
        raise BadInput(
            [Problem.of(("reading",), reading, ProblemCode.SCALE_TOO_HIGH, error=error, figure_text=of)]
        )
    return setting


@dataclass(frozen=True, slots=True)
class Corrections:
    """Readings corrected by what counts on a day (ISO 8601)."""

    kept: tuple[KeptCalibration, ...]
    day: str

    def depth(self, section: str, cutter: CutterKind, reading: Mm) -> Mm:
        """The depth stop's setting (mm) for a planned reading. Raises BadInput as ``corrected`` does."""
        return self._corrected(Figure(Scale.DEPTH, section, cutter), reading)

    def fence(self, reading: Mm) -> Mm:
        """The fence's setting (mm) for a planned reading. Raises BadInput as ``corrected`` does."""
        return self._corrected(FENCE, reading)

    def _corrected(self, figure: Figure, reading: Mm) -> Mm:
        found = in_force(self.kept, figure, self.day)
        return corrected(reading, None if found is None else found.calibration)


def errors_on(kept: Sequence[KeptCalibration], figures: Iterable[Figure], day: str) -> dict[Figure, float]:
    """What each scale is taken to be out by on a day, in mm; 0 where it was never calibrated."""
    found = {figure: in_force(kept, figure, day) for figure in figures}
    return {figure: 0.0 if each is None else each.calibration.error.mm for figure, each in found.items()}


def changed_since(
    kept: Sequence[KeptCalibration], figures: Iterable[Figure], issued: str, issued_on: str, today: str
) -> tuple[Change, ...]:
    """What has changed for a set-up sheet that uses these figures; nothing where it still holds.

    ``issued`` is the moment of issue (ISO 8601 in UTC, written as ``booked`` is), ``issued_on`` and ``today`` are
    days of the shop. The sheet was made with what was booked by then.
    """
    wanted = tuple(figures)
    before = errors_on([each for each in kept if each.booked <= issued], wanted, issued_on)
    after = errors_on(kept, wanted, today)
    return tuple(
        Change(figure, before[figure], after[figure])
        for figure in wanted
        if abs(before[figure] - after[figure]) > 1e-9
    )
