"""Photographs in the browser: added once, shown where they belong, served as pictures, removed, brought back."""

from __future__ import annotations

import re

import pytest
from httpx import Response

from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.from_network import application, coming_from, paired
from tests.webapp.pages.photograph_samples import a_picture, add_photograph, opened, send_photograph
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import Form, form_on, post, send, with_texts
from tests.webapp.papers.paper_samples import size_of, text_of
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.guards import LARGE_BODY
from webapp.store import Store
from webapp.store.devices import Role
from webapp.store.photographs import MOST_PHOTOGRAPHS
from webapp.usecases.past import bin_of
from webapp.usecases.photographs import photographs_of


@pytest.fixture
def project(store: Store) -> int:
    with store.writing() as session:
        return stored(session, a_frame(), a_frame("B"))


def pictures(client: TestClient, page: str) -> list[tuple[str, str]]:
    """What the photographs on a page say, and where they lead."""
    return [
        (str(image["alt"]), str(image.parent["href"]) if image.parent else "")
        for image in soup(client.get(page)).select(".photographs img")
    ]


def marks(store: Store, project: int) -> list[str]:
    return [each.mark for each in photographs_of(store, project)]


def error(client: TestClient, body: bytes | None, project: int, **texts: str) -> str:
    answer = send_photograph(client, body, project, **texts)
    assert answer.status_code == 422
    return " ".join(item.get_text(" ", strip=True) for item in soup(answer).select(".error-summary li"))


def test_it_is_shown_where_it_belongs(client: TestClient, store: Store, project: int) -> None:
    page, schedule = urls.project(project), urls.schedule(project)
    assert pictures(client, page) == pictures(client, schedule) == []
    for colour, mark, caption in (("peru", ".", "On the bench"), ("tan", "A", ""), ("gold", "A-J1", "Open")):
        answer = send_photograph(client, a_picture(colour=colour), project, mark=mark, caption=caption)
        assert answer.status_code == 303, main(answer)
    assert marks(store, project) == ["", "A", "A-J1"]
    alike = ["On the bench", "Photograph of assembly A", "Open"]
    assert [alt for alt, _ in pictures(client, page)] == alike
    assert [alt for alt, _ in pictures(client, urls.photographs(project))] == alike
    assert [alt for alt, _ in pictures(client, schedule)] == alike[1:]
    joint = soup(client.get(schedule)).select_one("#joint-A-J1 .photographs img")
    assert joint is not None
    assert joint["alt"] == "Open"


def test_it_is_served_as_a_picture_and_nothing_else(client: TestClient, project: int) -> None:
    answer = send_photograph(client, a_picture(size=(800, 600)), project)
    assert answer.headers["location"] == urls.photographs(project, at="photograph-1")
    image = soup(client.get(urls.photographs(project))).select_one(".photographs img")
    assert image is not None
    assert image.parent is not None
    for address, size in ((str(image.parent["href"]), (800, 600)), (str(image["src"]), (320, 240))):
        picture = client.get(address)
        assert opened(picture.content).size == size
        assert picture.headers["content-type"] == "image/jpeg"
        assert picture.headers["x-content-type-options"] == "nosniff"
        assert picture.headers["content-security-policy"] == "sandbox; default-src 'none'"
        assert picture.headers["cache-control"] == "private, max-age=31536000, immutable"
    assert (image["width"], image["height"]) == ("320", "240")


def test_a_picture_of_another_project_is_not_found_here(client: TestClient, store: Store, project: int) -> None:
    add_photograph(client, project)
    with store.writing() as session:
        other = stored(session, a_frame(), name="Another")
    (sum_of_it,) = (each.sha256 for each in photographs_of(store, project))
    assert client.get(urls.photograph(project, sum_of_it)).status_code == 200
    assert client.get(urls.photograph(other, sum_of_it)).status_code == 404
    assert client.get(urls.photograph(project, "0" * 64)).status_code == 404
    assert client.get(urls.photograph(project, "photo.jpg")).status_code == 404
    assert post(client, urls.remove_photograph(other, 1), [("token", new_token())]).status_code == 404
    assert marks(store, project) == [""]


