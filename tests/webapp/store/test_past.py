"""What used to be is kept with every edit, whoever edits, and each way back leads to just what was there."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from hashlib import sha256
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import Session, select

from domain.lengths import Length, Units
from domain.reading import read
from domain.spec.catalogue import Plug
from domain.spec.job import Stage
from domain.trials.mouldings import Moulding
from tests.webapp.store.store_samples import Clock, joint, one_of_each_kind, project, section
from webapp.store import Store, assemblies, catalogue, projects, shop, suppliers, trials
from webapp.store.errors import Damaged, StaleEdit
from webapp.store.past import Doing, watched
from webapp.store.past_errors import ChangedSince, NoLongerKept, OwnerGone, TakenMeanwhile, ThereAlready
from webapp.store.past_kinds import KINDS, belongs, parts_of
from webapp.store.past_lines import EDITS, FILES, ROWS, kept_lines, lines_of
from webapp.store.past_reading import Edit, edit_with, edits_of, in_bin, to_undo
from webapp.store.photograph_tables import PhotographRow
from webapp.store.photographs import remove_photograph
from webapp.store.rows import Step
from webapp.store.stages import put_away, set_stage
from webapp.store.stock_values import SupplierTerms
from webapp.store.tables import AssemblyRow, ProjectRow, Row
from webapp.store.undoing import bring_state_back, take_out_of_bin, undo


def do(store: Store, act: Callable[[Session], Any]) -> Any:
    with store.writing() as session:
        return act(session)


def ask(store: Store, look: Callable[[Session], Any]) -> Any:
    with store.reading() as session:
        return look(session)


def edits(store: Store, kind: str, number: int) -> tuple[Edit, ...]:
    found: tuple[Edit, ...] = ask(store, lambda session: edits_of(session, kind, number))
    return found


def rows(store: Store, kind: str, number: int) -> dict[Any, Any]:
    """The thing's rows as they stand, apart from what counts and dates."""
    found = ask(store, lambda session: lines_of(session, kind, [number])).get(number, {})
    apart = KINDS[kind].apart
    return {key: {name: value for name, value in line.items() if name not in apart} for key, line in found.items()}


def call_it(store: Store, number: int, name: str) -> None:
    version = ask(store, lambda session: projects.project_version(session, number))
    do(
        store,
        lambda session: projects.update_head(
            session, number, version, name=name, customer=None, units=Units.MM, currency=None
        ),
    )


def test_what_was_made_and_never_changed_keeps_nothing(store: Store) -> None:
    with store.writing() as session:
        projects.create_project(session, one_of_each_kind())
        catalogue.create_section(session, section(), {Length.from_mm(16): 12})
        catalogue.create_plug(session, Plug(material="oak", height=3))
        assert session.connection().execute(sa.select(ROWS)).first() is None
    with store.reading() as session:
        assert session.connection().execute(sa.select(ROWS)).first() is None
        assert session.connection().execute(sa.select(EDITS)).first() is None


def test_an_edit_keeps_what_was_there_and_when(store: Store, clock: Clock) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint())))
    made = clock.moment
    clock.forward(hours=3)

    def act(session: Session) -> None:
        watched(session).token, watched(session).device = "a-form-token-0001", "Tablet"
        projects.update_head(session, number, 1, name="Bench", customer=None, units=Units.MM, currency=None)

    do(store, act)
    edited, found = edits(store, "project", number)
    assert (found.doing, found.at, found.device) == (Doing.FOUND, made, "")
    assert (edited.doing, edited.at, edited.device) == (Doing.EDITED, clock.moment, "Tablet")
    (changed,) = edited.changed
    assert (changed.table, changed.before and changed.before["name"]) == ("project", "Window seat")
    assert changed.after is not None
    assert changed.after["name"] == "Bench"
    with store.reading() as session:
        assert edit_with(session, "a-form-token-0001") == edited
        before = kept_lines(session, "project", number, found.number)
    assert {table for table, _ in before} == {"project", "assembly"}


