"""Project files out and in: exact round trips, harmless names, and imports that store nothing when refused."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.lengths import Length
from domain.project_file import read_project_file
from domain.spec.assemblies import SingleJoint
from domain.spec.catalogue import Section
from domain.spec.choices import KeyChoices
from domain.spec.project import Project
from domain.spec.rules import Rules
from tests.client import TestClient
from tests.webapp.pages.reading import fields, main, soup, summary
from tests.workshop import WORKSHOP
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.projects import create_project, list_projects, load_project
from webapp.usecases.demo import demo_projects, demo_shop
from webapp.usecases.exchange import export_project, file_name, preview_import, project_text
from webapp.usecases.json_text import LARGEST_DOCUMENT, parse_json

PLAIN: dict[str, Any] = {
    "format": "dovetally-project",
    "version": 1,
    "name": "Shelf",
    "assemblies": [
        {"kind": "single_joint", "mark": "A", "breadth": 60, "run": 40, "angle": 90, "behind": [60, 60]}
    ],
}


def paste(client: TestClient, document: Any) -> Any:
    text = document if isinstance(document, str) else json.dumps(document)
    return client.post("/import", files={"document": (None, text)})


def projects(store: Store) -> list[str]:
    with store.reading() as session:
        return [head.name for head in list_projects(session)]


def confirm(client: TestClient, preview: Any, **changes: str) -> Any:
    form = {**fields(preview), **changes}
    return client.post("/import/confirm", files={name: (None, value) for name, value in form.items()})


# --- out


def test_an_export_is_a_whole_download(client: TestClient, demo_store: Store) -> None:
    answer = client.get("/projects/1/export")
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert re.fullmatch(
        r'attachment; filename="project-1-[a-z0-9-]+\.json"', answer.headers["content-disposition"]
    )
    project = read_project_file(answer.json())
    assert project.sections == demo_shop().sections
    assert project.rules == demo_shop().rules


def test_an_export_that_is_not_there(client: TestClient) -> None:
    assert client.get("/projects/1/export").status_code == 404


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd",
        "..\\..\\boot.ini",
        "CON",
        "trailing dot.",
        'quote"; filename="evil.exe',
        "line\r\nSet-Cookie: a=b",
        "right\u202eto\u2066left",
        "x" * 300,
        "名前",
        ".hidden",
        "",
    ],
)
def test_no_name_of_a_project_can_harm_a_download(name: str) -> None:
    assert re.fullmatch(r"project-7(-[a-z0-9]+)*\.json", file_name(7, name))
    assert len(file_name(7, name)) <= 80


@given(st.text(max_size=300))
def test_any_name_makes_a_plain_file_name(name: str) -> None:
    assert re.fullmatch(r"project-7(-[a-z0-9]+)*\.json", file_name(7, name))


@pytest.mark.parametrize("name", ["a/../b", 'q"; x="y', "\u202eevil", "x" * 120])
def test_a_download_has_one_clean_header(client: TestClient, store: Store, name: str) -> None:
    with store.writing() as session:
        number = create_project(session, Project(name=name))
    values = client.get(f"/projects/{number}/export").headers.get_list("content-disposition")
    assert len(values) == 1
    assert re.fullmatch(r'attachment; filename="project-[a-z0-9-]+\.json"', values[0])


# --- round trips

_lengths = st.integers(1, 10**11).map(Length)
_names = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1, max_size=20)
_loose = st.builds(
    SingleJoint,
    mark=st.text("ABCxyz019_.", min_size=1, max_size=6),
    kind=st.just("single_joint"),
    name=st.none() | _names,
    quantity=st.integers(1, 10_000),
    breadth=_lengths,
    run=_lengths,
    angle=st.floats(15, 90),
    behind=st.tuples(_lengths, _lengths),
    keys=st.builds(KeyChoices, count=st.none() | st.integers(1, 40), recess=_lengths) | st.just(KeyChoices()),
)
_sections = st.builds(
    Section,
    name=_names,
    waist=st.integers(10**6, 10**7).map(Length),
    half_depth=_lengths,
    flank=st.floats(0.001, 45),
    tip_diameter=st.integers(10**7 + 1, 10**8).map(Length),
    lengths=st.lists(st.integers(3 * 10**6, 10**8).map(Length), min_size=1, max_size=4, unique=True).map(tuple),
    drive_limit=_lengths,
    stock_from=st.just(Length(1)),
    stock_to=_lengths,
)
_projects = st.builds(
    Project,
    name=_names,
    customer=st.none() | _names,
    sections=st.none()
    | st.lists(_sections, min_size=1, max_size=3, unique_by=lambda section: section.name).map(tuple),
    rules=st.none() | st.builds(Rules, wall=_lengths, spare=st.floats(0, 10)),
    keys=st.builds(KeyChoices, section=_names) | st.just(KeyChoices()),
    assemblies=st.lists(_loose, max_size=4, unique_by=lambda spec: spec.mark).map(tuple),
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=80)
@given(_projects)
def test_any_project_comes_back_from_its_file_exactly(project: Project) -> None:
    text = project_text(project)
    again = read_project_file_unchecked(text)
    assert again == project
    assert [spec.keys.model_fields_set for spec in again.assemblies] == [
        spec.keys.model_fields_set for spec in project.assemblies
    ]
    assert project_text(again) == text


def read_project_file_unchecked(text: str) -> Project:
    """Without the check that a joint's sizes suit each other, which arbitrary ones do not."""
    return Project.model_validate(parse_json(text.encode()))


