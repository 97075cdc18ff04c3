"""What is promised of issued revisions: they reprint identically, and their numbers have no gaps and no twins."""

from __future__ import annotations

import hashlib
import random
import sqlite3
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import Connection

from domain.lengths import Length
from domain.problems import BadInput
from domain.spec.catalogue import Section
from domain.spec.project import Project
from domain.takeoff.takeoff import Takeoff
from tests.factories import a_frame, a_project, sending
from tests.torture import Tally, torture
from tests.webapp.databases import Databases, nothing
from tests.webapp.store.store_samples import make_up_a_version
from webapp.papers.kinds import ISSUED, DocumentKind, Heading, LabelChoices, Paper
from webapp.papers.render import render
from webapp.store import Store, assemblies, catalogue, projects, schema
from webapp.store import revisions as stored
from webapp.store.errors import NotFound, StaleEdit
from webapp.store.shop import load_shop, update_shop
from webapp.usecases import copies, revisions
from webapp.usecases.revisions import NotIssuable, Seen
from webapp.usecases.snapshots import canonical, snapshot

THREADS = 40
SECTION = Section(
    name="14",
    waist=11.2,
    half_depth=6,
    flank=12,
    tip_diameter=13.815,
    lengths=[16, 22, 38],
    drive_limit=60,
    stock_from=14,
    stock_to=40,
)


def quick(
    kind: DocumentKind, project: Project, takeoff: Takeoff, heading: Heading, paper: Paper, labels: LabelChoices
) -> bytes:
    """A document as bytes that depend on all that is given, without a compositor."""
    data = repr((kind, project, takeoff, heading, paper, labels)).encode()
    return b"%PDF-1.7 " + hashlib.sha256(data).digest() * 300


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(file: Path, databases: Databases) -> Iterator[Store]:
    with databases.opened("empty", nothing, file) as opened:
        with opened.writing() as session:
            catalogue.create_section(session, SECTION, {Length.from_mm(16): 12})
        yield opened


def new_project(store: Store, *assemblies: dict[str, object]) -> int:
    with store.writing() as session:
        return projects.create_project(session, a_project(*(assemblies or [a_frame()])))


def seen(store: Store, project_id: int) -> Seen:
    with store.reading() as session:
        return Seen(*projects.edition(session, project_id), stored.next_number(session, project_id))


def issue(store: Store, project_id: int, render: revisions.Render = quick, paper: Paper = Paper.A4) -> int:
    return revisions.issue(store, sending(uuid4().hex), project_id, seen(store, project_id), paper, render)


def widen(store: Store, project_id: int, mm: float) -> None:
    with store.writing() as session:
        found = projects.load_project(session, project_id).assemblies[0]
        assemblies.update_assembly(session, found.id, found.version, a_project(a_frame(width=mm)).assemblies[0])


def hashes(store: Store, project_id: int) -> dict[tuple[int, str, str], str]:
    """The sha256 of every document as a reprint gives it, by revision, kind and paper."""
    found = {}
    for head in revisions.revisions_of(store, project_id).heads:
        for document in revisions.load_revision(store, project_id, head.number).documents:
            (paper,) = (paper for paper in Paper if paper.label == document.paper)
            body = revisions.reprint(store, project_id, head.number, DocumentKind(document.kind), paper)
            assert hashlib.sha256(body).hexdigest() == document.sha256
            found[head.number, document.kind, document.paper] = document.sha256
    return found


def upset(store: Store) -> None:
    """Change everything in the shop that a document is made with."""
    with store.writing() as session:
        shop = load_shop(session)
        rules = shop.rules.model_copy(update={"wall": Length.from_mm(4), "spare": 0.5, "test_joints": 9})
        update_shop(session, shop.version, name="Another shop", units=shop.units, currency="SEK", rules=rules)
        (found,) = catalogue.list_sections(session)
        other = SECTION.model_copy(update={"half_depth": Length.from_mm(5), "lengths": (Length.from_mm(20),)})
        catalogue.update_section(session, found.id, found.version, other, {Length.from_mm(20): 99})


