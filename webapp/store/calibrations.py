"""Calibrations of the machine's scales: each is added once and stays; the newest not after a day counts."""

from __future__ import annotations

from sqlmodel import Session, col, select

from domain.problems import BadInput
from domain.spec.catalogue import CutterKind
from domain.trials.calibration import Calibration, KeptCalibration, Scale, check_calibration
from webapp.store.columns import choice_in, moment_text
from webapp.store.engine import now
from webapp.store.machine_tables import CalibrationRow
from webapp.store.rows import number_of
from webapp.store.shop import raise_edition


def add_calibration(session: Session, calibration: Calibration) -> int:
    """Write down what a scale is out by; the entry's number. Raises BadInput."""
    problems = tuple(check_calibration(calibration))
    if problems:
        raise BadInput(problems)
    row = CalibrationRow(
        scale=calibration.scale.value,
        section=calibration.section,
        cutter=None if calibration.cutter is None else calibration.cutter.value,
        reading=calibration.reading,
        measured=calibration.measured,
        day=calibration.day,
        at=now(session),
    )
    session.add(row)
    # the readings on set-up sheets change with it
    raise_edition(session)
    return number_of(row)


def list_calibrations(session: Session) -> tuple[KeptCalibration, ...]:
    """Every calibration there was, the newest day first and the one written last first within it."""
    rows = session.exec(
        select(CalibrationRow).order_by(col(CalibrationRow.day).desc(), col(CalibrationRow.id).desc())
    )
    return tuple(KeptCalibration(number_of(row), moment_text(row.at), _calibration(row)) for row in rows)


def _calibration(row: CalibrationRow) -> Calibration:
    return Calibration(
        scale=choice_in(Scale, row.scale),
        section=row.section,
        cutter=None if row.cutter is None else choice_in(CutterKind, row.cutter),
        reading=row.reading,
        measured=row.measured,
        day=row.day,
    )
