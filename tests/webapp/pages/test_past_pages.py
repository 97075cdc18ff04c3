"""The bin, a project's history, and the offer to undo on the page that follows a form."""

from __future__ import annotations

import pytest

from domain.spec.catalogue import Plug
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import Form, form_on, post, send
from webapp.form.fields import Plain
from webapp.pages.past.told import told
from webapp.site import urls
from webapp.site.undo_offer import COOKIE
from webapp.store import Store, catalogue
from webapp.store.past_reading import Changed
from webapp.usecases import past


@pytest.fixture
def project(store: Store) -> int:
    with store.writing() as session:
        return stored(session, a_frame(), a_frame("B"))


def press(client: TestClient, page: str, action: str) -> str:
    """Press the button of a form that a page has; where it leads."""
    answer = post(client, action, form_on(client.get(page), action))
    assert answer.status_code == 303, main(answer)
    return str(answer.headers["location"])


def offer_on(client: TestClient, page: str) -> str:
    found = soup(client.get(page)).select_one(".notice:has(form[action^='/edits/'])")
    return "" if found is None else " ".join(found.get_text().split())


def undone(client: TestClient, page: str) -> str:
    """Press the *Undo* that a page offers; where it leads."""
    shown = client.get(page)
    found = soup(shown).select_one("form[action^='/edits/']")
    assert found is not None
    answer = post(client, str(found["action"]), form_on(shown, str(found["action"])))
    assert answer.status_code == 303, main(answer)
    return str(answer.headers["location"])


def rename(client: TestClient, project: int, name: str) -> None:
    edit = urls.edit_project(project)
    send(client, Form(edit, edit, {"name": name}))


def test_the_page_after_a_save_offers_to_undo_it_once(client: TestClient, project: int) -> None:
    rename(client, project, "Bench")
    said = offer_on(client, urls.project(project))
    assert said == "Saved Project Bench: Name Reading room → Bench. Undo Close"
    assert offer_on(client, urls.project(project)) == ""
    assert COOKIE not in client.cookies


def test_the_offer_is_never_part_of_a_page_that_is_kept(client: TestClient, project: int) -> None:
    client.get(urls.project(project))
    rename(client, project, "Bench")
    assert undone(client, urls.project(project)) == urls.project(project)
    assert "Reading room" in main(client.get(urls.project(project)))
    assert offer_on(client, urls.project(project)) == ""


def test_a_script_gets_the_offer_too(client: TestClient, project: int) -> None:
    edit = urls.edit_project(project)
    fields = dict(form_on(client.get(edit), edit)) | {"name": "Bench"}
    answer = client.post(edit, data=fields, headers={"HX-Request": "true"})
    assert answer.status_code == 204
    assert "Bench" in offer_on(client, answer.headers["HX-Redirect"])


def test_a_deleted_project_is_undone_at_once(client: TestClient, project: int) -> None:
    gone = send(client, Form(urls.delete_project(project), urls.delete_project(project)))
    assert client.get(urls.project(project)).status_code == 404
    assert undone(client, gone.headers["location"]) == urls.project(project)
    assert client.get(urls.project(project)).status_code == 200
    assert "It is empty" in main(client.get(urls.the_bin()))


def test_the_bin_tells_what_it_has_and_gives_it_back(client: TestClient, store: Store, project: int) -> None:
    send(client, Form(urls.delete_assembly(project, 1), urls.delete_assembly(project, 1)))
    page = main(client.get(urls.the_bin()))
    assert "Assembly A of Project Reading room" in page
    (binned,) = past.bin_of(store)
    assert press(client, urls.the_bin(), urls.out_of_bin(binned.row)) == urls.project(project)
    assert soup(client.get(urls.project(project))).select_one("#assembly-1") is not None


def test_what_the_bin_cannot_give_back_is_said(client: TestClient, store: Store, project: int) -> None:
    send(client, Form(urls.delete_assembly(project, 1), urls.delete_assembly(project, 1)))
    send(client, Form(urls.duplicate_assembly(project, 2), urls.project(project)))
    with store.writing() as session:
        from webapp.store.tables import AssemblyRow

        session.get_one(AssemblyRow, 3).mark = "A"
    (binned,) = past.bin_of(store)
    action = urls.out_of_bin(binned.row)
    answer = post(client, action, form_on(client.get(urls.the_bin()), action))
    assert answer.status_code == 409
    assert "The mark A belongs to another assembly by now" in main(answer)


def test_the_bin_is_emptied_after_a_question(client: TestClient, project: int) -> None:
    send(client, Form(urls.delete_project(project), urls.delete_project(project)))
    assert "One thing goes for good" in main(client.get(urls.empty_bin()))
    assert press(client, urls.empty_bin(), urls.empty_bin()) == urls.the_bin()
    assert "It is empty" in main(client.get(urls.the_bin()))
    assert client.get(urls.project(project)).status_code == 404


