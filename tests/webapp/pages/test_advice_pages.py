"""Changes that are proposed for a joint, carried out by a button: on the schedule, and beside the form."""

from __future__ import annotations

import json

from bs4 import Tag
from httpx import Response

from domain.spec.assemblies import Box
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import fields, main, soup
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import StoredAssembly
from webapp.usecases.projects import plan

THIN_BOX: dict[str, object] = {
    "kind": "box", "mark": "A", "measure": "outside", "length": 280, "width": 180, "height": 90,
    "wall": 8, "corner": "mitre",
}  # fmt: skip


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def the_assembly(store: Store, project_id: int) -> StoredAssembly:
    return plan(store, project_id).assemblies[0].stored


def wall(store: Store, project_id: int) -> float:
    spec = the_assembly(store, project_id).spec
    assert isinstance(spec, Box)
    return spec.wall.mm


def buttons(page: Response) -> list[Tag]:
    return soup(page).select("article.joint-card form.proposals button")


def sent_by(button: Tag) -> dict[str, str]:
    form = button.find_parent("form")
    assert isinstance(form, Tag)
    hidden = {str(tag["name"]): str(tag["value"]) for tag in form.select("input[type=hidden]")}
    return hidden | {str(button["name"]): str(button["value"])}


def target(button: Tag) -> str:
    form = button.find_parent("form")
    assert isinstance(form, Tag)
    return str(form["action"])


def test_a_button_on_the_schedule_makes_the_joint_and_says_what_changed(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, THIN_BOX)
    page = client.get(urls.schedule(project_id))
    assert "It can be made with: wall 10.8 mm" in main(page)
    (button, *_) = buttons(page)
    assert button["aria-label"] == "Change it, A-J1: wall 10.8 mm"

    answer = client.post(target(button), data=sent_by(button))

    assert answer.status_code == 303
    assert wall(demo_store, project_id) == 10.8
    after = client.get(answer.headers["location"])
    assert "Changed for A-J1: wall 10.8 mm, was 8 mm. It can be made now." in main(after)
    assert "Cannot be made" not in main(after)
    # a way back, and no word of it on the plain page
    (back,) = [each for each in soup(after).select("button") if each.text == "Take it back"]
    assert client.post(target(back), data=sent_by(back)).status_code == 303
    assert wall(demo_store, project_id) == 8
    assert "Changed for" not in main(client.get(urls.schedule(project_id)))


def test_a_pinned_section_is_let_go_and_comes_back(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(keys={"section": "20"}))
    before = the_assembly(demo_store, project_id).spec
    (button, *_) = buttons(client.get(urls.schedule(project_id)))
    changed = client.post(target(button), data=sent_by(button))
    assert the_assembly(demo_store, project_id).spec.joints["A-J1"].section == "14"
    after = client.get(changed.headers["location"])
    assert "Changed for A-J1: the choices of its keys. It can be made now." in main(after)
    (back,) = [each for each in soup(after).select("button") if each.text == "Take it back"]
    client.post(target(back), data=sent_by(back))
    assert the_assembly(demo_store, project_id).spec.joints == before.joints


def test_sent_twice_or_stale_it_is_answered_as_other_edits_are(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, THIN_BOX)
    (button, *_) = buttons(client.get(urls.schedule(project_id)))
    sent = sent_by(button)
    assert client.post(target(button), data=sent).status_code == 303
    assert client.post(target(button), data=sent).status_code == 303
    again = client.post(target(button), data=sent | {"token": new_token()})
    assert again.status_code == 409
    assert fields(again)["wall"] == "10.8"
    assert wall(demo_store, project_id) == 10.8


def test_what_is_no_change_is_refused_with_its_place(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, THIN_BOX)
    (button, *_) = buttons(client.get(urls.schedule(project_id)))
    bad_places = ('[{"path": 3}]', '[{"path": "/wal", "value": 3}]', '[{"path": "/wall/0", "value": 3}]')
    bad_values = ('[{"path": "/wall", "value": -3}]', '[{"path": "", "value": {}}]')
    for changes in ("", "{", "7", *bad_places, *bad_values):
        answer = client.post(target(button), data=sent_by(button) | {"changes": changes})
        assert answer.status_code == 422, changes
    # sizes that clash are told at the form's fields
    clash = json.dumps([{"path": "/wall", "value": 100}])
    assert client.post(target(button), data=sent_by(button) | {"changes": clash}).status_code == 422
    assert wall(demo_store, project_id) == 8


def test_a_button_beside_the_form_saves_what_was_typed_with_the_change(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, THIN_BOX)
    address = urls.assembly(project_id, the_assembly(demo_store, project_id).id)
    editor = client.get(address)
    (button, *_) = soup(editor).select("#live button[name=advice]")
    assert button["form"] == "assembly-form"
    typed = fields(editor) | {"name": "Typed before", "advice": str(button["value"])}
    assert client.post(address, data=typed).status_code == 303
    assert wall(demo_store, project_id) == 10.8
    assert the_assembly(demo_store, project_id).spec.name == "Typed before"


