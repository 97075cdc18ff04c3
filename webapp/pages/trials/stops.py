"""Stops: what the machine's scales are out by, how that was found, and the set-up sheets that it outdates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units, format_fine
from domain.problems import BadInput
from domain.trials.calibration import Figure, KeptCalibration
from webapp.form.values import new_token
from webapp.pages.trials.calibration_form import (
    LABELS,
    blank_calibration,
    calibration_errors,
    figures,
    read_calibration,
    sent_calibration,
)
from webapp.site import urls
from webapp.site.incoming import Form
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.shop import load_shop
from webapp.usecases import stops as machine
from webapp.usecases.stops import Scales
from webapp.wording.reading import out_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class StopForm:
    """The form as it is shown."""

    texts: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)
    token: str = field(default_factory=new_token)


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """A calibration in words; ``counts`` where it is the one that is used today."""

    number: int
    scale: str
    reading: str
    measured: str
    error: str
    day: str
    counts: bool


@router.get(urls.stops)
def show(request: Request, written: Annotated[int, Query(ge=0, le=2**53)] = 0) -> HTMLResponse:
    """The scales as they stand, the form, the history; ``written`` is a calibration that was just written down."""
    store, scales, units = _opened(request)
    return _page(request, store, scales, units, StopForm(blank_calibration(scales.today)), written=written)


@router.post(urls.stops)
def calibrate(request: Request, form: Form) -> Response:
    """Write a calibration down."""
    store, scales, units = _opened(request)
    texts, token = sent_calibration(form), form.text("token")
    reading = read_calibration(texts, units)
    if reading.calibration is None:
        return _page(request, store, scales, units, StopForm(texts, reading.errors), status=422)
    try:
        number = machine.calibrate(store, token, reading.calibration)
    except BadInput as refusal:
        if refusal.problems[0].path == ("token",):
            raise
        errors = calibration_errors(refusal, units)
        return _page(request, store, scales, units, StopForm(texts, errors), status=422)
    return go_to(request, urls.stops(written=number))


def _opened(request: Request) -> tuple[Store, Scales, Units]:
    store: Store = request.app.state.store
    with store.reading() as session:
        units = load_shop(session).units
    return store, machine.scales(store), units


def _page(
    request: Request,
    store: Store,
    scales: Scales,
    units: Units,
    form: StopForm,
    *,
    written: int = 0,
    status: int = 200,
) -> HTMLResponse:
    counting = {kept.number for kept in scales.in_force.values() if kept is not None}
    rows = [_row(kept, units, kept.number in counting) for kept in scales.calibrations]
    return render(
        request,
        "trials/stops.html",
        status=status,
        headers=MAIN_ONLY,
        units=units,
        form=form,
        labels=LABELS,
        figures=figures(scales.in_force),
        scales=[(_words(of), _in_force(of, kept, units), kept) for of, kept in scales.in_force.items()],
        rows=rows,
        written=next((row for row in rows if row.number == written), None),
        outdated=machine.outdated_sheets(store),
        today=scales.today,
    )


def _words(figure: Figure) -> str:
    return figure.text[:1].upper() + figure.text[1:]


def _in_force(figure: Figure, kept: KeptCalibration | None, units: Units) -> str:
    return "" if kept is None else out_text(figure.scale, kept.calibration.error.mm, units)


def _row(kept: KeptCalibration, units: Units, counts: bool) -> CalibrationRow:
    calibration = kept.calibration
    return CalibrationRow(
        kept.number,
        _words(calibration.figure),
        format_fine(calibration.reading.mm, units),
        format_fine(calibration.measured.mm, units),
        out_text(calibration.scale, calibration.error.mm, units),
        calibration.day,
        counts,
    )
