"""The whole shop out as an open archive and in again: the same bytes, and nothing of one that is not whole."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.lengths import Length
from domain.spec.catalogue import Plug
from tests.factories import sending
from tests.terminal import dovetally
from tests.torture import Tally
from tests.webapp.databases import Databases, nothing
from tests.webapp.faults.shop import Contents, contents
from tests.webapp.store.filled import fill
from tests.webapp.store.store_samples import joint, project, section
from webapp.store import Store, catalogue, projects, schema, tokens
from webapp.store.archive import NOBODYS_WORK, ShopNotEmpty, archive, archive_open, take_in, take_in_stopped
from webapp.store.archive_file import MANIFEST, NoArchive, opened_archive
from webapp.store.backup import list_backups
from webapp.store.errors import CannotOpen, InUse, NewerDatabase, StoreError
from webapp.store.restore import Refused
from webapp.usecases.demo import load_demo_in

AT = datetime(2026, 3, 2, tzinfo=UTC)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """At least one row in every table."""
    file = tmp_path_factory.mktemp("full") / "shop.db"
    fill(file)
    return file


@pytest.fixture(scope="module")
def whole(full: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive of that."""
    file = tmp_path_factory.mktemp("whole") / "out.zip"
    archive(full, file)
    return file


@pytest.fixture
def out(whole: Path, tmp_path: Path) -> Path:
    """A copy of it, to be changed."""
    return Path(shutil.copy(whole, tmp_path / "out.zip"))


@pytest.fixture
def empty(tmp_path: Path, databases: Databases) -> Iterator[Store]:
    folder = tmp_path / "empty"
    folder.mkdir()
    with databases.opened("empty", nothing, folder / "shop.db") as store:
        yield store


def work(file: Path) -> Contents:
    """All that is somebody's work, by its keys, and the last numbers that were given out."""
    found = contents(file)
    numbers = sorted(each for each in found["sqlite_sequence"] if each[1] and each[0] not in NOBODYS_WORK)
    tables = {name: sorted(rows, key=repr) for name, rows in found.items() if name not in NOBODYS_WORK}
    return tables | {"numbers": numbers}


def test_every_table_goes_out_and_in_and_out_again_as_the_same_bytes(out: Path, full: Path, empty: Store) -> None:
    assert empty.path is not None
    assert all(rows for name, rows in contents(full).items())
    done = take_in(empty, out, "out.zip")
    assert work(empty.path) == work(full)
    archive_open(empty, out.with_name("again.zip"))
    assert out.with_name("again.zip").read_bytes() == out.read_bytes()
    assert done.before is not None  # what was there before can be put back
    with empty.writing() as session:
        assert projects.create_project(session, project(joint())) == 2  # numbers go on