def test_a_history_leads_back_to_any_state_and_forth_again(client: TestClient, project: int) -> None:
    assert "not changed since it was made" in main(client.get(urls.history(project)))
    for name in ("One", "Two", "Three"):
        rename(client, project, name)
    send(client, Form(urls.delete_assembly(project, 2), urls.delete_assembly(project, 2)))
    page = client.get(urls.history(project))
    assert "Assembly B deleted" in main(page)
    states = [str(link["href"]) for link in soup(page).select("td a[href*='/history/']")]
    assert len(states) == 4  # of five, the newest is how it is now
    found = client.get(states[-1])
    assert "“Reading room” as it was" in main(found)
    assert "Assembly B deleted" in main(found)
    assert press(client, states[-1], f"{states[-1]}/back") == urls.project(project)
    assert "Reading room" in main(client.get(urls.project(project)))
    assert undone(client, urls.history(project)) == urls.project(project)


def test_undo_the_last_change_goes_back_one_at_a_time(client: TestClient, project: int) -> None:
    for name in ("One", "Two"):
        rename(client, project, name)
    client.get(urls.projects())  # takes the offer away
    for name in ("One", "Reading room"):
        undone(client, urls.history(project))
        client.get(urls.projects())
        assert f"History of “{name}”" in main(client.get(urls.history(project)))
    assert soup(client.get(urls.history(project))).select_one("form[action^='/edits/']") is None


def test_what_was_changed_again_is_said_where_it_is_undone(client: TestClient, project: int) -> None:
    rename(client, project, "One")
    page = client.get(urls.project(project))
    rename(client, project, "Two")
    form = soup(page).select_one("form[action^='/edits/']")
    assert form is not None
    answer = post(client, str(form["action"]), form_on(page, str(form["action"])))
    assert answer.status_code == 409
    assert "changed again since" in main(answer)


def test_a_state_that_is_none_is_not_found(client: TestClient, project: int) -> None:
    assert client.get(urls.past_state(project, 99)).status_code == 404
    assert client.get(urls.history(99)).status_code == 404


def test_an_edit_is_told_in_the_project_s_units_on_every_page(client: TestClient, project: int) -> None:
    edit = urls.assembly(project, 1)
    send(client, Form(edit, edit, {"width": "420.5", "stock.width": "50.8"}))
    assert "Assembly A: Width (Size) 400 mm → 420.5 mm, Width (" in offer_on(client, urls.project(project))
    head = urls.edit_project(project)
    send(client, Form(head, head, {"units": "in"}))
    assert "Shown in Millimetres → Inches and fractions" in offer_on(client, urls.project(project))
    send(client, Form(edit, edit, {"width": "16 1/2"}))
    assert "Width (Size) 420.5 mm → 16 1/2 in" in offer_on(client, urls.project(project))
    page = main(client.get(urls.history(project)))
    assert "Width (Size) 400 mm → 420.5 mm, Width (Moulding) 45 mm → 2 in" in page
    (newest, *_) = [str(link["href"]) for link in soup(client.get(urls.history(project))).select("td a[href]")]
    assert "Width (Size) 420.5 mm → 16 1/2 in" in main(client.get(newest))


def test_what_lies_in_the_bin_is_called_in_the_shop_s_units(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        catalogue.create_plug(session, Plug(material="oak", height="3/16 in"), 5)
    for units, said in (("mm", "Plug of oak, 4.7625 mm high"), ("in", "Plug of oak, 3/16 in high")):
        send(client, Form(urls.rules(), urls.rules(), {"units": units}))
        edit = urls.plug(1)
        send(client, Form(edit, edit, {"price": "0.07" if units == "mm" else "0.09"}))
        assert f"{said}: Price of one 0.0" in offer_on(client, urls.catalogue())
    send(client, Form(urls.delete_plug(1), urls.plug(1)))
    assert "Plug of oak, 3/16 in high" in main(client.get(urls.the_bin()))


def test_rows_that_made_room_are_told_once() -> None:
    line = {"id": 1, "mark": "A", "position": 0, "kind": "box", "spec_json": "{}"}
    moved = Changed("project", 1, "assembly", line, line | {"position": 1})
    assert told([(moved, Plain())]) == ("Order changed",)
    added = Changed("project", 1, "assembly", None, line)
    assert told([(moved, Plain()), (added, Plain())]) == ("Assembly A added",)


def test_a_name_too_long_is_refused_with_its_count_and_never_cut(client: TestClient, project: int) -> None:
    edit = urls.edit_project(project)
    page = client.get(edit)
    assert soup(page).select("[maxlength]") == []
    fields = [(name, "Long " * 25 if name == "name" else text) for name, text in form_on(page, edit)]
    answer = post(client, edit, fields)
    assert answer.status_code == 422
    assert "has 124 letters and may have at most 120" in main(answer)
    field = soup(answer).select_one("input[name=name]")
    assert field is not None
    assert str(field["value"]).strip() == ("Long " * 25).strip()