def test_a_moment_that_is_none_is_told(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, one_of_each_kind()))
    call_it(store, number, "Larder")
    do(store, lambda session: session.connection().execute(sa.update(EDITS).values(at="then")))
    with pytest.raises(Damaged, match="'then' stands where a day or a moment should"):
        edits(store, "project", number)


def test_an_edit_that_fails_keeps_nothing(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))

    def fail(session: Session) -> None:
        assemblies.add_assembly(session, number, joint())
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        do(store, fail)
    assert edits(store, "project", number) == ()


def test_an_edit_keeps_the_rows_that_it_changed_and_no_others(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(*map(joint, "ABCDEFGH"))))
    call_it(store, number, "Bench")
    kept = ask(store, lambda session: len(session.connection().execute(sa.select(ROWS)).all()))
    assert kept == 9 + 1
    call_it(store, number, "Bench seat")
    assert ask(store, lambda session: len(session.connection().execute(sa.select(ROWS)).all())) == kept + 1


def test_a_stage_makes_no_state_and_does_not_go_back(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))
    call_it(store, number, "Bench")
    do(store, lambda session: set_stage(session, number, 2, Stage.BUILT))
    assert len(edits(store, "project", number)) == 2
    do(store, lambda session: undo(session, edits(store, "project", number)[0].number))
    head = ask(store, lambda session: projects.load_project(session, number)).head
    assert (head.name, head.stage, head.version) == ("Window seat", Stage.BUILT, 4)


def test_a_deleted_project_comes_out_of_the_bin_under_its_number(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, one_of_each_kind()))
    before, whole = rows(store, "project", number), ask(store, lambda s: projects.load_project(s, number))
    do(store, lambda session: projects.delete_project(session, number, 1))
    (binned,) = ask(store, in_bin)
    assert (binned.kind, binned.number, binned.line["name"], binned.owner) == (
        "project",
        number,
        "Everything",
        None,
    )
    assert do(store, lambda session: take_out_of_bin(session, binned.row)) == ("project", number)
    assert rows(store, "project", number) == before
    after = ask(store, lambda session: projects.load_project(session, number))
    assert after.project == whole.project
    assert [each.id for each in after.assemblies] == [each.id for each in whole.assemblies]
    assert ask(store, in_bin) == ()
    with pytest.raises(StaleEdit):  # a form that was open on it before
        do(store, lambda session: projects.delete_project(session, number, 1))
    with pytest.raises(NoLongerKept):
        do(store, lambda session: take_out_of_bin(session, binned.row))


def test_what_was_reserved_became_free_so_a_project_comes_back_planned(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))
    do(store, lambda session: set_stage(session, number, 1, Stage.GOING_AHEAD))
    do(store, lambda session: projects.delete_project(session, number, 2))
    (binned,) = ask(store, in_bin)
    do(store, lambda session: take_out_of_bin(session, binned.row))
    assert ask(store, lambda session: projects.load_project(session, number)).head.stage is Stage.PLANNED


def test_an_assembly_comes_out_of_the_bin_unless_its_mark_is_taken(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(*map(joint, "ABC"))))
    second = ask(store, lambda session: projects.load_project(session, number)).assemblies[1]
    do(store, lambda session: assemblies.delete_assembly(session, second.id, 1))
    (binned,) = ask(store, in_bin)
    assert (binned.table, binned.line["mark"]) == ("assembly", "B")
    assert binned.owner is not None
    assert binned.owner["name"] == "Window seat"
    taken = do(store, lambda session: assemblies.add_assembly(session, number, joint("B")))
    with pytest.raises(TakenMeanwhile, match="The mark B belongs to another assembly by now"):
        do(store, lambda session: take_out_of_bin(session, binned.row))
    do(store, lambda session: assemblies.delete_assembly(session, taken, 1))
    do(store, lambda session: take_out_of_bin(session, binned.row))
    back = ask(store, lambda session: projects.load_project(session, number)).assemblies
    assert [each.spec.mark for each in back] == ["A", "B", "C"]
    assert back[1].id == second.id


