"""Patterns: what of a finished project, or of one of its assemblies, stays to begin from."""

from __future__ import annotations

from collections.abc import Mapping

from domain.spec.assemblies import Assembly
from domain.spec.job import Stage
from domain.spec.project import Project
from domain.spec.wood import PartChange

_OF_THE_JOB: Mapping[str, object] = {
    "customer": None,
    "climate": None,
    "stock": None,
    "state": Stage.PLANNED,
    "due": None,
    "note": None,
    "notes": None,
    "quote": None,
}
"""What belongs to the one job: for whom, where it goes, when, at what price, out of which wood at hand."""


def pattern_of(project: Project) -> Project:
    """The project without what belongs to the one job; sizes, woods, keys, plugs and rules stay.

    Changes of its parts list stay too, without their notes.
    """
    return project.model_copy(update={**_OF_THE_JOB, "parts": _without_notes(project.parts or {})})


def pattern_of_assembly(project: Project, assembly: Assembly) -> Project:
    """The same with that assembly alone. What its project pins for all joints stays beside it."""
    return pattern_of(project).model_copy(update={"parts": None, "assemblies": (assembly,)})


def assembly_of(pattern: Project) -> Assembly:
    """The assembly of a pattern that holds one, with what was pinned for its project's joints as its own."""
    (spec,) = pattern.assemblies
    if not pattern.keys.model_fields_set:
        return spec
    return spec.model_copy(update={"keys": pattern.keys.overridden_by(spec.keys)})


def _without_notes(parts: Mapping[str, PartChange]) -> Mapping[str, PartChange] | None:
    changes = {mark: change.model_copy(update={"note": None}) for mark, change in parts.items()}
    return {mark: change for mark, change in changes.items() if change != PartChange()} or None
