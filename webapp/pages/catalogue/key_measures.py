"""What a section's measures come to while they are typed: the key, what of it is asked, what is drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

from domain.lengths import Length, Mm
from domain.measuring.caliper import Doubt, Finding, flank_from_widths, suggested_name, width_findings
from domain.measuring.proportions import DepthOver, oddities, other_reading
from domain.measuring.sketch import bare_section, sketched
from domain.spec.catalogue import Section
from webapp.drawings.measured_key import KnownMeasures
from webapp.form.filled import Values
from webapp.wording.exact import number_text

AN_ANGLE = "must be an angle above 0 and up to 45 degrees, such as 12 or 8,5"
AS_MEASURED, DRAWN = "as_measured", "drawn"


@dataclass(frozen=True, slots=True)
class MeasuredKey:
    """What of a key's section could be read so far; ``flank_worked_out`` where the widths gave the angle.

    ``depth`` is what was measured ``over`` the whole key or one side; None there says that neither is chosen.
    """

    waist: Length | None = None
    depth: Length | None = None
    over: DepthOver | None = None
    flank: float | None = None
    overall: Length | None = None
    tip_diameter: Length | None = None
    free: Length | None = None
    flank_worked_out: bool = False

    @property
    def half_depth(self) -> Length | None:
        """Half depth, where it is said what the depth was measured over."""
        return None if self.depth is None or self.over is None else self.over.half_depth(self.depth)

    @property
    def shape(self) -> Section | None:
        """The key as a section to be looked at, its other numbers made up; None until its shape is known.

        Without a cutter the tip is the waist's, which no cutter can be: ask ``tip_diameter`` first.
        """
        half_depth = self.half_depth
        if self.waist is None or half_depth is None or self.flank is None:
            return None
        return bare_section(self.waist, half_depth, self.flank, self.tip_diameter, self.free)

    @property
    def mark(self) -> str:
        """What "it is so" is said of: the shape to the nanometre, "" until it is known."""
        half_depth = self.half_depth
        if self.waist is None or half_depth is None or self.flank is None:
            return ""
        return f"{self.waist.nm}/{half_depth.nm}/{self.flank}"


@dataclass(frozen=True, slots=True)
class Question:
    """What of a key is asked: ``findings`` say why, ``other`` is the reading of the depth that may be meant.

    ``mark`` is what "it is so" is sent with; ``asked`` tells that it has to be said before the key is saved,
    ``answered`` that it has been.
    """

    findings: tuple[Finding, ...]
    other: DepthOver | None
    mark: str
    asked: bool
    answered: bool


def read_key(values: Values) -> MeasuredKey:
    """What the measurements come to so far; what they cannot be is noted among the values' errors."""
    over = values["depth_of"]
    key = MeasuredKey(
        waist=values["waist"],
        depth=values["depth"],
        over=DepthOver(over) if over in set(DepthOver) else None,
        overall=values["overall"],
        tip_diameter=values["tip_diameter"],
        free=values["free_tip_diameter"],
    )
    flank = _flank(values, key)
    return replace(key, flank=flank, flank_worked_out=flank is not None and values["flank"] is None)


def _flank(values: Values, key: MeasuredKey) -> float | None:
    typed: float | None = values["flank"]
    if typed is not None or "flank" in values.errors:
        if typed is not None and 0 < typed <= 45:
            return typed
        values.refuse("flank", AN_ANGLE)
        return None
    if key.overall is None:
        if "overall" not in values.errors:
            values.refuse("flank", "type the angle, or leave it empty and measure the overall width instead")
        return None
    if key.waist is None or key.half_depth is None:
        return None
    return _flank_from(values, key.overall, key.waist, key.half_depth)


def _flank_from(values: Values, overall: Length, waist: Length, half_depth: Length) -> float | None:
    flank = flank_from_widths(overall, waist, half_depth)
    if flank is None or flank == 0:
        values.refuse("overall", "must be more than the waist: a key is widest at its ends")
        return None
    if flank > 45:
        lean = number_text(round(flank, 1))
        values.refuse(
            "overall",
            f"with this waist and depth the flank would lean {lean}°, and no more than 45° can be cut; "
            "measure width, waist and depth again",
        )
        return None
    return flank


def suggested(key: MeasuredKey) -> str:
    """The name that the measurements suggest; "" until they say enough."""
    return "" if key.shape is None else suggested_name(key.shape.overall_width)


