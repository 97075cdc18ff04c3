"""What slots take, said once where all take the same, and by the ends of a run where these differ."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from domain.faces.face import MatingFace
from domain.lengths import Units, format_mm
from domain.planning.plans import Filled, SectionPlan
from webapp.wording.figures import as_set


@dataclass(frozen=True, slots=True)
class EndWords:
    """A figure of every slot, or one for each end of a run: "70 mm back, 44 mm front".

    ``edges`` are the ends by their names, none where one figure serves all slots. ``unit`` is said behind each.
    """

    figures: tuple[str, ...]
    edges: tuple[str, ...]
    unit: str

    @property
    def bare(self) -> str:
        """For a column whose heading names the unit: "70 back, 44 front"."""
        return self._listed("")

    def __str__(self) -> str:
        return self._listed(f" {self.unit}")

    @property
    def deep(self) -> str:
        """A depth as drawings write it: "18.5 deep", or "70 deep from the back, 44 from the front"."""
        sign = "″" if self.unit == Units.INCH.value else ""
        first, *others = [f"{figure}{sign}" for figure in self.figures]
        if not self.edges:
            return f"{first} deep"
        return f"{first} deep from the {self.edges[0]}, {others[0]} from the {self.edges[1]}"

    def of(self, edge: int) -> str:
        """The figure of the first (0) or the other end (1), without its unit."""
        return self.figures[edge if self.edges else 0]

    def _listed(self, unit: str) -> str:
        if not self.edges:
            return f"{self.figures[0]}{unit}"
        pairs = zip(self.figures, self.edges, strict=True)
        return ", ".join(f"{figure}{unit} {edge}" for figure, edge in pairs)


def ends_of(face: MatingFace, plan: SectionPlan) -> tuple[Filled, ...]:
    """What slots take: once where all take the same, else by the two ends of the run."""
    edges = face.edges(plan.entry)
    return tuple(plan.from_edge(edge) for edge in (edges[:1] if plan.far is None else edges))


def by_end(ends: Sequence[Filled], figures: Sequence[str], unit: str) -> EndWords:
    """The figures of these ends, one where they read alike."""
    if len(set(figures)) == 1:
        return EndWords((figures[0],), (), unit)
    return EndWords(tuple(figures), tuple(end.entry.value for end in ends), unit)


def depth(face: MatingFace, plan: SectionPlan, units: Units) -> EndWords:
    """How deep the slots are."""
    ends = ends_of(face, plan)
    return by_end(ends, [as_set(end.depth, units).bare for end in ends], units.value)


def keys(face: MatingFace, plan: SectionPlan) -> EndWords:
    """The keys of a slot in driving order, in mm."""
    ends = ends_of(face, plan)
    return by_end(ends, [stack(end.keys) for end in ends], "mm")


def stack(keys: Iterable[float]) -> str:
    """Keys of a slot in driving order, in mm, as keys are called in any project.

    >>> stack([38.0, 16.0])
    '38 + 16'
    """
    return " + ".join(format_mm(key) for key in keys)
