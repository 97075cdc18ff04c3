"""Projects and assemblies: stored, changed, refused when stale."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import text
from sqlmodel import Session

from domain.lengths import Length, Units
from domain.marks import mark_after
from domain.problems import BadInput
from domain.spec.assemblies import SingleJoint
from domain.spec.choices import KeyChoices
from domain.spec.project import MOST_ASSEMBLIES, Project, read_project
from domain.spec.rules import Rules
from tests.webapp.store.store_samples import Clock, joint, one_of_each_kind, project, section
from webapp.store import Store, assemblies, projects
from webapp.store.errors import MarkTaken, NotFound, StaleEdit, Unreadable
from webapp.store.rows import Step


def added(store: Store, whole: Project) -> int:
    with store.writing() as session:
        return projects.create_project(session, whole)


def loaded(store: Store, project_id: int) -> projects.StoredProject:
    with store.reading() as session:
        return projects.load_project(session, project_id)


def marks(store: Store, project_id: int) -> list[str]:
    return [assembly.spec.mark for assembly in loaded(store, project_id).assemblies]


def test_every_kind_comes_back_as_it_was_typed(store: Store, clock: Clock) -> None:
    whole = one_of_each_kind()
    stored = loaded(store, added(store, whole))
    assert stored.project == whole
    assert [assembly.spec for assembly in stored.assemblies] == list(whole.assemblies)
    # which fields were given decides what a joint overrides, so that must come back too
    for before, after in zip(whole.assemblies, stored.project.assemblies, strict=True):
        assert after.model_dump(exclude_unset=True) == before.model_dump(exclude_unset=True)
    head = stored.head
    assert (head.name, head.customer, head.units, head.currency) == (
        "Everything",
        "Ålund & søn",
        Units.INCH,
        "SEK",
    )
    assert (head.version, head.assemblies, head.updated) == (1, 5, clock())


def test_a_project_is_written_out_as_it_came_in(store: Store) -> None:
    whole = one_of_each_kind()
    again = loaded(store, added(store, whole)).project.model_dump(mode="json", exclude_unset=True)
    assert read_project(again) == whole


def test_a_spec_made_without_its_kind_is_stored_with_it(store: Store) -> None:
    spec = SingleJoint(mark="A", breadth=60, run=20, behind=(60, 60))
    assert "kind" not in spec.model_fields_set
    assert loaded(store, added(store, project(spec))).project.assemblies == (spec,)


def test_without_sections_and_rules_they_are_the_shops(store: Store) -> None:
    stored = loaded(store, added(store, project())).project
    assert stored.sections is None
    assert stored.rules is None


def test_a_projects_own_choices_are_kept_as_they_were_made(store: Store) -> None:
    choices = KeyChoices(section="14", count=2)
    number = added(store, project(keys=choices))
    assert loaded(store, number).project.keys == choices
    assert loaded(store, number).project.keys.model_fields_set == {"section", "count"}
    with store.writing() as session:
        version = projects.update_choices(session, number, 1, KeyChoices())
    assert version == 2
    assert loaded(store, number).project.keys == KeyChoices()
    with pytest.raises(StaleEdit), store.writing() as session:
        projects.update_choices(session, number, 1, choices)


def test_rules_keep_their_figures_when_a_default_changes(store: Store) -> None:
    number = added(store, project(rules=Rules(wall=Length.from_mm(3))))
    with store.reading() as session:
        kept = session.execute(text("SELECT rules_json FROM project")).scalar_one()
    assert '"wall":3' in kept
    assert '"spare":0.05' in kept
    assert loaded(store, number).project.rules == Rules(wall=Length.from_mm(3))


def test_the_list_has_the_one_changed_last_first(store: Store, clock: Clock) -> None:
    first, second = added(store, project(joint(), name="First")), added(store, project(name="Second"))
    clock.forward(hours=1)
    with store.writing() as session:
        assemblies.add_assembly(session, first, joint("B"))
    with store.reading() as session:
        heads = projects.list_projects(session)
    assert [(head.id, head.name, head.assemblies) for head in heads] == [
        (first, "First", 2),
        (second, "Second", 0),
    ]
    assert heads[0].updated - heads[1].updated == timedelta(hours=1)


def test_marks_used_twice_are_refused_with_their_places(store: Store) -> None:
    with pytest.raises(BadInput, match=r"assemblies\[1\]\.mark"):
        added(store, project(joint("A"), joint("A")))
    with store.reading() as session:
        assert projects.list_projects(session) == ()


def test_a_spec_that_the_domain_would_not_read_back_is_refused_at_once(store: Store) -> None:
    unchecked = joint().model_copy(update={"angle": 7.0})  # model_copy checks nothing
    with pytest.raises(BadInput, match="angle"):
        added(store, project(unchecked))


Change = Callable[[Session, int, int], object]


def add(session: Session, number: int, _first: int) -> object:
    return assemblies.add_assembly(session, number, joint("Z"))


def edit(session: Session, _number: int, first: int) -> object:
    return assemblies.update_assembly(session, first, 1, joint("A", run=25))


def delete(session: Session, _number: int, first: int) -> object:
    assemblies.delete_assembly(session, first, 1)
    return None


def move(session: Session, _number: int, first: int) -> object:
    assemblies.move_assembly(session, first, Step.DOWN)
    return None


def duplicate(session: Session, _number: int, first: int) -> object:
    return assemblies.duplicate_assembly(session, first)


def rename(session: Session, number: int, _first: int) -> object:
    return projects.update_head(session, number, 1, name="New", customer=None, units=Units.MM, currency=None)


@pytest.mark.parametrize("change", [add, edit, delete, move, duplicate, rename])
def test_every_change_raises_the_projects_version(store: Store, clock: Clock, change: Change) -> None:
    number = added(store, project(joint("A"), joint("B")))
    other = added(store, project(joint("A")))
    first = loaded(store, number).assemblies[0].id
    clock.forward(minutes=5)
    with store.writing() as session:
        change(session, number, first)
    with store.reading() as session:
        assert projects.project_version(session, number) == 2
        assert projects.project_version(session, other) == 1
        assert projects.load_project(session, number).head.updated == clock()


def test_moving_past_the_end_changes_nothing(store: Store) -> None:
    longer = added(store, project(joint("A"), joint("B"), joint("C"), joint("D")))
    number = added(store, project(joint("A"), joint("B"), joint("C")))
    first, _, last = (assembly.id for assembly in loaded(store, number).assemblies)
    with store.writing() as session:
        assemblies.move_assembly(session, first, Step.UP)
        assemblies.move_assembly(session, last, Step.DOWN)
    assert marks(store, number) == ["A", "B", "C"]
    assert marks(store, longer) == ["A", "B", "C", "D"]
    assert loaded(store, number).head.version == loaded(store, longer).head.version == 1


def test_moving_walks_through_the_project_and_leaves_the_assemblies_version(store: Store) -> None:
    number = added(store, project(joint("A"), joint("B"), joint("C")))
    first = loaded(store, number).assemblies[0].id
    for expected in (["B", "A", "C"], ["B", "C", "A"]):
        with store.writing() as session:
            assemblies.move_assembly(session, first, Step.DOWN)
        assert marks(store, number) == expected
    with store.writing() as session:
        assemblies.move_assembly(session, first, Step.UP)
        assert assemblies.load_assembly(session, first).version == 1
    assert marks(store, number) == ["B", "A", "C"]


def test_a_copy_stands_after_its_original_under_the_next_mark(store: Store) -> None:
    number = added(store, project(joint("A", run=31), joint("B"), joint("C")))
    first = loaded(store, number).assemblies[0].id
    with store.writing() as session:
        copy = assemblies.duplicate_assembly(session, first)
    assert marks(store, number) == ["A", "D", "B", "C"]
    stored = loaded(store, number)
    assert stored.assemblies[1].id == copy
    assert stored.assemblies[1].spec == joint("D", run=31)
    assert [assembly.position for assembly in stored.assemblies] == [0, 1, 2, 3]


def test_an_edit_may_change_mark_and_kind(store: Store) -> None:
    whole = one_of_each_kind()
    number = added(store, whole)
    frame = loaded(store, number).assemblies[0]
    with store.writing() as session:
        assert assemblies.update_assembly(session, frame.id, frame.version, joint("F")) == 2
    now = loaded(store, number).assemblies[0]
    assert (now.spec, now.version, now.position, now.project_id) == (joint("F"), 2, 0, number)


def test_a_mark_is_used_once_a_project(store: Store) -> None:
    number = added(store, project(joint("A"), joint("B")))
    other = added(store, project())
    first = loaded(store, number).assemblies[0]
    with pytest.raises(MarkTaken, match="The mark B is used already"), store.writing() as session:
        assemblies.add_assembly(session, number, joint("B"))
    with pytest.raises(MarkTaken), store.writing() as session:
        assemblies.update_assembly(session, first.id, first.version, joint("B"))
    with store.writing() as session:
        assemblies.add_assembly(session, other, joint("B"))
        assemblies.update_assembly(session, first.id, first.version, joint("A", run=30))
    assert loaded(store, number).assemblies[0].version == 2


def test_a_stale_edit_is_refused_and_told_their_version(store: Store) -> None:
    number = added(store, project(joint("A")))
    first = loaded(store, number).assemblies[0]
    with store.writing() as session:
        assemblies.update_assembly(session, first.id, 1, joint("A", run=30))
    stale: list[Change] = [
        lambda session, _number, _first: assemblies.update_assembly(session, first.id, 1, joint("A", run=40)),
        lambda session, _number, _first: assemblies.delete_assembly(session, first.id, 1),
        lambda session, _number, _first: projects.delete_project(session, number, 1),
        rename,
    ]
    for change in stale:
        with pytest.raises(StaleEdit, match="changed elsewhere") as refused, store.writing() as session:
            change(session, number, first.id)
        assert refused.value.theirs_version == 2
    assert loaded(store, number).assemblies[0].spec == joint("A", run=30)
    assert loaded(store, number).head.version == 2


def test_a_deleted_project_takes_its_assemblies_along_and_no_others(store: Store) -> None:
    doomed, kept = added(store, project(joint("A"), joint("B"))), added(store, project(joint("A")))
    with store.writing() as session:
        projects.delete_project(session, doomed, 1)
    with store.reading() as session:
        assert session.execute(text("SELECT project_id FROM assembly")).scalars().all() == [kept]
        with pytest.raises(NotFound, match=f"There is no project {doomed}"):
            projects.load_project(session, doomed)


def test_a_number_is_never_given_out_twice(store: Store) -> None:
    # links and caches hold on to numbers
    first = added(store, project(joint()))
    assembly = loaded(store, first).assemblies[0].id
    with store.writing() as session:
        projects.delete_project(session, first, 1)
    second = added(store, project(joint()))
    assert second > first
    assert loaded(store, second).assemblies[0].id > assembly


@pytest.mark.parametrize("number", [0, -1, 99, 2**31, 2**63, 10**40])
def test_what_is_not_there_is_not_found(store: Store, number: int) -> None:
    attempts: list[Callable[[Session], object]] = [
        lambda session: projects.load_project(session, number),
        lambda session: projects.project_version(session, number),
        lambda session: projects.edition(session, number),
        lambda session: assemblies.next_mark(session, number),
        lambda session: assemblies.add_assembly(session, number, joint()),
        lambda session: projects.delete_project(session, number, 1),
        lambda session: rename(session, number, 1),
        lambda session: assemblies.load_assembly(session, number),
        lambda session: assemblies.update_assembly(session, number, 1, joint()),
        lambda session: assemblies.delete_assembly(session, number, 1),
        lambda session: assemblies.move_assembly(session, number, Step.UP),
        lambda session: assemblies.duplicate_assembly(session, number),
    ]
    for attempt in attempts:
        with pytest.raises(NotFound), store.writing() as session:
            attempt(session)


def test_a_version_that_no_form_carries_is_stale(store: Store) -> None:
    number = added(store, project())
    with pytest.raises(StaleEdit), store.writing() as session:
        projects.delete_project(session, number, 10**40)


@pytest.mark.parametrize(
    ("fields", "path"),
    [
        ({"name": " "}, "name"),
        ({"name": "x" * 121}, "name"),
        ({"name": "a\x00b"}, "name"),
        ({"name": "\ud800"}, "name"),
        ({"customer": ""}, "customer"),
        ({"currency": "euro"}, "currency"),
    ],
)
def test_a_head_is_checked_by_the_domain(store: Store, fields: dict[str, str], path: str) -> None:
    number = added(store, project())
    head = {"name": "Window seat", "customer": None, "units": Units.MM, "currency": None} | fields
    with pytest.raises(BadInput) as refused, store.writing() as session:
        projects.update_head(session, number, 1, **head)  # type: ignore[arg-type]
    assert refused.value.problems[0].path == (path,)


def test_own_sections_are_checked_among_themselves(store: Store) -> None:
    for wrong in ([section("14"), section("14")], [section(tip_diameter=5)]):
        with pytest.raises(BadInput, match="sections"):
            added(store, project(sections=wrong))
    own = project(sections=[section("14"), section("10")], rules={"kerf": 2})
    assert loaded(store, added(store, own)).project == own


@pytest.mark.long_on_server
def test_a_project_is_full_at_what_a_file_can_hold(store: Store) -> None:
    number = added(store, project(*(joint(f"n{place}") for place in range(MOST_ASSEMBLIES))))
    stored = loaded(store, number)
    for grow in (add, duplicate):
        with pytest.raises(BadInput, match="at most 5000"), store.writing() as session:
            grow(session, number, stored.assemblies[0].id)
    assert stored.head.assemblies == MOST_ASSEMBLIES


@pytest.mark.parametrize(
    ("damage", "why"),
    [
        ("UPDATE assembly SET spec_json = replace(spec_json, '\"run\":20', '\"run\":-20')", "run: -20"),
        ("UPDATE assembly SET kind = 'barrel'", "assembly"),
        ("UPDATE assembly SET spec_json = replace(spec_json, ':', ';')", "is no JSON"),
        ("UPDATE project SET sections_json = '14'", "14: must be a list"),
        ("UPDATE project SET rules_json = '{\"wall\":0}'", "wall: 0"),
        ('UPDATE project SET sections_json = \'[{"name":"14"}]\'', "waist: 'missing': is needed"),
    ],
)
def test_what_the_domain_no_longer_accepts_is_said_to_be_unreadable(store: Store, damage: str, why: str) -> None:
    number = added(store, project(joint()))
    with store.writing() as session:
        session.connection().exec_driver_sql(damage)
    with pytest.raises(Unreadable, match=why):
        loaded(store, number)


def test_the_next_mark_is_offered(store: Store) -> None:
    number = added(store, project(joint("A"), joint("C"), joint("LID")))
    with store.reading() as session:
        assert assemblies.next_mark(session, number) == "D"


@pytest.mark.parametrize(
    ("used", "offered"),
    [
        ([], "A"),
        (["A"], "B"),
        (["Z"], "AA"),
        (["AZ"], "BA"),
        (["ZZ"], "AAA"),
        (["ZZ", "AAA"], "AAB"),
        (["a", "1", "DOOR", "B2", "Ä"], "A"),
        (["B"], "C"),
    ],
)
def test_marks_count_on_in_letters(used: list[str], offered: str) -> None:
    assert mark_after(used) == offered