def test_sent_twice_it_is_kept_once(client: TestClient, store: Store, project: int) -> None:
    token = new_token()
    first = send_photograph(client, a_picture(), project, token=token, caption="Open")
    again = send_photograph(client, a_picture(), project, token=token, caption="Open")
    assert (first.status_code, again.status_code) == (303, 303)
    assert first.headers["location"] == again.headers["location"]
    assert len(marks(store, project)) == 1
    told = client.get(urls.sent_form(token)).json()
    assert told == {"saved": True, "address": first.headers["location"]}
    for body, caption in ((a_picture(colour="tan"), "Open"), (a_picture(), "Closed")):
        beside = send_photograph(client, body, project, token=token, caption=caption)
        assert beside.status_code == 409
    assert len(marks(store, project)) == 1
    # and as a form of its own the same picture has no place a second time
    assert "is there already" in error(client, a_picture(), project)


def test_what_is_refused_is_said_at_its_field(client: TestClient, store: Store, project: int) -> None:
    assert error(client, None, project).startswith("Photograph : choose a photograph")
    assert "no picture in JPEG, PNG or WebP" in error(client, b"a letter", project, name="letter.jpg")
    assert "damaged or not whole" in error(client, a_picture(size=(400, 400))[:400], project)
    assert error(client, a_picture(), project, mark="Z").startswith("Photograph of")
    assert error(client, a_picture(), project, caption="x" * 201).startswith("Caption")
    kept = soup(send_photograph(client, b"x", project, mark="B", caption="Open"))
    assert kept.select_one('[name=caption][value="Open"]') is not None
    assert kept.select_one('option[value="B"][selected]') is not None
    assert marks(store, project) == []


def test_a_project_has_so_many(client: TestClient, store: Store, project: int) -> None:
    for shade in range(MOST_PHOTOGRAPHS):
        assert send_photograph(client, a_picture(colour=(8 * shade, 0, 0)), project).status_code == 303
    assert "at most 30 photographs" in main(client.get(urls.photographs(project)))
    answer = send_photograph(client, a_picture(colour="white"), project)
    assert answer.status_code == 422
    assert "at most 30 photographs; remove one" in main(answer)
    assert len(marks(store, project)) == MOST_PHOTOGRAPHS


def test_it_comes_back_after_it_was_removed(client: TestClient, store: Store, project: int) -> None:
    add_photograph(client, project, mark="A", caption="Open")
    before = photographs_of(store, project)
    remove = urls.remove_photograph(project, before[0].id)
    page = urls.photographs(project)
    answer = post(client, remove, form_on(client.get(page), remove))
    assert answer.headers["location"] == page
    assert photographs_of(store, project) == ()
    assert client.get(urls.photograph(project, before[0].sha256)).status_code == 404
    shown = client.get(page)
    offer = soup(shown).select_one("form[action^='/edits/']")
    assert offer is not None
    assert "Photograph of assembly A (Open) deleted" in shown.text
    assert post(client, str(offer["action"]), form_on(shown, str(offer["action"]))).status_code == 303
    assert photographs_of(store, project) == before
    assert pictures(client, urls.project(project)) == [("Open", urls.photograph(project, before[0].sha256))]


def describe(client: TestClient, project: int, number: int, **texts: str) -> Response:
    action = urls.describe_photograph(project, number)
    return post(client, action, with_texts(form_on(client.get(action), action), texts))