def reprints_identically(store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, count: int) -> None:
    number = new_project(store)
    for turn in range(count):
        issue(store, number, render if turn < 3 else quick, Paper.LETTER if turn % 7 == 1 else Paper.A4)
        widen(store, number, 401 + turn)
    before = hashes(store, number)
    assert len(before) == count * len(ISSUED)
    assert len(set(before.values())) == len(before)

    upset(store)
    monkeypatch.setattr(revisions, "templates_mark", lambda: "f" * 64)
    assert issue(store, number) == count + 1  # made with other templates, rules, sections and prices
    assert before.items() <= hashes(store, number).items()

    store.close()
    make_up_a_version(monkeypatch)
    monkeypatch.setattr(schema, "upgrade", rebuild_projects)
    with closing(sqlite3.connect(file)) as live, closing(sqlite3.connect(file.with_name("backup.db"))) as backup:
        live.backup(backup)
    for restored in (file, file.with_name("backup.db")):
        reopened = Store.open(restored)
        assert before.items() <= hashes(reopened, number).items()
        reopened.close()


def rebuild_projects(connection: Connection) -> None:
    """A migration as a later version might bring it."""
    run = connection.exec_driver_sql
    run("ALTER TABLE project ADD COLUMN colour TEXT")
    run("ALTER TABLE revision ADD COLUMN remark TEXT")