def question_of(key: MeasuredKey, answer: str) -> Question | None:
    """What of the key is asked, ``answer`` being what "it is so" was last said of; None of most keys."""
    shape, depth, over = key.shape, key.depth, key.over
    if shape is None or depth is None or over is None:
        return None
    odd = oddities(shape.waist, shape.half_depth, shape.flank)
    widths = tuple(width_findings(shape, key.overall))
    other = other_reading(shape, depth, over, key.overall, flank_worked_out=key.flank_worked_out) if odd else None
    slip = {DepthOver.ONE_SIDE: Doubt.WHOLE_DEPTH, DepthOver.WHOLE_KEY: Doubt.HALF_DEPTH}[over]
    findings = (*widths, *odd, *(() if other is None else (other.finding,)))
    if not findings:
        return None
    taken = over.other if other is not None or any(finding.doubt is slip for finding in widths) else None
    return Question(findings, taken, key.mark, bool(odd), bool(odd) and answer == key.mark)


def either_reading(key: MeasuredKey) -> str:
    """What the flank would be by either reading of the depth, while none is chosen; "" where that is not known."""
    if key.over is not None or key.overall is None or key.waist is None or key.depth is None:
        return ""
    flanks = {over: flank_from_widths(key.overall, key.waist, over.half_depth(key.depth)) for over in DepthOver}
    said = [f"over {over.words} a flank of {flank:.1f}°" for over, flank in flanks.items() if flank is not None]
    return f"Measured {', '.join(said)}." if said else ""


def last_drawn(text: str) -> MeasuredKey:
    """The measures that were drawn last, of what ``drawn_text`` made; anything else is none."""
    parts = text.split()
    if len(parts) != 6 or not all(part.isascii() and len(part) <= 20 for part in parts):
        return MeasuredKey()
    lengths = [Length(int(part)) if part.isdecimal() and int(part) else None for part in parts[:4]]
    try:
        flank = float(parts[5])
    except ValueError:
        flank = 0.0
    overall, waist, depth, tip = lengths
    return MeasuredKey(
        waist=waist,
        depth=depth,
        over=DepthOver(parts[4]) if parts[4] in set(DepthOver) else None,
        flank=flank if 0 < flank <= 45 else None,
        overall=overall,
        tip_diameter=tip,
    )


def drawn_text(key: MeasuredKey) -> str:
    """The measures in one line, to be carried along: so a field of nonsense leaves the last drawing."""
    lengths = (key.overall, key.waist, key.depth, key.tip_diameter)
    figures = [str(length.nm) if length is not None else "-" for length in lengths]
    flank = "-" if key.flank is None or key.flank_worked_out else str(key.flank)
    return " ".join((*figures, key.over or "-", flank))


def drawn_key(key: MeasuredKey, last: MeasuredKey, nonsense: frozenset[str]) -> MeasuredKey:
    """What is drawn: the key as typed, and as it was ``last`` drawn where a field holds ``nonsense``."""
    flank = None if key.flank_worked_out else key.flank
    return MeasuredKey(
        waist=last.waist if "waist" in nonsense else key.waist,
        depth=last.depth if "depth" in nonsense else key.depth,
        over=key.over,
        flank=last.flank if "flank" in nonsense else flank,
        overall=last.overall if "overall" in nonsense else key.overall,
        tip_diameter=last.tip_diameter if "tip_diameter" in nonsense else key.tip_diameter,
    )


def sketch_of(drawn: MeasuredKey) -> Section:
    """The key that is drawn, as keys usually are where it is not known."""
    return sketched(drawn.overall, drawn.waist, drawn.half_depth, drawn.flank)


def known_of(drawn: MeasuredKey) -> KnownMeasures:
    """What a drawing of these measures may say in figures: what was typed, and what follows from it."""
    flank, half_depth = drawn.flank, drawn.half_depth
    if flank is None and drawn.overall is not None and drawn.waist is not None and half_depth is not None:
        flank = flank_from_widths(drawn.overall, drawn.waist, half_depth)
    overall = None if drawn.overall is None else drawn.overall.mm
    if overall is None and flank is not None and drawn.waist is not None and half_depth is not None:
        overall = Mm(bare_section(drawn.waist, half_depth, flank).overall_width)
    return KnownMeasures(overall, drawn.waist, drawn.depth, drawn.over, flank, drawn.tip_diameter)