def test_its_caption_and_what_it_is_of_are_changed_and_changed_back(
    client: TestClient, store: Store, project: int
) -> None:
    add_photograph(client, project, mark="A", caption="Open")
    (before,) = photographs_of(store, project)
    page = urls.photographs(project)
    answer = describe(client, project, before.id, caption="Closed, glued", mark="A-J1")
    assert answer.headers["location"] == f"{page}#photograph-{before.id}"
    assert [(each.mark, each.caption) for each in photographs_of(store, project)] == [("A-J1", "Closed, glued")]
    shown = client.get(page)
    assert "Photograph of assembly A → joint A-J1, Caption Open → Closed, glued" in " ".join(shown.text.split())
    offer = soup(shown).select_one("form[action^='/edits/']")
    assert offer is not None
    assert post(client, str(offer["action"]), form_on(shown, str(offer["action"]))).status_code == 303
    assert photographs_of(store, project) == (before,)
    assert "Photograph of assembly A (Open): " in main(client.get(urls.history(project)))


def test_who_was_overtaken_sees_both_captions(client: TestClient, store: Store, project: int) -> None:
    add_photograph(client, project, caption="Open")
    (one,) = photographs_of(store, project)
    action = urls.describe_photograph(project, one.id)
    old = form_on(client.get(action), action)
    assert describe(client, project, one.id, caption="Closed").status_code == 303
    answer = post(client, action, with_texts(old, {"caption": "On the bench"}))
    assert answer.status_code == 409
    assert "Closed" in main(answer)
    assert [each.caption for each in photographs_of(store, project)] == ["Closed"]


def test_a_caption_too_long_or_a_place_that_has_it_is_refused(
    client: TestClient, store: Store, project: int
) -> None:
    for mark in ("A", "B"):
        add_photograph(client, project, mark=mark)
    first, _ = photographs_of(store, project)
    for texts, said in (
        ({"caption": "x" * 201}, "has 201 letters and may have at most 200"),
        ({"mark": "B"}, "this very picture is there already"),
        ({"mark": "C"}, "C"),
    ):
        answer = describe(client, project, first.id, **texts)
        assert answer.status_code == 422
        assert said in main(answer)
    assert marks(store, project) == ["A", "B"]
    assert client.get(urls.describe_photograph(project, 99)).status_code == 404


def test_it_outlives_its_joint_and_goes_and_comes_with_its_assembly(
    client: TestClient, store: Store, project: int
) -> None:
    add_photograph(client, project, mark="A-J77", caption="Halved")
    (one,) = photographs_of(store, project)
    for page in (urls.photographs(project), urls.project(project), urls.describe_photograph(project, one.id)):
        assert "joint A-J77, which is no longer there" in main(client.get(page))
    assert describe(client, project, one.id, caption="Halved, old").status_code == 303
    delete = urls.delete_assembly(project, 1)
    assert post(client, delete, form_on(client.get(delete), delete)).status_code == 303
    assert photographs_of(store, project) == ()
    (binned,) = bin_of(store)
    back = urls.out_of_bin(binned.row)
    assert post(client, back, form_on(client.get(urls.the_bin()), back)).status_code == 303
    assert [(each.mark, each.caption) for each in photographs_of(store, project)] == [("A-J77", "Halved, old")]


def test_they_are_printed_on_a_sheet_of_their_own(client: TestClient, project: int) -> None:
    paper = urls.photographs_paper(project)
    assert client.get(paper).status_code == 404
    for colour, mark, caption in (("tan", "B", "Kept for last"), ("gold", "A-J1", "Open"), ("peru", ".", "")):
        send_photograph(client, a_picture(size=(900, 700), colour=colour), project, mark=mark, caption=caption)
    assert soup(client.get(urls.photographs(project))).select(f'main .actions a.button[href="{paper}"]')
    answer = client.get(paper)
    text = " ".join(text_of(answer.content).split())
    said = (
        "Photographs",
        "Reading room",
        "Of the project",
        "Open",
        "Of joint A-J1",
        "Kept for last",
        "Of assembly B",
    )
    assert [each for each in said if each not in text] == []
    assert text.index("Of the project") < text.index("Of joint A-J1") < text.index("Of assembly B")
    assert client.get(paper).content == answer.content
    assert size_of(client.get(urls.photographs_paper(project, paper="Letter")).content) != size_of(answer.content)
    # the pixels that are kept, not a drawing of them
    assert answer.content.count(b"/DCTDecode") == 3


