"""Solid panels in their grooves and rabbets: how much narrower they are cut, and how much of them stays in.

A panel on the list runs to the bottom of its groove on both sides. The bars that it runs across keep their length,
for that is along their grain; so all that it swells is too much, and it is cut narrower by it. It is pinned in the
middle of its end, so that it moves both ways (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from domain.assemblies.box import reach_of_top
from domain.lengths import Mm
from domain.moving.parts import PartMovement
from domain.parts import Expansion
from domain.spec.assemblies import Assembly, Box, Carcass, Fit, RailedFrame, TopFit


@dataclass(frozen=True, slots=True)
class LetIn:
    """How a panel is let in: into a groove or rabbet so deep, and so wide along the bar's thickness, mm."""

    fit: Fit
    depth: Mm
    width: Mm


@dataclass(frozen=True, slots=True)
class PanelFit:
    """A solid panel across its grain, mm.

    ``listed`` is its size on the parts list, ``ease`` what is taken off so that it just fills the groove at its
    widest. ``narrow`` and ``wide`` are how much of it stays in each groove at its narrowest and widest,
    ``dry`` and ``wet`` the moistures where it is so. ``least`` is how much has to stay in.
    """

    part: PartMovement
    let_in: LetIn
    listed: Mm
    ease: Mm
    narrow: Mm
    wide: Mm
    dry: float
    wet: float
    least: Mm
    tight: Mm
    """By how much its thickness outgrows the groove's width; nothing where it does not."""

    @property
    def cut_to(self) -> Mm:
        """The size to cut it to."""
        return Mm(self.listed - self.ease)

    @property
    def stays(self) -> bool:
        """True where enough of it is in the groove at its narrowest."""
        return self.narrow >= self.least - 1e-9

    @property
    def deeper(self) -> Mm:
        """By how much the groove would have to be deeper for that."""
        return Mm(max(0.0, self.least - self.narrow))


def panel_fits(
    spec: Assembly, expansion: Expansion, moving: Mapping[str, PartMovement], cover: Mm
) -> tuple[PanelFit, ...]:
    """Every panel of solid wood in a groove or rabbet; ``cover`` (mm) is what the shop wants to stay in."""
    return tuple(_fits(spec, expansion, moving, cover))


def _fits(
    spec: Assembly, expansion: Expansion, moving: Mapping[str, PartMovement], cover: Mm
) -> Iterator[PanelFit]:
    for panel in expansion.panels:
        let_in, part = let_in_of(spec, panel.name), moving.get(panel.mark)
        if let_in is None or part is None:
            continue
        swell, shrink = part.swell, part.shrink
        widths = {part.shop: 0.0} | {each.moisture: each.across.most for each in part.seasons}
        dry, wet = min(widths, key=lambda moisture: widths[moisture]), max(widths, key=lambda m: widths[m])
        thick = max(each.thickness.most for each in part.seasons) + part.thickness
        yield PanelFit(
            part=part,
            let_in=let_in,
            listed=part.across,
            ease=Mm(swell),
            narrow=Mm(let_in.depth - (swell + shrink) / 2),
            wide=let_in.depth,
            dry=dry,
            wet=wet,
            # a shallow groove never held more than it does
            least=Mm(min(cover, let_in.depth / 2)),
            tight=Mm(max(0.0, thick - let_in.width) if let_in.fit is Fit.GROOVE else 0.0),
        )


def let_in_of(spec: Assembly, name: str) -> LetIn | None:
    """How an assembly lets in its panel of that name; None where it lets in none, or lays it on."""
    if isinstance(spec, RailedFrame) and spec.panel is not None and name == "panel":
        return LetIn(spec.panel.fit, spec.panel.depth.mm, spec.panel.width.mm)
    if isinstance(spec, Carcass) and spec.back is not None and name == "back":
        return LetIn(spec.back.fit, spec.back.depth.mm, spec.back.thickness.mm)
    if isinstance(spec, Box):
        if spec.bottom is not None and name == "bottom":
            return LetIn(spec.bottom.fit, spec.bottom.depth.mm, spec.bottom.thickness.mm)
        if spec.top is not None and spec.top.fit is TopFit.GROOVE and name == "top":
            return LetIn(Fit.GROOVE, Mm(reach_of_top(spec)), spec.top.thickness.mm)
    return None