def test_an_assembly_waits_for_its_project(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint())))
    assembly = ask(store, lambda session: projects.load_project(session, number)).assemblies[0]
    do(store, lambda session: assemblies.delete_assembly(session, assembly.id, 1))
    version = ask(store, lambda session: projects.project_version(session, number))
    do(store, lambda session: projects.delete_project(session, number, version))
    whole, part = ask(store, in_bin)
    with pytest.raises(OwnerGone, match="Its project was deleted too"):
        do(store, lambda session: take_out_of_bin(session, part.row))
    do(store, lambda session: take_out_of_bin(session, whole.row))
    assert do(store, lambda session: take_out_of_bin(session, part.row)) == ("project", number)
    assert rows(store, "project", number).keys() == {("project", str(number)), ("assembly", str(assembly.id))}


def test_a_catalogue_goes_back_and_raises_what_plans_rest_on(store: Store) -> None:
    first = do(store, lambda session: catalogue.create_section(session, section(), {Length.from_mm(16): 12}))
    before, edition = rows(store, "section", first), ask(store, shop.load_shop).edition
    wider = section(lengths=[20, 30], reach_limit=90)
    do(store, lambda session: catalogue.update_section(session, first, 1, wider, {Length.from_mm(20): 7}))
    (edited, _found) = edits(store, "section", first)
    do(store, lambda session: undo(session, edited.number))
    assert rows(store, "section", first) == before
    assert ask(store, shop.load_shop).edition > edition + 1
    do(store, lambda session: undo(session, edits(store, "section", first)[0].number))  # undone in its turn
    assert ask(store, lambda s: catalogue.load_section(s, first)).section == wider


def test_a_deleted_section_waits_for_its_name(store: Store) -> None:
    first = do(store, lambda session: catalogue.create_section(session, section()))
    do(store, lambda session: catalogue.delete_section(session, first, 1))
    do(store, lambda session: catalogue.create_section(session, section()))
    (binned,) = ask(store, in_bin)
    with pytest.raises(TakenMeanwhile, match="The name 14 belongs to another section by now"):
        do(store, lambda session: take_out_of_bin(session, binned.row))


def test_sections_that_changed_places_change_back_together(store: Store) -> None:
    numbers = [do(store, partial(catalogue.create_section, section=section(name))) for name in ("10", "14")]
    do(store, lambda session: catalogue.move_section(session, numbers[1], Step.UP))
    assert edits(store, "section", numbers[0])[0].number == edits(store, "section", numbers[1])[0].number
    do(store, lambda session: undo(session, edits(store, "section", numbers[0])[0].number))
    assert [each.id for each in ask(store, catalogue.list_sections)] == numbers


def test_suppliers_mouldings_and_the_shop_itself_go_back(store: Store) -> None:
    terms = SupplierTerms(name="North", currency="EUR", shipping=690, minimum_order=0)
    number = do(store, lambda session: suppliers.create_supplier(session, terms))
    dearer = terms.model_copy(update={"shipping": 990})
    do(store, lambda session: suppliers.update_supplier(session, number, 1, dearer))
    do(store, lambda session: undo(session, edits(store, "supplier", number)[0].number))
    stored = ask(store, lambda session: suppliers.load_supplier(session, number))
    assert (stored.terms, stored.version) == (terms, 3)

    was = ask(store, shop.load_shop)
    named = {"units": was.units, "currency": was.currency, "rules": was.rules}
    do(store, lambda session: shop.update_shop(session, was.version, name="North light", **named))
    do(store, lambda session: undo(session, edits(store, "shop", 1)[0].number))
    assert ask(store, shop.load_shop).name == was.name


def test_a_moulding_comes_back(store: Store) -> None:
    stock = {"width": 45, "thickness": 20}
    kept = read(
        Moulding,
        {
            "name": "No. 7",
            "day": "2026-03-02",
            "stock": stock,
            "section": "14",
            "projection": 6,
            "fence_readings": [9],
        },
    )
    number = do(store, lambda session: trials.add_moulding(session, kept))
    editions = {ask(store, trials.book_edition)}
    do(store, lambda session: trials.delete_moulding(session, number))
    (binned,) = ask(store, in_bin)
    editions.add(ask(store, trials.book_edition))
    do(store, lambda session: take_out_of_bin(session, binned.row))
    assert [each.number for each in ask(store, trials.list_mouldings)] == [number]
    editions.add(ask(store, trials.book_edition))
    assert len(editions) == 3


