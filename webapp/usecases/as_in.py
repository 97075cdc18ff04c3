"""What else a new assembly's form may be filled from: a moulding by its name, another assembly of the shop."""

from __future__ import annotations

from dataclasses import dataclass

from domain.spec.assemblies import Assembly
from domain.trials.mouldings import KeptMoulding, Moulding
from webapp.store import Store
from webapp.store.assemblies import AssemblyName, load_assembly, newest_assemblies
from webapp.store.errors import NotFound
from webapp.store.trials import list_mouldings

MOST_OFFERED = 60
"""Assemblies that are offered, those of the form's own kind before the others, the newest first."""


@dataclass(frozen=True, slots=True)
class Sources:
    """What the form may be filled from."""

    mouldings: tuple[KeptMoulding, ...]
    assemblies: tuple[AssemblyName, ...]


def sources(store: Store, kind: str, *, mouldings: bool) -> Sources:
    """What a form of that kind may be filled from. Raises Unreadable for a moulding that cannot be read."""
    with store.reading() as session:
        kept = list_mouldings(session) if mouldings else ()
        return Sources(kept, newest_assemblies(session, kind, MOST_OFFERED))


def chosen_moulding(store: Store, number: int) -> Moulding:
    """A moulding that is kept. Raises NotFound."""
    with store.reading() as session:
        kept = next((each for each in list_mouldings(session) if each.number == number), None)
    if kept is None:
        raise NotFound("moulding", number)
    return kept.moulding


def chosen_assembly(store: Store, number: int) -> Assembly:
    """Any assembly of the shop. Raises NotFound or Unreadable."""
    with store.reading() as session:
        return load_assembly(session, number).spec
