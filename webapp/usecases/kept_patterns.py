"""Patterns kept from finished projects: kept, listed, renamed, deleted, begun from."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from domain.spec.assemblies import Assembly
from domain.spec.patterns import assembly_of, pattern_of, pattern_of_assembly
from webapp.store import Store, patterns
from webapp.store.assemblies import next_mark, under_mark
from webapp.store.errors import NotFound
from webapp.store.patterns import PatternHead, PatternKind, StoredPattern
from webapp.store.projects import StoredProject, create_project, load_project
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once, change_once
from webapp.usecases.exchange import project_text


@dataclass(frozen=True, slots=True)
class ToKeep:
    """What would be kept: of which project, and which of its assemblies, None for the whole."""

    project: StoredProject
    assembly_id: int | None

    @property
    def assembly(self) -> Assembly | None:
        """The assembly, where one alone is kept."""
        found = (each.spec for each in self.project.assemblies if each.id == self.assembly_id)
        return next(found, None)


def to_keep(store: Store, project_id: int, assembly_id: int | None) -> ToKeep:
    """What a pattern would be kept of. Raises NotFound or Unreadable."""
    with store.reading() as session:
        found = ToKeep(load_project(session, project_id), assembly_id)
    if assembly_id is not None and found.assembly is None:
        raise NotFound("assembly", assembly_id)
    return found


def keep(store: Store, sent: Sending, found: ToKeep, name: str) -> int:
    """Keep it as a pattern, once for each form sent; the pattern's number. Raises NameTaken."""
    project, spec = found.project.project, found.assembly
    pattern = pattern_of(project) if spec is None else pattern_of_assembly(project, spec)
    kind = PatternKind.PROJECT if spec is None else PatternKind.ASSEMBLY
    text = project_text(pattern, indent=None).strip()
    return book_once(
        store, sent, lambda session: (patterns.add_pattern(session, name, kind, text, project.name),)
    )[0]


def kept(store: Store) -> tuple[PatternHead, ...]:
    """Every pattern, by name."""
    with store.reading() as session:
        return patterns.list_patterns(session)


def kept_assemblies(store: Store) -> tuple[StoredPattern, ...]:
    """Every pattern of an assembly, by name. Raises Unreadable."""
    with store.reading() as session:
        return patterns.list_assembly_patterns(session)


def head_of(store: Store, number: int) -> PatternHead:
    """One pattern, without what it holds. Raises NotFound."""
    with store.reading() as session:
        return patterns.load_head(session, number)


def pattern(store: Store, number: int) -> StoredPattern:
    """One pattern. Raises NotFound or Unreadable."""
    with store.reading() as session:
        return patterns.load_pattern(session, number)


def rename(store: Store, sent: Sending, number: int, version: int, name: str) -> None:
    """Call it otherwise. Raises NotFound, StaleEdit or NameTaken."""

    def act(session: Session) -> None:
        patterns.rename_pattern(session, number, version, name)

    change_once(store, sent, act)


def delete(store: Store, sent: Sending, number: int, version: int) -> None:
    """Keep it no longer. Raises NotFound or StaleEdit."""
    change_once(store, sent, lambda session: patterns.delete_pattern(session, number, version))


def begin_project(store: Store, sent: Sending, found: StoredPattern, name: str, customer: str | None) -> int:
    """A new project as the pattern is, once for each form sent; its number. Raises BadInput."""
    project = found.project.model_copy(update={"name": name, "customer": customer})
    return book_once(store, sent, lambda session: (create_project(session, project),))[0]


def assembly_begun(store: Store, project_id: int, number: int) -> Assembly:
    """The pattern's assembly under the project's next mark: what its form is filled with, nothing stored.

    Raises NotFound, also for a pattern of a whole project, or Unreadable.
    """
    with store.reading() as session:
        found, mark = patterns.load_pattern(session, number), next_mark(session, project_id)
    if found.head.kind is not PatternKind.ASSEMBLY:
        raise NotFound("pattern of an assembly", number)
    return under_mark(assembly_of(found.project), mark)