def test_an_inch_project_is_changed_by_fractions(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, THIN_BOX | {"wall": "3/8 in"}, units="in")
    page = client.get(urls.schedule(project_id))
    (button, *_) = buttons(page)
    assert "wall 7/16″" in main(page)
    after = client.get(client.post(target(button), data=sent_by(button)).headers["location"])
    assert wall(demo_store, project_id) == 11.1125
    assert "wall 7/16″, was 3/8″" in main(after)


SLIGHTLY_THIN = THIN_BOX | {"wall": 10.4}


def rule_button(page: Response) -> Tag:
    (button,) = [each for each in buttons(page) if each.has_attr("formaction")]
    return button


def test_a_rule_is_loosened_for_the_project_alone_and_taken_back(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, SLIGHTLY_THIN)
    shops = plan(demo_store, project_id).rules
    page = client.get(urls.schedule(project_id))
    button = rule_button(page)
    assert str(button["aria-label"]).startswith(
        "Change it, A-J1: edge wood beside a slot 1.8 mm by the project's rules"
    )
    assert button["formaction"] == urls.change_rules(project_id)

    answer = client.post(str(button["formaction"]), data=sent_by(button))

    assert answer.status_code == 303
    project = plan(demo_store, project_id)
    assert project.bench.means.own_rules
    assert project.rules == shops.model_copy(update={"wall": type(shops.wall).from_mm(1.8)})
    assert wall(demo_store, project_id) == 10.4
    after = client.get(answer.headers["location"])
    words = (
        "Changed for A-J1: edge wood beside a slot 1.8 mm by the project's rules, was 2 mm. It can be made now."
    )
    assert words in main(after)
    assert not plan(demo_store, make(demo_store, SLIGHTLY_THIN)).bench.means.own_rules
    (back,) = [each for each in soup(after).select("button") if each.text == "Take it back"]
    assert client.post(target(back), data=sent_by(back)).status_code == 303
    again = plan(demo_store, project_id)
    assert not again.bench.means.own_rules
    assert again.rules == shops


def test_a_rule_of_the_project_s_own_is_taken_back_to_what_it_was(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, SLIGHTLY_THIN, rules={"wall": 2.2, "kerf": 2})
    button = rule_button(client.get(urls.schedule(project_id)))
    answer = client.post(str(button["formaction"]), data=sent_by(button))
    after = client.get(answer.headers["location"])
    assert plan(demo_store, project_id).rules.wall.mm == 1.8
    (back,) = [each for each in soup(after).select("button") if each.text == "Take it back"]
    client.post(target(back), data=sent_by(back))
    project = plan(demo_store, project_id)
    assert project.bench.means.own_rules
    assert (project.rules.wall.mm, project.rules.kerf.mm) == (2.2, 2)


def test_rules_are_changed_by_proposals_alone_and_never_below_their_floor(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, SLIGHTLY_THIN)
    button = rule_button(client.get(urls.schedule(project_id)))
    sent, address = sent_by(button), str(button["formaction"])
    for path, value in (
        ("/rules/wall", 1.4), ("/rules/wall", -1), ("/rules/stroke", 200), ("/wall", 9), ("/rules/wal", 2),
        ("/rules", {"wall": 1}), ("/rules/wall", "thin"),
    ):  # fmt: skip
        changes = json.dumps([{"path": path, "value": value}])
        assert client.post(address, data=sent | {"changes": changes}).status_code == 422, path
    assert not plan(demo_store, project_id).bench.means.own_rules
    # somebody else changed the project meanwhile
    assert client.post(address, data=sent).status_code == 303
    assert client.post(address, data=sent).status_code == 303
    assert client.post(address, data=sent | {"token": new_token()}).status_code == 409


def test_beside_the_form_only_the_assembly_is_changed(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, SLIGHTLY_THIN)
    editor = client.get(urls.assembly(project_id, the_assembly(demo_store, project_id).id))
    offered = [str(button["aria-label"]) for button in soup(editor).select("#live button[name=advice]")]
    assert offered
    assert not any("rules" in said for said in offered)


def test_the_project_page_says_how_many_are_weak_or_cannot_be_made(client: TestClient, demo_store: Store) -> None:
    shallow: dict[str, object] = {
        "kind": "carcass", "mark": "B", "width": 800, "height": 900, "depth": 350, "thickness": 18,
        "corner": "top_between",
    }  # fmt: skip
    project_id = make(demo_store, THIN_BOX, shallow)
    page = client.get(urls.project(project_id))
    assert "4 cannot be made" in main(page)
    (weak,) = soup(page).select("a.weak")
    planned = plan(demo_store, project_id).assemblies[1].takeoff
    assert planned is not None
    count = sum(one.joint.quantity for one in planned.joints if one.plan is not None and one.plan.hold < 0.8)
    assert weak.text == f"{count} held less than the shop asks for"
    assert weak["href"] == f"{urls.schedule(project_id)}?of=B#assembly-B"
