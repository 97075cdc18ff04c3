"""What a new form starts from: the shop's last assembly of the kind, and never an example's sizes."""

from __future__ import annotations

from typing import Any

import pytest
from sqlmodel import col, update

from domain.lengths import Length, Units
from domain.ordering.items import Item, ItemKind
from tests.client import TestClient
from tests.factories import a_frame
from tests.usual_sizes import USUAL, typed_into
from tests.webapp.pages.reading import fields, soup
from tests.webapp.pages.test_assembly_pages import make, marks, specs
from webapp.form.showing import starting_texts
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.store import Store
from webapp.store.catalogue import list_plugs
from webapp.store.items import create_item
from webapp.store.tables import AssemblyRow

FRAME = {"kind": "mitred_frame", "measure": "glass", "width": 512, "height": 377, "material": "elm"}
STOCK = {"width": 37, "thickness": 19.5, "rabbet_width": 6.5, "rabbet_depth": 8, "front": [[0, 15], [37, 19.5]]}
PLUG = {"plug": {"material": "wenge", "height": 2.5}}


def new(client: TestClient, project_id: int, kind: str = "mitred_frame") -> dict[str, Any]:
    return fields(client.get(urls.new_assembly(project_id, kind)))


@pytest.mark.parametrize("kind", FORMS)
def test_a_shop_without_any_starts_without_figures(client: TestClient, store: Store, kind: str) -> None:
    page = client.get(urls.new_assembly(make(store), kind))
    assert {fields(page)[name] for name in USUAL[kind]} == {""}
    said = soup(page).select_one("#live [role=status]")
    assert said is not None
    assert said.text.startswith("The drawing follows what you type. Still to come:")
    assert soup(page).select("#live .field-problems, .field-error") == []


def test_it_starts_from_the_shops_last_of_its_kind_but_for_its_sizes(client: TestClient, store: Store) -> None:
    make(store, a_frame(material="oak"))
    make(store, FRAME | {"mark": "C", "quantity": 3, "name": "Hall", "stock": STOCK, "keys": {**PLUG, "count": 1}})
    make(store, {"kind": "single_joint", "mark": "A", "breadth": 71, "run": 23, "behind": [50, 50]})

    form = new(client, make(store))

    kept = {
        "material": "elm",
        "measure": "glass",
        "stock.width": "37",
        "stock.thickness": "19.5",
        "stock.rabbet_width": "6.5",
        "stock.rabbet_depth": "8",
        "stock.front": "yes",
        "stock.front.0.1": "15",
        "stock.front.1.0": "37",
        "keys.plug_choice": "2.5 mm wenge",
        "keys.plug.material": "wenge",
        "keys.plug.height": "2.5",
    }
    assert {name: form[name] for name in kept} == kept
    own = {"mark": "A", "quantity": "1", "name": "", "width": "", "height": "", "keys.count": "", "sizes": ""}
    assert {name: form[name] for name in own} == own


def test_the_last_figures_are_exact_in_a_project_of_other_units(client: TestClient, store: Store) -> None:
    make(store, FRAME | {"mark": "A", "stock": STOCK | {"thickness": 19.05}})
    form = new(client, make(store, units="in"))
    assert (form["stock.width"], form["stock.thickness"]) == ("37 mm", "3/4")  # 19.05 / 25.4 = 0.75


def test_a_plug_is_offered_where_the_last_had_none(client: TestClient, store: Store) -> None:
    make(store, FRAME | {"mark": "A", "stock": STOCK})
    assert new(client, make(store))["keys.plug.height"] == "3"