def test_many_and_long_captions_take_more_pages_and_lose_nothing(client: TestClient, project: int) -> None:
    for number in range(9):
        picture = a_picture(size=(400, 900) if number % 2 else (900, 400), colour=(number * 9, 90, 90))
        assert send_photograph(client, picture, project, caption=f"No{number} " + "walnut" * 32).status_code == 303
    body = client.get(urls.photographs_paper(project)).content
    text = "".join(text_of(body).split())
    assert [number for number in range(9) if f"No{number}" not in text] == []
    assert text.count("walnut") > 9 * 24  # some are set over the end of a line


def test_a_duplicate_gets_them_and_a_project_begun_from_a_pattern_does_not(
    client: TestClient, store: Store, project: int
) -> None:
    add_photograph(client, project, mark="A-J1", caption="Open")
    send(client, Form(urls.keep_pattern(project), urls.keep_pattern(project), {"name": "Frames"}))
    copy = send(client, Form(urls.duplicate_project(project), urls.duplicate_project(project), {"name": "Again"}))
    begun = send(client, Form(urls.begin_from_pattern(1), urls.begin_from_pattern(1), {"name": "Anew"}))
    numbers = [int(answer.headers["location"].rsplit("/", 1)[1]) for answer in (copy, begun)]
    assert [marks(store, number) for number in (project, *numbers)] == [["A-J1"], ["A-J1"], []]
    first, second = (photographs_of(store, number)[0] for number in (project, numbers[0]))
    assert (first.sha256, first.caption) == (second.sha256, second.caption)
    assert (
        client.get(urls.photograph(numbers[0], second.sha256)).content
        == client.get(urls.photograph(project, first.sha256)).content
    )


def test_many_places_are_listed_without_their_joints(
    client: TestClient, project: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.pages.projects.photographs.MOST_PLACES", 3)
    options = soup(client.get(urls.photographs(project, mark="B-J1"))).select("[name=mark] option")
    assert [str(each["value"]) for each in options] == [".", "A", "B", "B-J1"]
    assert [each["value"] for each in options if each.has_attr("selected")] == ["B-J1"]


@pytest.mark.parametrize(
    ("role", "status"), [(Role.READS, 403), (Role.AT_THE_MACHINE, 403), (Role.EVERYTHING, 303)]
)
def test_other_devices_look_and_whoever_may_do_everything_adds(
    client: TestClient, store: Store, project: int, role: Role, status: int
) -> None:
    add_photograph(client, project)
    (one,) = photographs_of(store, project)
    with coming_from(application(store)) as device:
        assert device.get(urls.photograph(project, one.sha256)).status_code != 200
        paired(store, device, role)
        assert device.get(urls.photograph(project, one.sha256)).status_code == 200
        assert device.get(urls.photographs(project)).status_code == 200
        assert send_photograph(device, a_picture(colour="tan"), project).status_code == status
        remove = urls.remove_photograph(project, one.id)
        assert post(device, remove, [("token", new_token())]).status_code == status


def test_a_phones_picture_passes_the_door_and_no_larger_one(client: TestClient, project: int) -> None:
    assert "no picture" in error(client, b"a" * 7_000_000, project)
    assert send_photograph(client, b"a" * LARGE_BODY, project).status_code == 413
    remove = urls.remove_photograph(project, 1)
    assert client.post(remove, files={"x": ("x", b"a" * 2_000_000)}).status_code == 413


def test_each_is_described_and_none_runs_anything(client: TestClient, project: int) -> None:
    add_photograph(client, project, caption='"><script>alert(1)</script>')
    text = client.get(urls.project(project)).text
    assert "<script>alert" not in text
    assert len(re.findall(r'<img src="[^"]+/small" width="60" height="40"', text)) == 1
