"""Patterns: kept under a name of their own, renamed, deleted. What they hold never changes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from domain.spec.project import Project
from webapp.store.columns import choice_in
from webapp.store.engine import now
from webapp.store.errors import NameTaken
from webapp.store.pattern_tables import PatternRow
from webapp.store.rows import claim, find, number_of
from webapp.store.specs import read_pattern


class PatternKind(StrEnum):
    """What a pattern was made of."""

    PROJECT = "project"
    ASSEMBLY = "assembly"


@dataclass(frozen=True, slots=True)
class PatternHead:
    """A pattern in a list; ``version`` is what a form that edits it carries, ``created`` is in UTC."""

    id: int
    version: int
    name: str
    kind: PatternKind
    made_from: str
    created: datetime


@dataclass(frozen=True, slots=True)
class StoredPattern:
    """A pattern with what it holds; of an assembly, a project of that one alone."""

    head: PatternHead
    project: Project


def add_pattern(session: Session, name: str, kind: PatternKind, document: str, made_from: str) -> int:
    """Keep a pattern, whose ``document`` is a project file's text; its number. Raises NameTaken."""
    _free_name(session, name)
    row = PatternRow(name=name, kind=kind.value, document_json=document, made_from=made_from, created=now(session))
    session.add(row)
    session.flush()
    return number_of(row)


def list_patterns(session: Session) -> tuple[PatternHead, ...]:
    """Every pattern, by name."""
    rows = session.exec(select(PatternRow).options(defer(PatternRow.document_json)))  # type: ignore[arg-type]
    # not by the database, of which each has an order of its own for names
    return tuple(sorted(map(_head, rows), key=lambda head: head.name))


def list_assembly_patterns(session: Session) -> tuple[StoredPattern, ...]:
    """Every pattern of an assembly, by name. Raises Unreadable."""
    rows = session.exec(select(PatternRow).where(col(PatternRow.kind) == PatternKind.ASSEMBLY.value))
    return tuple(sorted(map(_pattern, rows), key=lambda pattern: pattern.head.name))


def load_head(session: Session, number: int) -> PatternHead:
    """One pattern's head. Raises NotFound."""
    return _head(find(session, PatternRow, number))


def load_pattern(session: Session, number: int) -> StoredPattern:
    """One pattern. Raises NotFound or Unreadable."""
    return _pattern(find(session, PatternRow, number))


def rename_pattern(session: Session, number: int, version: int, name: str) -> int:
    """Call the pattern otherwise; its new version. Raises NotFound, StaleEdit or NameTaken."""
    row = claim(session, PatternRow, number, version)
    if name != row.name:
        _free_name(session, name)
        row.name = name
    session.flush()
    return row.version


def delete_pattern(session: Session, number: int, version: int) -> None:
    """Keep the pattern no longer. Raises NotFound or StaleEdit."""
    session.delete(claim(session, PatternRow, number, version))
    session.flush()


def _free_name(session: Session, name: str) -> None:
    if session.exec(select(PatternRow.id).where(PatternRow.name == name)).first() is not None:
        raise NameTaken("pattern", name)


def _head(row: PatternRow) -> PatternHead:
    return PatternHead(
        number_of(row), row.version, row.name, choice_in(PatternKind, row.kind), row.made_from, row.created
    )


def _pattern(row: PatternRow) -> StoredPattern:
    return StoredPattern(_head(row), read_pattern(row.id, row.document_json))
