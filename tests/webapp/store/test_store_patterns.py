"""Patterns in the store: named once, renamed, deleted into the bin and brought back."""

from __future__ import annotations

import pytest

from tests.webapp.store.store_samples import one_of_each_kind
from tests.webapp.store.test_past import ask, do, edits
from webapp.store import Store, patterns
from webapp.store.errors import NameTaken, NotFound, StaleEdit, Unreadable
from webapp.store.past_errors import TakenMeanwhile
from webapp.store.past_reading import in_bin
from webapp.store.patterns import PatternKind
from webapp.store.undoing import take_out_of_bin, undo
from webapp.usecases.exchange import project_text

EVERYTHING = project_text(one_of_each_kind(), indent=None)


def keep(store: Store, name: str, kind: PatternKind = PatternKind.PROJECT, document: str = EVERYTHING) -> int:
    number: int = do(store, lambda session: patterns.add_pattern(session, name, kind, document, "Reading room"))
    return number


def names(store: Store) -> list[str]:
    return [head.name for head in ask(store, patterns.list_patterns)]


def test_a_pattern_comes_back_as_it_was_kept(store: Store) -> None:
    number = keep(store, "Everything at once")
    found = ask(store, lambda session: patterns.load_pattern(session, number))
    assert found.project == one_of_each_kind()
    head = found.head
    assert (head.id, head.version, head.name, head.kind) == (number, 1, "Everything at once", "project")
    assert head.made_from == "Reading room"
    assert head == ask(store, lambda session: patterns.load_head(session, number))


def test_patterns_are_listed_by_name_those_of_assemblies_by_themselves(store: Store) -> None:
    for name in ("tray", "Übung", "Tray", "chest"):
        keep(store, name, PatternKind.ASSEMBLY if name == "tray" else PatternKind.PROJECT)
    assert names(store) == ["Tray", "chest", "tray", "Übung"]
    assert [each.head.name for each in ask(store, patterns.list_assembly_patterns)] == ["tray"]


def test_a_name_is_taken_once(store: Store) -> None:
    first, second = keep(store, "Tray"), keep(store, "Chest")
    with pytest.raises(NameTaken, match="There is a pattern Tray already"):
        keep(store, "Tray")
    with pytest.raises(NameTaken):
        do(store, lambda session: patterns.rename_pattern(session, second, 1, "Tray"))
    assert do(store, lambda session: patterns.rename_pattern(session, first, 1, "Tray")) == 2
    assert names(store) == ["Chest", "Tray"]


def test_a_pattern_that_moved_on_is_neither_renamed_nor_deleted(store: Store) -> None:
    number = keep(store, "Tray")
    do(store, lambda session: patterns.rename_pattern(session, number, 1, "Deep tray"))
    with pytest.raises(StaleEdit):
        do(store, lambda session: patterns.rename_pattern(session, number, 1, "Flat tray"))
    with pytest.raises(StaleEdit):
        do(store, lambda session: patterns.delete_pattern(session, number, 1))
    assert names(store) == ["Deep tray"]


@pytest.mark.parametrize("number", [0, 99, 2**40])
def test_what_is_not_there_is_not_found(store: Store, number: int) -> None:
    with pytest.raises(NotFound):
        ask(store, lambda session: patterns.load_pattern(session, number))
    with pytest.raises(NotFound):
        do(store, lambda session: patterns.delete_pattern(session, number, 1))


def test_what_is_no_project_is_unreadable(store: Store) -> None:
    number = keep(store, "Broken", document='{"format":"dovetally-project"}')
    with pytest.raises(Unreadable, match="stored pattern"):
        ask(store, lambda session: patterns.load_pattern(session, number))
    assert names(store) == ["Broken"]


def test_a_new_name_can_be_undone(store: Store) -> None:
    number = keep(store, "Tray")
    do(store, lambda session: patterns.rename_pattern(session, number, 1, "Deep tray"))
    newest = edits(store, "pattern", number)[0]
    do(store, lambda session: undo(session, newest.number))
    assert names(store) == ["Tray"]


def test_a_deleted_pattern_lies_in_the_bin_and_comes_back_whole(store: Store) -> None:
    number = keep(store, "Tray")
    before = ask(store, lambda session: patterns.load_pattern(session, number))
    do(store, lambda session: patterns.delete_pattern(session, number, 1))
    assert names(store) == []
    (binned,) = ask(store, in_bin)
    do(store, lambda session: take_out_of_bin(session, binned.row))
    after = ask(store, lambda session: patterns.load_pattern(session, number))
    assert after.project == before.project
    assert (after.head.id, after.head.name, after.head.created) == (number, "Tray", before.head.created)


def test_it_does_not_come_back_under_a_name_that_is_taken_meanwhile(store: Store) -> None:
    number = keep(store, "Tray")
    do(store, lambda session: patterns.delete_pattern(session, number, 1))
    keep(store, "Tray")
    (binned,) = ask(store, in_bin)
    with pytest.raises(TakenMeanwhile):
        do(store, lambda session: take_out_of_bin(session, binned.row))
    assert names(store) == ["Tray"]