def test_what_was_changed_again_is_not_undone_under_it(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))
    call_it(store, number, "Bench")
    first = edits(store, "project", number)[0]
    call_it(store, number, "Bench seat")
    with pytest.raises(ChangedSince):
        do(store, lambda session: undo(session, first.number))
    assert ask(store, lambda session: projects.load_project(session, number)).head.name == "Bench seat"


def test_undoing_again_and_again_goes_further_back(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))
    for name in ("one", "two", "three"):
        call_it(store, number, name)
    names = []
    while (last := to_undo(edits(store, "project", number))) is not None:
        do(store, partial(undo, edit=last.number))
        names.append(ask(store, lambda session: projects.load_project(session, number)).head.name)
    assert names == ["two", "one", "Window seat"]


def test_an_edit_of_one_assembly_is_undone_under_a_later_one_of_another(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"), joint("B"))))
    first, second = ask(store, lambda session: projects.load_project(session, number)).assemblies
    do(store, lambda session: assemblies.update_assembly(session, first.id, 1, joint("A", run=25)))
    edit = edits(store, "project", number)[0]
    do(store, lambda session: assemblies.update_assembly(session, second.id, 1, joint("B", run=30)))
    do(store, lambda session: undo(session, edit.number))
    whole = ask(store, lambda session: projects.load_project(session, number)).project
    assert whole.assemblies == (joint("A"), joint("B", run=30))


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["add", "edit", "delete", "up", "down", "copy", "rename", "undo", "back"]),
        st.integers(0, 10),
    ),
    min_size=1,
    max_size=14,
)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_every_state_that_ever_was_can_be_brought_back(store: Store, changes: list[tuple[str, int]]) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"), joint("B"))))
    states: dict[int, Any] = {}
    for step, (change, which) in enumerate(changes):
        do(store, partial(_change, number=number, states=states, change=change, which=which, step=step))
        kept = edits(store, "project", number)
        if kept:
            states[kept[0].number] = rows(store, "project", number)
    for edit, state in states.items():
        do(store, partial(bring_state_back, kind="project", number=number, edit=edit))
        assert rows(store, "project", number) == state
        whole = ask(store, lambda session: projects.load_project(session, number))
        assert whole.head.version >= max((each.version for each in whole.assemblies), default=0)


def _change(session: Session, number: int, states: dict[int, Any], change: str, which: int, step: int) -> None:
    whole = projects.load_project(session, number)
    chosen = whole.assemblies[which % len(whole.assemblies)] if whole.assemblies else None
    if change == "add":
        assemblies.add_assembly(session, number, joint(assemblies.next_mark(session, number)))
    elif change == "rename":
        name = f"Job {which}"
        projects.update_head(
            session, number, whole.head.version, name=name, customer=None, units=Units.MM, currency=None
        )
    elif change == "back" and states:
        bring_state_back(session, "project", number, sorted(states)[which % len(states)])
    elif change == "undo":
        last = to_undo(edits_of(session, "project", number))
        if last is not None:
            undo(session, last.number)
    elif chosen is None:
        pass
    elif change == "edit":
        assemblies.update_assembly(session, chosen.id, chosen.version, joint(chosen.spec.mark, run=20 + step))
    elif change == "delete":
        assemblies.delete_assembly(session, chosen.id, chosen.version)
    elif change == "copy":
        assemblies.duplicate_assembly(session, chosen.id)
    elif change in {"up", "down"}:
        assemblies.move_assembly(session, chosen.id, Step(change))


JPEG = b"\xff\xd8\xff a corner"


def photograph(number: int, mark: str, **fields: Any) -> PhotographRow:
    plain: dict[str, Any] = {"caption": "", "added_at": Clock().moment, "width": 4, "height": 3}
    body = {"sha256": sha256(JPEG).hexdigest(), "body": JPEG, "thumbnail": JPEG}
    return PhotographRow(**{"project_id": number, "mark": mark, **plain, **body, **fields})


