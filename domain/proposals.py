"""What is proposed for a joint: a change of its assembly's spec or of the project's rules, by path and value."""

from __future__ import annotations

from dataclasses import dataclass

from domain.notes import Note
from domain.problems import Path

RULES = "rules"
"""Where a path begins that is of the project's rules, and within no assembly."""


@dataclass(frozen=True, slots=True)
class Change:
    """A new value, as the project file writes it (a length in mm), at a path within the assembly.

    A path that begins with RULES is the project's.
    """

    path: Path
    value: object

    @property
    def of_rules(self) -> bool:
        """True of a change of the project's rules."""
        return self.path[:1] == (RULES,)

    def pointer(self, *prefix: str | int) -> str:
        """The path as text, seen from further out.

        >>> Change(("bottom", "depth"), 3).pointer("assemblies", 0)
        '/assemblies/0/bottom/depth'
        >>> Change((RULES, "wall"), 1.8).pointer("assemblies", 0)
        '/rules/wall'
        """
        return "".join(f"/{step}" for step in (*(() if self.of_rules else prefix), *self.path))

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

    @property
    def of_rules(self) -> bool:
        """True where the project's rules are changed."""
        return any(change.of_rules for change in self.changes)
