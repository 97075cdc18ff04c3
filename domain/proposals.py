"""What is proposed for a joint: a change of its assembly's spec, by path and value, with its words."""

from __future__ import annotations

from dataclasses import dataclass

from domain.notes import Note
from domain.problems import Path


@dataclass(frozen=True, slots=True)
class Change:
    """A new value, as the project file writes it (a length in mm), at a path within the assembly."""

    path: Path
    value: object

    def pointer(self, *prefix: str | int) -> str:
        """The path as text, seen from further out.

        >>> Change(("bottom", "depth"), 3).pointer("assemblies", 0)
        '/assemblies/0/bottom/depth'
        """
        return "".join(f"/{step}" for step in (*prefix, *self.path))

    @classmethod
    def at(cls, pointer: str, value: object) -> Change:
        """The change at a path as text.

        >>> Change.at("/behind/0", 12.5).path
        ('behind', 0)
        """
        steps = pointer.split("/")[1:]
        return cls(tuple(int(step) if step.isdecimal() and len(step) < 5 else step for step in steps), value)


@dataclass(frozen=True, slots=True)
class Proposal:
    """Changes that belong together. They were planned before they were proposed, and do what ``says`` says."""

    says: Note
    changes: tuple[Change, ...]