def test_the_demo_goes_out_and_comes_in_the_same(client: TestClient, demo_store: Store) -> None:
    for number in (1, 2, 3):
        with demo_store.reading() as session:
            before = load_project(session, number).project
        answer = confirm(client, paste(client, client.get(f"/projects/{number}/export").text))
        assert answer.status_code == 303
        new = int(answer.headers["location"].rsplit("/", 1)[1])
        with demo_store.reading() as session:
            assert load_project(session, new).project == before
        first, second = export_project(demo_store, number), export_project(demo_store, new)
        assert first.text == second.text


def test_in_another_shop_a_project_keeps_its_own_sections_and_rules(client: TestClient, store: Store) -> None:
    carried = demo_projects()[0].model_copy(
        update={"sections": demo_shop().sections, "rules": Rules(wall=Length.from_mm(3))}
    )
    preview = paste(client, project_text(carried))
    assert "of its own: 7, 10, 14, 20" in main(preview)
    number = int(confirm(client, preview).headers["location"].rsplit("/", 1)[1])
    with store.reading() as session:
        project = load_project(session, number).project
    assert project.sections == demo_shop().sections
    assert project.rules == carried.rules


def test_what_equals_the_shops_own_becomes_the_shops_own(demo_store: Store) -> None:
    with demo_store.reading() as session:
        turned = tuple(
            stored.section.model_copy(update={"lengths": tuple(reversed(stored.section.lengths))})
            for stored in list_sections(session)
        )
        carried = demo_projects()[0].model_copy(update={"sections": turned, "rules": demo_shop().rules})
    project = preview_import(demo_store, project_text(carried).encode()).project
    assert project.sections is None
    assert project.rules is None


# --- in


def test_a_preview_stores_nothing_and_its_confirmation_books_once(client: TestClient, store: Store) -> None:
    preview = paste(client, PLAIN)
    assert preview.status_code == 200
    assert "Shelf" in main(preview)
    assert "single joint" in main(preview)
    assert projects(store) == []
    form = {name: (None, value) for name, value in fields(preview).items()}
    first, second = (client.post("/import/confirm", files=form) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert projects(store) == ["Shelf"]


def test_the_same_name_may_be_imported_again(client: TestClient, store: Store) -> None:
    for _ in range(2):
        confirm(client, paste(client, PLAIN))
    assert projects(store) == ["Shelf", "Shelf"]


def test_a_file_is_uploaded(client: TestClient, demo_store: Store) -> None:
    body = (WORKSHOP / "frame-set.json").read_bytes()
    answer = client.post("/import", files={"file": ("any name.json", body), "document": (None, "ignored")})
    assert "Botanical frame set" in main(answer)
    assert "Key sections the shop's own" in main(answer)


@pytest.mark.parametrize("document", ["", "   \r\n"])
def test_nothing_chosen(client: TestClient, document: str) -> None:
    answer = paste(client, document)
    assert answer.status_code == 422
    assert "choose a project file, or paste its text" in summary(answer)


def test_an_empty_file_field_is_no_file(client: TestClient) -> None:
    answer = client.post("/import", files={"file": ("", b""), "document": (None, json.dumps(PLAIN))})
    assert answer.status_code == 200


def test_every_problem_is_listed_with_its_path_and_the_text_kept(client: TestClient, store: Store) -> None:
    bad = {
        **PLAIN,
        "color": "red",
        "assemblies": [
            {**PLAIN["assemblies"][0], "breadth": -1},
            {**PLAIN["assemblies"][0], "mark": "B!", "run": "long"},
            {"kind": "barrel", "mark": "C"},
        ],
    }
    answer = paste(client, bad)
    assert answer.status_code == 422
    words = summary(answer)
    for path in ("color", "assemblies[0].breadth", "assemblies[1].mark", "assemblies[1].run", "assemblies[2]"):
        assert path in words
    assert "5 places need another look" in words
    assert json.loads(str(fields(answer)["document"])) == bad
    assert projects(store) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "this is no JSON"),
        ("[" * 100_000, "less deeply"),
        ('{"a": 1, "a": 2}', "twice"),
        ('{"format": "other"}', 'must be "dovetally-project"'),
        ("[]", "must be an object"),
        ("1" * 5000, "fewer digits"),
        ('"\\u0000"', "control character"),
        ('"\\ud800"', "control character"),
    ],
)
def test_what_is_no_project_file_is_refused_in_words(
    client: TestClient, store: Store, text: str, says: str
) -> None:
    answer = paste(client, text)
    assert answer.status_code == 422
    assert says in summary(answer)
    assert projects(store) == []


