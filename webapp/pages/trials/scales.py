"""Scales: what the machine's scales are out by, how that was found, and the set-up sheets that it outdates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units, format_fine
from domain.trials.calibration import Calibration, Figure, KeptCalibration, Scale
from webapp.form.fields import A_DAY, A_LENGTH, Field, Options, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent
from webapp.pages.trials.tools import read_tool, tool_value
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.usecases import scales as machine
from webapp.usecases.scales import OutdatedSheet, Scales
from webapp.usecases.shop import the_shop
from webapp.wording.reading import out_text

router = APIRouter(include_in_schema=False)


FENCE = "fence"
"""What the form sends for the fence, which is the same for every cutter."""
CHECKED = "choose the scale that was checked"
CALIBRATION = form_of(
    Field("figure", "Scale", Sort.CHOICE, needed=CHECKED, tiles=True),
    Field("reading", "Reading", hint="What the scale said.", needed=A_LENGTH, zero=True),
    Field("measured", "Measured", hint="What the slot measures.", needed=A_LENGTH, zero=True),
    Field("day", "Day", Sort.DAY, needed=A_DAY),
    at={"section": "figure", "cutter": "figure", "scale": "figure"},
)


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


@dataclass(frozen=True, slots=True)
class ScalesPage:
    """The scales as they stand, the form that checks one, the history.

    ``scales`` are each in words with what it is out by and the calibration that counts; ``written`` is the
    one that was just written down, ``outdated`` are the issued sheets that no longer hold.
    """

    form: Filled
    figures: Options
    scales: Sequence[tuple[str, str, KeptCalibration | None]]
    rows: Sequence[CalibrationRow]
    written: CalibrationRow | None
    outdated: Sequence[OutdatedSheet]
    today: str


@router.get(urls.scales)
def show(request: Request, written: Annotated[int, Query(ge=0, le=2**53)] = 0) -> HTMLResponse:
    """The scales as they stand, the form, the history; ``written`` is a calibration that was just written down."""
    scales = machine.load_scales(request.app.state.store)
    return _page(request, scales, blank(CALIBRATION, _plain(request), day=scales.today), written=written)


@router.post(urls.scales)
def calibrate(request: Request, form: OnceForm) -> Response:
    """Write a calibration down."""
    store = request.app.state.store
    typed = sent(CALIBRATION, _plain(request), form)
    return saved(
        request,
        typed,
        lambda: urls.scales(written=machine.calibrate(store, form.sending, _read(typed.values()))),
        lambda form, status: _page(request, machine.load_scales(store), form, status=status),
    )


def _read(values: Values) -> Calibration:
    """The calibration. Raises Unusable."""
    figure = values["figure"]
    tool = read_tool(figure or "")
    if tool is None and figure != FENCE:
        values.refuse("figure", CHECKED)
    of = {"scale": Scale.FENCE} if tool is None else {"scale": Scale.DEPTH, "section": tool[0], "cutter": tool[1]}
    values.check()
    return values.made(Calibration, {**of, **{name: values[name] for name in ("reading", "measured", "day")}})


def _plain(request: Request) -> Plain:
    return Plain(the_shop(request.app.state.store).units)


def _page(request: Request, scales: Scales, form: Filled, *, written: int = 0, status: int = 200) -> HTMLResponse:
    units = form.plain.units
    counting = {kept.number for kept in scales.in_force.values() if kept is not None}
    rows = [_row(kept, units, kept.number in counting) for kept in scales.calibrations]
    return render(
        request,
        "trials/scales.html",
        ScalesPage(
            form=form,
            figures=_figures(scales),
            scales=[(_words(of), _in_force(of, kept, units), kept) for of, kept in scales.in_force.items()],
            rows=rows,
            written=next((row for row in rows if row.number == written), None),
            outdated=machine.outdated_sheets(request.app.state.store),
            today=scales.today,
        ),
        status=status,
        headers=MAIN_ONLY,
        units=units,
    )


def _figures(scales: Scales) -> Options:
    """The scales that can be checked, as value and words."""
    return tuple((_value(figure), _words(figure)) for figure in scales.in_force)


def _value(figure: Figure) -> str:
    if figure.section is None or figure.cutter is None:
        return FENCE
    return tool_value(figure.section, figure.cutter)


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