def test_what_was_kept_is_as_typed_a_moment_ago(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = urls.new_assembly(project_id, "box")
    client.post(address, data=typed_into(client.get(address), {"wall": "17.5", "material": "pear"}))
    form = new(client, project_id, "box")
    assert (form["wall"], form["material"], form["mark"], form["length"]) == ("17.5", "pear", "B", "")


def test_a_last_one_that_cannot_be_read_is_no_hindrance(client: TestClient, store: Store) -> None:
    make(store, a_frame())
    with store.writing() as session:
        session.exec(update(AssemblyRow).where(col(AssemblyRow.mark) == "A").values(spec_json="{}"))
    page = client.get(urls.new_assembly(make(store), "mitred_frame"))
    assert (page.status_code, fields(page)["stock.width"]) == (200, "")


def test_the_next_of_its_kind_follows(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = urls.new_assembly(project_id, "box")
    data = typed_into(client.get(address), {"next": "yes"})
    answers = [client.post(address, data=data) for _ in range(2)]
    assert [(each.status_code, each.headers["location"]) for each in answers] == [(303, address)] * 2
    assert marks(demo_store, project_id) == ["A"]


@pytest.mark.parametrize("kind", [*FORMS, ""])
def test_a_project_leads_to_what_is_made_first(client: TestClient, demo_store: Store, kind: str) -> None:
    form = fields(client.get(urls.new_project())) | {"name": "Bench", "kind": kind}
    answers = [client.post(urls.new_project(), data=form).headers["location"] for _ in range(2)]
    made = answers[0].split("/")[2]
    wanted = urls.new_assembly(int(made), kind) if kind else urls.project(int(made))
    assert answers == [wanted] * 2


def test_a_kind_that_there_is_not_is_refused(client: TestClient, store: Store) -> None:
    form = fields(client.get(urls.new_project())) | {"name": "Bench", "kind": "boat"}
    assert client.post(urls.new_project(), data=form).status_code == 422


def test_a_project_begins_with_the_kind_that_was_entered_last(client: TestClient, store: Store) -> None:
    assert fields(client.get(urls.new_project()))["kind"] == ""
    make(store, a_frame())
    assert fields(client.get(urls.new_project()))["kind"] == "mitred_frame"
    assert not specs(store, make(store))


def test_what_a_form_keeps_are_fields_of_it() -> None:
    for form in FORMS.values():
        names = starting_texts(form, Units.MM, "A")
        for lead in form.kept:
            assert any(f"{name}.".startswith(f"{lead}.") for name in names), (form.kind, lead)
        assert not {*form.kept} & {*form.sized, "mark", "quantity", "name"}


def options(page: Any, name: str) -> list[str]:
    return [" ".join(option.text.split()) for option in soup(page).select(f"[name='{name}'] option")]


def test_plugs_are_chosen_from_the_catalogue(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = urls.new_assembly(project_id, "mitred_frame")
    page = client.get(address)
    with demo_store.reading() as session:
        plug = list_plugs(session)[0].plug
    said = f"{plug.material}, {plug.height.mm:g} mm high"
    assert options(page, "keys.plug_choice")[2] == said
    assert options(page, "keys.plug_choice")[-1] == "These:"

    client.post(address, data=typed_into(page, {"keys.plug_choice": f"{plug.height.mm:g} mm {plug.material}"}))

    (stored,) = specs(demo_store, project_id)
    assert stored.spec.keys.plug == plug
    shown = client.get(urls.assembly(project_id, stored.id))
    assert soup(shown).select_one("[name='keys.plug_choice'] [selected]").text == said  # type: ignore[union-attr]
    assert fields(shown)["keys.plug.material"] == plug.material  # where one changes to a plug of one's own


def test_a_plug_that_the_catalogue_has_not_stays_chosen(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, a_frame(keys={"plug": {"material": "bog oak", "height": "1/8 in"}}))
    (stored,) = specs(demo_store, number)
    page = client.get(urls.assembly(number, stored.id))
    assert options(page, "keys.plug_choice")[-1] == "bog oak, 3.175 mm high (not in the catalogue)"
    client.post(urls.assembly(number, stored.id), data=fields(page))
    assert specs(demo_store, number)[0].spec.keys == stored.spec.keys


def test_woods_and_species_are_offered_and_others_may_be_typed(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    with demo_store.writing() as session:
        create_item(session, Item(ItemKind.BOARD, "", None, "bog oak", None, Length.from_mm(27)))
    page = client.get(urls.new_assembly(project_id, "box"))
    assert "bog oak" in [option["value"] for option in soup(page).select("#woods option")]
    found = soup(page).select_one("[name=material]")
    assert found is not None
    assert found["list"] == "woods"


def test_fields_that_lines_of_sizes_stand_for_say_so(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, a_frame())
    page = client.get(urls.new_assembly(number, "mitred_frame"))
    assert [tag["name"] for tag in soup(page).select(".in-lines input")] == ["width", "height", "across"]
    assert len(soup(page).select(".in-lines .in-lines-note")) == 3
    edit = client.get(urls.assembly(number, specs(demo_store, number)[0].id))
    assert soup(edit).select(".in-lines") == []