def test_it_is_a_zip_of_json_and_pdfs_that_any_program_reads(out: Path, full: Path) -> None:
    """Read with nothing of the program's own, by what its README says."""
    with zipfile.ZipFile(out) as opened:
        names = opened.namelist()
        manifest = json.loads(opened.read("manifest.json"))
        assert names == sorted(names)
        assert {each.date_time for each in opened.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {each.compress_type for each in opened.infolist()} == {zipfile.ZIP_STORED}
        assert (manifest["format"], manifest["version"]) == ("dovetally-archive", 1)
        assert manifest["schema"] == schema.HEAD
        for name, told in manifest["files"].items():
            assert hashlib.sha256(opened.read(name)).hexdigest() == told
        assert set(names) == {*manifest["files"], MANIFEST}
        rows = {name: json.loads(opened.read(f"tables/{name}.json")) for name in manifest["rows"]}
        assert {name: len(each) for name, each in rows.items()} == manifest["rows"]
        assert set(rows) == set(work(full)) - {"numbers"}
        (document,) = rows["revision_document"]
        body = opened.read(document["body"]["file"])
        assert body == b"%PDF"
        assert hashlib.sha256(body).hexdigest() == document["sha256"]
        assert [each["length"] for each in rows["section_length"]] == [16_000_000, 22_000_000, 38_000_000]
        assert "form_token" not in rows
        assert "manifest.json" in opened.read("README.txt").decode()


def test_the_demo_goes_out_and_in_while_others_use_it(databases: Databases, tmp_path: Path, empty: Store) -> None:
    folder = tmp_path / "demo"
    folder.mkdir()
    with databases.opened("demo", load_demo_in, folder / "shop.db") as store:
        archive_open(store, tmp_path / "one.zip")
        take_in(empty, tmp_path / "one.zip", "one.zip")
        archive_open(empty, tmp_path / "two.zip")
        assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()
        with pytest.raises(ShopNotEmpty, match="DOVETALLY_DATA"):
            take_in(store, tmp_path / "one.zip", "one.zip")


TEXT = st.text(st.characters(min_codepoint=32, max_codepoint=0x24F), min_size=1, max_size=30).filter(
    lambda text: text.isprintable() and text == text.strip()
)


@st.composite
def shops(draw: st.DrawFn) -> list[Callable[[Store], None]]:
    """What is done in a shop, one after the other."""

    def add(name: str, marks: list[str]) -> Callable[[Store], None]:
        def act(store: Store) -> None:
            with store.writing() as session:
                projects.create_project(session, project(*(joint(mark) for mark in marks), name=name))

        return act

    def gone(which: int) -> Callable[[Store], None]:
        def act(store: Store) -> None:
            with store.writing() as session:
                heads = projects.list_projects(session)
                if heads:
                    head = heads[which % len(heads)]
                    projects.delete_project(session, head.id, head.version)

        return act

    def keys(material: str, height: float, price: int) -> Callable[[Store], None]:
        def act(store: Store) -> None:
            with store.writing() as session:
                if not catalogue.list_sections(session):
                    catalogue.create_section(session, section(), {Length.from_mm(16): price})
                catalogue.create_plug(session, Plug(material=material, height=height), price)

        return act

    marks = st.lists(st.sampled_from("ABCDE"), unique=True, max_size=3)
    return draw(
        st.lists(
            st.one_of(
                st.builds(add, TEXT, marks),
                st.builds(gone, st.integers(0, 5)),
                st.builds(keys, TEXT, st.integers(10, 60).map(lambda tenths: tenths / 10), st.integers(0, 10**9)),
            ),
            max_size=6,
        )
    )


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=shops(), token=st.booleans())
def test_any_shop_comes_back_as_it_was(
    databases: Databases,
    tmp_path_factory: pytest.TempPathFactory,
    acts: list[Callable[[Store], None]],
    token: bool,
) -> None:
    folder = tmp_path_factory.mktemp("shops")
    first, second = folder / "a.db", folder / "b.db"
    with databases.opened("empty", nothing, first) as store:
        for act in acts:
            with suppress(StoreError):  # a name that is taken
                act(store)
        if token:
            with store.writing() as session:
                tokens.once(session, sending("a-form-token-0001"), lambda: "/")
        archive_open(store, folder / "one.zip")
    take_in_stopped(second, folder / "one.zip", AT)
    archive(second, folder / "two.zip")
    assert (folder / "one.zip").read_bytes() == (folder / "two.zip").read_bytes()
    assert work(first) == work(second)


def rewritten(out: Path, change: Callable[[dict[str, bytes]], object], *, summed: bool = True) -> Path:
    """The archive with some of its entries changed, by default with sums that fit."""
    with zipfile.ZipFile(out) as opened:
        entries = {name: opened.read(name) for name in opened.namelist()}
    change(entries)
    if summed and MANIFEST in entries:
        sums = {name: hashlib.sha256(body).hexdigest() for name, body in entries.items() if name != MANIFEST}
        with suppress(ValueError, RecursionError):  # of a manifest that is none
            entries[MANIFEST] = json.dumps(json.loads(entries[MANIFEST]) | {"files": sums}).encode()
    changed = out.with_name("changed.zip")
    with zipfile.ZipFile(changed, "w") as archive:
        for name, body in entries.items():
            archive.writestr(name, body)
    return changed


def told(**values: object) -> Callable[[dict[str, bytes]], object]:
    def change(entries: dict[str, bytes]) -> None:
        entries[MANIFEST] = json.dumps(json.loads(entries[MANIFEST]) | values).encode()

    return change


def in_row(table: str, **values: object) -> Callable[[dict[str, bytes]], object]:
    def change(entries: dict[str, bytes]) -> None:
        rows = json.loads(entries[f"tables/{table}.json"])
        rows[0] |= values
        entries[f"tables/{table}.json"] = json.dumps(rows).encode()

    return change


def put(name: str, body: bytes) -> Callable[[dict[str, bytes]], object]:
    return lambda entries: entries.update({name: body})


def out_of(name: str) -> Callable[[dict[str, bytes]], object]:
    return lambda entries: entries.pop(name)