def test_50_revisions_reprint_identically(store: Store, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    reprints_identically(store, file, monkeypatch, 50)


@torture
def test_500_revisions_reprint_identically(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, tally: Tally
) -> None:
    tally("D1 issued revisions reprint as the same bytes", 500)
    reprints_identically(store, file, monkeypatch, 500)


class Fault(Exception):
    """A failure at a random moment."""


def numbers_without_gaps_or_twins(store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, each: int) -> None:
    """Forty people issue five projects, and one issue in four fails: setting a page, or just before the commit."""
    numbers = [new_project(store) for _ in range(5)]
    chance = random.Random(25)
    begin = threading.Barrier(THREADS)
    add_revision = stored.add_revision

    def failing_render(kind: DocumentKind, *given: object) -> bytes:
        # one issue in seven, however many documents it has
        if chance.random() < 0.15 / len(ISSUED):
            raise Fault
        return quick(kind, *given)  # type: ignore[arg-type]

    def failing_add(*given: object) -> None:
        add_revision(*given)  # type: ignore[arg-type]
        if chance.random() < 0.12:
            raise Fault

    monkeypatch.setattr(stored, "add_revision", failing_add)

    def work(thread: int) -> list[tuple[int, int]]:
        begin.wait()
        done = []
        for turn in range(each):
            project_id = numbers[(thread + turn) % 5]
            with suppress(Fault):
                done.append((project_id, issue_when_told(project_id)))
        return done

    def issue_when_told(project_id: int) -> int:
        """Issue, and where somebody else was quicker, look again and issue what stands then."""
        while True:
            with suppress(StaleEdit):
                return issue(store, project_id, failing_render)

    with ThreadPoolExecutor(THREADS) as pool:
        done = [made for thread in pool.map(work, range(THREADS)) for made in thread]
    assert 0.4 * THREADS * each < len(done) < 0.95 * THREADS * each
    for project_id in numbers:
        told = sorted(number for of, number in done if of == project_id)
        assert told == list(range(1, len(told) + 1))
        kept = [head.number for head in revisions.revisions_of(store, project_id).heads]
        assert kept == told[::-1]
        assert len(hashes(store, project_id)) == len(told) * len(ISSUED)
    with closing(sqlite3.connect(file)) as connection:
        counts = "SELECT (SELECT count(*) FROM revision), (SELECT count(*) FROM revision_document)"
        assert connection.execute(counts).fetchone() == (len(done), len(done) * len(ISSUED))
        stamps = connection.execute(
            "SELECT issued_at FROM revision WHERE project_id = 1 ORDER BY number"
        ).fetchall()
    assert stamps == sorted(stamps)


def test_forty_people_at_once_get_consecutive_numbers(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    numbers_without_gaps_or_twins(store, file, monkeypatch, 4)


@torture
def test_a_thousand_issues_get_consecutive_numbers(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, tally: Tally
) -> None:
    tally("D2 revisions are numbered without gap or twin", 1000)
    numbers_without_gaps_or_twins(store, file, monkeypatch, 25)


def test_a_form_sent_by_five_threads_at_once_issues_once(store: Store) -> None:
    number, token = new_project(store), sending(uuid4().hex)
    form = seen(store, number)
    with ThreadPoolExecutor(5) as pool:
        sent = [pool.submit(revisions.issue, store, token, number, form, Paper.A4, quick) for _ in range(5)]
        assert [each.result() for each in sent] == [1] * 5
    assert [head.number for head in revisions.revisions_of(store, number).heads] == [1]


def test_a_form_sent_again_years_later_gets_the_first_answer(store: Store) -> None:
    number, token = new_project(store), sending(uuid4().hex)
    form = seen(store, number)
    assert revisions.issue(store, token, number, form, Paper.A4, quick) == 1
    widen(store, number, 500)
    assert issue(store, number) == 2
    assert revisions.issue(store, token, number, form, Paper.A4, quick) == 1
    with pytest.raises(BadInput):
        revisions.issue(store, sending("no token"), number, form, Paper.A4, quick)


def test_what_changes_while_the_page_is_set_is_not_issued_unseen(store: Store) -> None:
    number = new_project(store)

    def slow(kind: DocumentKind, *given: object) -> bytes:
        if kind is DocumentKind.STRIPS:
            widen(store, number, 600)
        return quick(kind, *given)  # type: ignore[arg-type]

    with pytest.raises(StaleEdit):
        revisions.issue(store, sending(uuid4().hex), number, seen(store, number), Paper.A4, slow)
    assert revisions.revisions_of(store, number).heads == ()


def test_of_two_who_issue_the_same_the_slower_is_told(store: Store) -> None:
    number = new_project(store)
    theirs = iter([True])

    def slow(kind: DocumentKind, *given: object) -> bytes:
        if next(theirs, False):
            issue(store, number)
        return quick(kind, *given)  # type: ignore[arg-type]

    with pytest.raises(StaleEdit):
        issue(store, number, slow)
    assert [head.number for head in revisions.revisions_of(store, number).heads] == [1]
    assert issue(store, number, slow) == 2


def test_nobody_waits_while_a_page_is_set(store: Store) -> None:
    number = new_project(store)

    def slow(kind: DocumentKind, *given: object) -> bytes:
        new_project(store)  # somebody else writes, and is not held up
        return quick(kind, *given)  # type: ignore[arg-type]

    assert issue(store, number, slow) == 1


def test_the_heading_says_whose_it_is_and_when(file: Path, store: Store) -> None:
    store.close()
    moment = datetime(2028, 2, 29, 11, 30, 5, 123456, tzinfo=UTC)
    at_noon = Store.open(file, clock=lambda: moment)
    with at_noon.writing() as session:
        number = projects.create_project(session, a_project(a_frame(), customer="Ms Brandt", units="in"))
    headings: list[Heading] = []

    def look(
        kind: DocumentKind,
        project: Project,
        takeoff: Takeoff,
        heading: Heading,
        paper: Paper,
        labels: LabelChoices,
    ) -> bytes:
        headings.append(heading)
        return quick(kind, project, takeoff, heading, paper, labels)

    issue(at_noon, number, look)
    revisions.draft(at_noon, number, DocumentKind.KEYS, Paper.A4, look)
    issued, draft = headings[0], headings[-1]
    assert (issued.project, issued.customer, issued.revision) == ("Reading room", "Ms Brandt", "1")
    assert (issued.date, issued.units.value) == (moment.astimezone().strftime("%Y-%m-%d"), "in")
    assert issued.stamp == moment.replace(microsecond=0)
    assert draft.revision == "draft"
    assert revisions.revisions_of(at_noon, number).heads[0].issued_at == moment
    at_noon.close()


def standing(store: Store, project_id: int) -> str:
    ready = revisions.revisions_of(store, project_id).ready
    assert ready is not None
    return canonical(snapshot(ready.standing))


def test_the_snapshot_is_whole_and_the_same_for_the_same_project(store: Store) -> None:
    number = new_project(store)
    first = standing(store, number)
    issue(store, number)
    assert revisions.load_revision(store, number, 1).snapshot == first == standing(store, number)
    assert '"sections":[{' in first
    assert '"rules":{' in first
    assert '"price":12' in first
    widen(store, number, 500)
    changed = standing(store, number)
    widen(store, number, 400)
    assert changed != first == standing(store, number)


def test_the_snapshot_tells_whether_anything_has_changed(store: Store) -> None:
    number = new_project(store)
    issue(store, number)
    assert _same(store, number)
    upset(store)
    assert not _same(store, number)
    compared = revisions.compare_with_now(store, number, 1)
    assert compared is not None
    comparison = compared.comparison
    assert [change.name for change in comparison.rules] == ["wall", "test joints", "spare"]
    assert [difference.mark for difference in comparison.sections] == ["14"]
    assert [change.item for change in comparison.prices] == ["key 14 × 20", "key 14 × 16"]
    assert comparison.prices[1].before == (12, "EUR")
    assert comparison.prices[1].after is None
    assert comparison.takeoff.keys


def _same(store: Store, project_id: int) -> bool:
    ready = revisions.revisions_of(store, project_id).ready
    assert ready is not None
    return ready.same


def test_a_repeat_order_is_planned_as_the_revision_was(store: Store) -> None:
    joints = {"A-J1": {"count": 1}}
    number = new_project(store, a_frame(keys={"section": "14"}, joints=joints, quantity=3), a_frame("B"))
    issue(store, number)
    upset(store)
    copy = copies.create_copy(store, sending(uuid4().hex), copies.copy_of_revision(store, number, 1), "Again")
    issue(store, copy)
    original, repeat = (revisions.load_revision(store, of, 1).snapshot for of in (number, copy))
    assert _takeoff(repeat) == _takeoff(original)
    assert original.count('"mark":"A-J1"') == 1


def _takeoff(text: str) -> str:
    return text[
        text.index('"assemblies":', text.index('"takeoff":')) : text.index('"notes":', text.rindex("glue"))
    ]


def test_a_name_of_full_length_is_duplicated_too(store: Store) -> None:
    with store.writing() as session:
        number = projects.create_project(session, a_project(a_frame(), name="x" * 120))
    name = copies.copy_of_project(store, number).name
    assert (len(name), name[-8:]) == (120, "x (copy)")


def test_there_is_nothing_to_issue_or_to_print_where_there_is_no_project(store: Store) -> None:
    for act in (
        lambda: revisions.revisions_of(store, 9),
        lambda: revisions.issue(store, sending(uuid4().hex), 9, Seen(1, 1, 1), Paper.A4, quick),
        lambda: revisions.draft(store, 9, DocumentKind.KEYS, Paper.A4, quick),
        lambda: copies.copy_of_project(store, 9),
        lambda: copies.copy_of_revision(store, 9, 1),
    ):
        with pytest.raises(NotFound):
            act()


def test_an_empty_project_is_not_issued(store: Store) -> None:
    with store.writing() as session:
        number = projects.create_project(session, Project(name="Empty"))
    with pytest.raises(NotIssuable, match="no assembly in it yet"):
        issue(store, number)