def photographs(store: Store) -> list[tuple[int | None, str, bytes]]:
    with store.reading() as session:
        return [(row.id, row.mark, row.body) for row in session.exec(select(PhotographRow))]


def test_photographs_come_back_and_are_kept_only_when_they_go(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"), joint("B"))))
    do(store, lambda session: session.add_all([photograph(number, ""), photograph(number, "A")]))
    call_it(store, number, "Bench")
    files = partial(ask, store, lambda session: len(session.connection().execute(sa.select(FILES)).all()))
    assert files() == 0
    before, assembly = photographs(store), ask(store, lambda s: projects.load_project(s, number)).assemblies[0]

    do(store, lambda session: assemblies.delete_assembly(session, assembly.id, 1))
    assert [mark for _, mark, _ in photographs(store)] == [""]
    (binned,) = ask(store, in_bin)
    do(store, lambda session: take_out_of_bin(session, binned.row))
    assert photographs(store) == before

    version = ask(store, lambda session: projects.project_version(session, number))
    do(store, lambda session: projects.delete_project(session, number, version))
    assert photographs(store) == []
    assert files() == 1  # the same picture, kept once
    do(store, lambda session: undo(session, edits(store, "project", number)[0].number))
    assert photographs(store) == before


def test_a_photograph_that_was_added_again_is_not_brought_back_beside_itself(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"))))
    do(store, lambda session: session.add(photograph(number, "A", caption="Open")))
    do(store, lambda session: remove_photograph(session, number, 1))
    removed = edits(store, "project", number)[0].number
    do(store, lambda session: session.add(photograph(number, "A", caption="Open again")))
    with pytest.raises(ThereAlready, match="The very same photograph was added again since, so it is there"):
        do(store, lambda session: undo(session, removed))
    do(store, lambda session: remove_photograph(session, number, 2))
    do(store, lambda session: undo(session, removed))
    assert photographs(store) == [(1, "A", JPEG)]


def test_a_photograph_whose_words_changed_goes_back_without_its_bytes_being_kept(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"))))
    do(store, lambda session: session.add(photograph(number, "A")))
    version = ask(store, lambda session: projects.load_project(session, number)).assemblies[0]
    do(store, lambda session: assemblies.update_assembly(session, version.id, 1, joint("B")))
    assert photographs(store) == [(1, "B", JPEG)]
    do(store, lambda session: undo(session, edits(store, "project", number)[0].number))
    assert photographs(store) == [(1, "A", JPEG)]


def test_what_is_put_away_goes_ahead_no_more_and_stays_so(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project()))
    call_it(store, number, "Bench")
    do(store, lambda session: put_away(session, number, 2))
    do(store, lambda session: undo(session, edits(store, "project", number)[0].number))
    head = ask(store, lambda session: session.get(ProjectRow, number))
    assert (head.name, head.put_away_at is None) == ("Window seat", False)


def test_every_table_that_goes_with_a_thing_belongs_to_it() -> None:
    assert {part.name for part in parts_of("project")} >= {"project", "assembly"}
    assert {part.name for part in parts_of("section")} == {"section", "section_length"}
    cascading = {
        table.name
        for table in Row.metadata.sorted_tables
        for reference in table.foreign_keys
        if reference.ondelete == "CASCADE"
    }
    assert cascading <= belongs().keys()


def test_versions_of_rows_never_come_back(store: Store) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint())))
    assembly = ask(store, lambda session: projects.load_project(session, number)).assemblies[0]
    for run in (21, 22, 23):
        version = ask(store, lambda s: assemblies.load_assembly(s, assembly.id)).version
        act = partial(
            assemblies.update_assembly, assembly_id=assembly.id, version=version, spec=joint("A", run=run)
        )
        do(store, act)
    do(
        store,
        lambda session: bring_state_back(session, "project", number, edits(store, "project", number)[-1].number),
    )
    back = ask(store, lambda session: assemblies.load_assembly(session, assembly.id))
    assert back.spec == joint("A")
    assert back.version > 4
    with store.reading() as session:
        assert session.get(AssemblyRow, assembly.id) is not None