WRONG: dict[str, tuple[Callable[[dict[str, bytes]], object], str]] = {
    "no manifest": (out_of(MANIFEST), "another program's"),
    "another format": (told(format="recipes"), "another program's"),
    "a manifest that is none": (put(MANIFEST, b"["), "no JSON"),
    "a manifest of depth": (put(MANIFEST, b"[" * 100_000), "no JSON"),
    "a version that is none": (told(version=True), "version in its manifest.json is none"),
    "a schema that is none": (told(schema=0), "schema in its manifest.json is none"),
    "rows that are none": (told(rows=7), "not as it should be"),
    "a last number of nothing": (told(last_numbers={"recipe": 7}), "no table recipe"),
    "a table less": (out_of("tables/item.json"), "tables/item.json is missing"),
    "a table more": (put("tables/recipe.json", b"[]"), "tables/recipe.json is missing, or of no table"),
    "a row less": (put("tables/item.json", b"[]"), "as many rows"),
    "a column more": (in_row("item", colour="red"), "has not the columns"),
    "a value that is none": (in_row("item", name=["a"]), "a value that no column takes"),
    "a truth": (in_row("item", version=True), "a value that no column takes"),
    "the wrong type": (in_row("item", version="two"), "row 1 of tables/item.json"),
    "too large a number": (in_row("item", version=2**70), "row 1 of tables/item.json"),
    "half a letter": (in_row("project", name="\ud800"), "row 1 of tables/project.json"),
    "no number": (put("tables/tick.json", b'[{"id": NaN}]'), "no JSON"),
    "less than nothing in stock": (in_row("movement", on_hand=-5), "row 1 of tables/movement.json"),
    "numbers out of turn": (in_row("placed_order", number=7), "row 1 of tables/placed_order.json"),
    "a paper that is not there": (in_row("revision_document", body={"file": "papers/x.pdf"}), "no column takes"),
    "a paper of nobody": (put("papers/x.pdf", b"%PDF"), "no row has the paper"),
    "up and away": (put("../../shop.db", b"x"), "no name that an archive has"),
    "from the root": (put("/etc/passwd", b"x"), "no name that an archive has"),
    "another drive": (put("C:\\shop.db", b"x"), "no name that an archive has"),
    "within the papers": (put("papers/../../x.pdf", b"x"), "no name that an archive has"),
    "a folder": (put("tables/", b""), "no name that an archive has"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_no_whole_archive_is_refused_in_one_sentence(
    out: Path, empty: Store, tally: Tally, wrong: str
) -> None:
    tally("S9 archives that are not whole: nothing taken in")
    assert empty.path is not None
    before = empty.path.read_bytes()
    change, words = WRONG[wrong]
    changed = rewritten(out, change)
    with pytest.raises((NoArchive, Refused), match=words) as refused:
        take_in(empty, changed, "changed.zip")
    assert "\n" not in str(refused.value)
    assert empty.path.read_bytes() == before
    assert list(empty.path.parent.glob(".look-*")) == []
    with zipfile.ZipFile(changed) as opened:
        assert not any(path.exists() for path in (Path("/shop.db"), out.parents[2] / "shop.db"))
        assert opened.testzip() is None


def test_a_paper_that_was_changed_with_its_sum_is_not_what_was_issued(out: Path, empty: Store) -> None:
    name = "papers/revision_document-1-schedule-A4-body.pdf"
    with pytest.raises(Refused, match="holds a paper that is not what was issued"):
        take_in(empty, rewritten(out, put(name, b"%PDF other")), "changed.zip")


def test_a_row_that_refers_to_nothing(out: Path, empty: Store) -> None:
    with pytest.raises(Refused, match="does not hold together"):
        take_in(empty, rewritten(out, in_row("assembly", project_id=7)), "changed.zip")


@pytest.mark.parametrize("newer", [{"version": 2}, {"schema": schema.HEAD + 1}])
def test_a_newer_archive_says_so(out: Path, empty: Store, newer: dict[str, int]) -> None:
    with pytest.raises(NewerDatabase, match="install the newer Dovetally"):
        take_in(empty, rewritten(out, told(**newer)), "newer.zip")


def test_a_sum_that_is_wrong(out: Path, empty: Store) -> None:
    changed = rewritten(out, put("tables/item.json", b"[]\n"), summed=False)
    with pytest.raises(NoArchive, match=r"tables/item\.json is not what was written"):
        take_in(empty, changed, "changed.zip")


def test_every_byte_counts(out: Path, empty: Store, tally: Tally) -> None:
    """One byte turned over, anywhere: refused, or taken in as exactly what it was."""
    assert empty.path is not None
    whole, before, sentences = out.read_bytes(), empty.path.read_bytes(), set[str]()
    for place in range(0, len(whole), max(1, len(whole) // 150)):
        damaged = bytearray(whole)
        damaged[place] ^= 0x41
        file = out.with_name("damaged.zip")
        file.write_bytes(damaged)
        try:
            with opened_archive(file, "damaged.zip", schema.HEAD) as opened:
                assert opened.manifest.schema == schema.HEAD
                assert {name: opened.read(name) for name in opened.papers}
        except StoreError as refused:
            sentences.add(str(refused))
        tally("S9 archives with a byte turned over: refused, or as they were")
    assert sentences
    assert not any("\n" in sentence for sentence in sentences)
    for length in (0, 10, len(whole) // 2, len(whole) - 5):
        file.write_bytes(whole[:length])
        with pytest.raises(NoArchive):
            take_in(empty, file, "cut.zip")
    assert empty.path.read_bytes() == before


def test_a_zip_that_swells_is_not_unpacked(out: Path, empty: Store) -> None:
    bomb = out.with_name("bomb.zip")
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(MANIFEST, b" " * 50_000_000)
    assert bomb.stat().st_size < 100_000
    with pytest.raises(NoArchive, match="compressed"):
        take_in(empty, bomb, "bomb.zip")


def test_entries_that_lie_over_one_another_are_refused(out: Path, empty: Store) -> None:
    """The same bytes under many names: a bomb without compression."""
    body, twice = b"[" + b" " * 100_000 + b"]", out.with_name("twice.zip")
    with zipfile.ZipFile(twice, "w") as archive:
        archive.writestr("tables/a.json", body)
        first = archive.infolist()[0]
        for number in range(50):
            copy = zipfile.ZipInfo(f"tables/a{number}.json", first.date_time)
            for name in ("CRC", "compress_size", "file_size", "header_offset"):
                setattr(copy, name, getattr(first, name))
            archive.filelist.append(copy)
            archive.NameToInfo[copy.filename] = copy
    with pytest.raises(NoArchive, match="more than the file itself"):
        take_in(empty, twice, "twice.zip")


def test_a_name_that_stands_twice(out: Path, empty: Store) -> None:
    twice = out.with_name("twice.zip")
    twice.write_bytes(out.read_bytes())
    with zipfile.ZipFile(twice, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr(MANIFEST, b"{}")
    with pytest.raises(NoArchive, match="twice"):
        take_in(empty, twice, "twice.zip")


def test_what_is_no_file(empty: Store, tmp_path: Path) -> None:
    with pytest.raises(CannotOpen):
        take_in(empty, tmp_path / "none.zip", "none.zip")


@pytest.mark.parametrize("version", range(1, schema.HEAD))
def test_an_archive_of_an_earlier_version_is_brought_up_to_date(tmp_path: Path, version: int) -> None:
    """As its data would be: by its own tables, then by the migrations."""
    from webapp.store import archive as archiving

    old, kept = tmp_path / "old.db", tmp_path / "kept.db"
    with closing(sqlite3.connect(old)) as connection:
        script = Path(__file__).with_name(f"version_{version}.sql")
        connection.executescript(script.read_text(encoding="utf-8"))
    with pytest.MonkeyPatch.context() as earlier:
        earlier.setattr(schema, "HEAD", version)
        with closing(sqlite3.connect(old)) as connection:
            archiving._write(connection, tmp_path / "old.zip")
    take_in_stopped(kept, tmp_path / "old.zip", AT)
    schema.bring_up_to_date(old)
    assert work(kept) == work(old)


def test_the_commands(out: Path, full: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DOVETALLY_DATABASE_URL", raising=False)
    monkeypatch.setenv("DOVETALLY_DATA", str(tmp_path / "new"))
    written = dovetally("unarchive", str(out))
    assert written.returncode == 0, written.stderr
    assert b"Projects" in written.stdout
    again = tmp_path / "again.zip"
    assert dovetally("archive", str(again)).returncode == 0
    assert again.read_bytes() == out.read_bytes()
    for refused in (
        dovetally("archive", str(again)),
        dovetally("unarchive", str(out)),
        dovetally("unarchive", str(tmp_path / "none.zip")),
        dovetally("archive", str(tmp_path / "none" / "a.zip")),
    ):
        assert refused.returncode == 2
        assert refused.stderr.decode().count("\n") == 1
    data = tmp_path / "new" / "dovetally.db"
    assert list_backups(data, data.with_name("backups")) == ()
    with closing(Store.open(data, lock=True)), pytest.raises(InUse):
        take_in_stopped(data, out, AT)
