"""Readings with what stands behind them: the setting of a scale that is out, the trials behind a projection."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from domain.lengths import Mm, Units, format_fine
from domain.machine.set_ups import Batch
from domain.planning.fit import snug_projection
from domain.planning.set_up import SetUp
from domain.problems import BadInput
from domain.sayings import with_sign
from domain.spec.rules import Rules
from domain.trials.calibration import FENCE, Corrections, Figure, Scale, corrected, in_force
from webapp.wording import figures


@dataclass(frozen=True, slots=True)
class Setting:
    """``figure`` is what the scale is set to, None where that is the reading; ``said`` is why, or where from."""

    figure: figures.Figure | None = None
    said: str = ""

    @property
    def to(self) -> str:
        """The figure with its unit, "" where the reading is set as it is planned."""
        return "" if self.figure is None else str(self.figure)

    def drawn(self, planned: Mm, units: Units) -> str:
        """What a drawing writes where a scale is set: the setting, as tile and list say it."""
        return (self.figure or figures.as_set(planned, units)).drawn


AS_PLANNED = Setting()


def setting(mm: Mm, units: Units, *, fine: bool = False) -> str:
    """A reading with its unit.

    >>> setting(Mm(16.66875), Units.INCH), setting(Mm(6.24), Units.MM)
    ('21/32 in', '6.24 mm')
    """
    return str(figures.fine(mm, units) if fine else figures.as_set(mm, units))


def out_text(scale: Scale, error: float, units: Units) -> str:
    """What a scale is out by, in words.

    >>> out_text(Scale.DEPTH, 0.2, Units.MM), out_text(Scale.FENCE, -0.1, Units.MM)
    ('slots come out 0.2 mm deeper than it reads', 'slots come out 0.1 mm nearer than it reads')
    """
    if abs(error) < 1e-9:
        return "it reads true"
    more, less = ("deeper", "shallower") if scale is Scale.DEPTH else ("farther", "nearer")
    return (
        f"slots come out {with_sign(format_fine(abs(error), units))} {more if error > 0 else less} than it reads"
    )


def depth_setting(set_up: SetUp, corrections: Corrections | None, units: Units) -> Setting:
    """The depth stop's setting for the cutter of this set-up."""
    return _setting(Figure(Scale.DEPTH, set_up.section, set_up.cutter), set_up.depth_stop, corrections, units)


def fence_setting(set_up: SetUp, corrections: Corrections | None, units: Units) -> Setting:
    """The fence's setting."""
    return _setting(FENCE, set_up.fence_reading, corrections, units)


def _setting(figure: Figure, planned: Mm, corrections: Corrections | None, units: Units) -> Setting:
    found = None if corrections is None else in_force(corrections.kept, figure, corrections.day)
    if found is None or not found.calibration.error.nm:
        return AS_PLANNED
    calibration = found.calibration
    out = out_text(figure.scale, calibration.error.mm, units)
    try:
        to = corrected(planned, calibration)
    except BadInput:
        return Setting(said=f"The scale does not go so low: {out}.")
    return Setting(figures.as_set(to, units), f"for {setting(planned, units)}: {out}, checked {calibration.day}")


def start_said(batches: Iterable[Batch], rules: Mapping[str, Rules], units: Units) -> str:
    """Where a projection comes from that the shop accepted, the catalogue's beside it; "" for the catalogue's own.

    ``rules`` are those of the sources, by their keys.
    """
    for batch in batches:
        plan = batch.plan
        if plan.start is not None:
            usual = snug_projection(plan.section, plan.cutter.tip_diameter) + rules[batch.source].preload.mm
            number = len(plan.start.trials)
            return f"from {number} {'trial' if number == 1 else 'trials'}, catalogue {format_fine(usual, units)}"
    return ""