def test_a_file_of_other_bytes_is_refused(client: TestClient) -> None:
    answer = client.post("/import", files={"file": ("x.json", b"\xff\xfe\x00")})
    assert answer.status_code == 422
    assert "UTF-8" in summary(answer)


def test_thousands_of_problems_are_counted_not_all_shown(client: TestClient) -> None:
    answer = paste(client, {**PLAIN, "assemblies": [{"kind": "barrel"}] * 1000})
    assert answer.status_code == 422
    assert "1000 places need" in summary(answer)
    assert "And 800 more" in summary(answer)
    assert len(soup(answer).select(".error-summary li")) == 200


def test_more_assemblies_than_a_project_holds(client: TestClient, store: Store) -> None:
    many = [{**PLAIN["assemblies"][0], "mark": f"A{index}"} for index in range(5001)]
    answer = paste(client, {**PLAIN, "assemblies": many})
    assert answer.status_code == 422
    assert "at most 5000" in summary(answer)


def test_a_large_project_fits(client: TestClient, store: Store) -> None:
    many = [{**PLAIN["assemblies"][0], "mark": f"A{index}", "name": "n" * 100} for index in range(5000)]
    document = json.dumps({**PLAIN, "assemblies": many})
    assert len(document) > 1_000_000
    assert confirm(client, paste(client, document)).status_code == 303
    assert projects(store) == ["Shelf"]


def test_a_body_beyond_the_cap_is_refused(client: TestClient, store: Store) -> None:
    answer = client.post("/import", files={"file": ("x.json", b" " * (LARGEST_DOCUMENT + 1))})
    assert answer.status_code == 413
    assert projects(store) == []


def test_a_confirmation_that_was_tampered_with_is_read_again(client: TestClient, store: Store) -> None:
    answer = confirm(client, paste(client, PLAIN), document=json.dumps({**PLAIN, "name": ""}))
    assert answer.status_code == 422
    assert "name" in summary(answer)
    assert projects(store) == []


def test_a_confirmation_needs_its_token(client: TestClient, store: Store) -> None:
    assert confirm(client, paste(client, PLAIN), token="").status_code == 422
    assert projects(store) == []


def test_a_pinned_section_that_is_not_there_is_told_and_does_not_stop(
    client: TestClient, demo_store: Store
) -> None:
    pinned = {**PLAIN, "assemblies": [{**PLAIN["assemblies"][0], "keys": {"section": "99"}}]}
    preview = paste(client, pinned)
    assert "assemblies[0].keys.section" in main(preview)
    assert confirm(client, preview).status_code == 303


def test_without_any_section_the_preview_says_so(client: TestClient) -> None:
    assert "No key sections yet" in main(paste(client, PLAIN))


def test_markup_in_a_file_stays_text(client: TestClient) -> None:
    script = "</textarea><script>alert(1)</script>"
    named = {**PLAIN, "name": script, "customer": script}
    named["assemblies"] = [{**PLAIN["assemblies"][0], "name": script, "material": script}]
    preview = paste(client, named)
    assert "<script>alert" not in preview.text
    assert json.loads(str(fields(preview)["document"]))["name"] == script
    assert "<script>alert" not in paste(client, {**named, script: script}).text
