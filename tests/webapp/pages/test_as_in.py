"""A new form filled as in a moulding that the shop keeps by name, or as in another of its assemblies."""

from __future__ import annotations

from typing import Any

import pytest
from httpx import Response

from tests.client import TestClient
from tests.factories import a_frame
from tests.webapp.pages.reading import errors, fields, soup
from tests.webapp.pages.test_assembly_pages import make, specs
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.trials import list_mouldings

STOCK = {"width": 37, "thickness": 19.5, "rabbet_width": 6.5, "rabbet_depth": 8, "front": [[0, 15], [37, 19.5]]}
KEYS = {"section": "10", "count": 1, "plug": {"material": "wenge", "height": 2.5}}
BOX = {
    "kind": "box",
    "mark": "B",
    "measure": "inside",
    "length": 333,
    "width": 217,
    "height": 96,
    "wall": 14,
    "corner": "butt",
    "material": "pear",
    "keys": KEYS,
}
REEDED = {
    "token": "",
    "name": "Reeded",
    "width": "41",
    "thickness": "18.5",
    "rabbet_width": "6",
    "rabbet_depth": "7.5",
    "material": "elm",
    "species": "Elm, American",
    "angle": "45",
    "day": "2026-03-02",
}


def keep(client: TestClient, **more: str) -> Response:
    answer: Response = client.post(urls.mouldings(), data=REEDED | {"token": new_token()} | more)
    return answer


def options(client: TestClient, project_id: int, kind: str = "mitred_frame") -> dict[str, str]:
    page = client.get(urls.new_assembly(project_id, kind))
    found = soup(page).select("[name=as_in] option")
    return {" ".join(option.text.split()): str(option["value"]) for option in found}


def fill(client: TestClient, project_id: int, as_in: str, kind: str = "mitred_frame", **typed: str) -> Response:
    address = urls.new_assembly(project_id, kind)
    form = fields(client.get(address)) | {"as_in": as_in, "change": "fill in"} | typed
    answer: Response = client.post(address, data=form)
    return answer


def test_a_moulding_is_kept_by_name_before_it_was_milled(client: TestClient, demo_store: Store) -> None:
    assert keep(client).status_code == 303
    with demo_store.reading() as session:
        (kept,) = list_mouldings(session)
    assert (kept.moulding.name, kept.moulding.species, kept.moulding.worked) == ("Reeded", "Elm, American", None)
    row = soup(client.get(urls.mouldings())).select_one(f"#moulding-{kept.number}")
    assert row is not None
    assert "elm, 41" in row.text


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"projection": "4"}, "tool"),
        ({"fence_readings": "9"}, "projection"),
        ({"tool": "close:10"}, "fence_readings"),
    ],
)
def test_what_worked_is_kept_whole_or_not_at_all(
    client: TestClient, demo_store: Store, typed: dict[str, str], field: str
) -> None:
    answer = keep(client, **typed)
    assert answer.status_code == 422
    assert field in errors(answer)


def test_a_moulding_fills_a_frames_wood_and_nothing_else(client: TestClient, demo_store: Store) -> None:
    keep(client)
    project_id = make(demo_store, a_frame("A", stock=STOCK, material="ash"))
    names = options(client, project_id)
    chosen = next(value for words, value in names.items() if words.startswith("Moulding Reeded, 41"))

    filled = fill(client, project_id, chosen, sizes="534x287", name="Hall", **{"keys.count": "2"})

    assert filled.status_code == 200
    form = fields(filled)
    wanted = {
        "stock.width": "41",
        "stock.thickness": "18.5",
        "stock.rabbet_width": "6",
        "stock.rabbet_depth": "7.5",
        "material": "elm",
        "species": "Elm, American",
        "sizes": "534x287",
        "name": "Hall",
        "keys.count": "2",
    }
    assert {name: form[name] for name in wanted} == wanted
    assert "stock.front" not in form  # the last one's front is not this moulding's
    assert len(specs(demo_store, project_id)) == 1


def test_only_a_frame_is_filled_from_a_moulding(client: TestClient, demo_store: Store) -> None:
    keep(client)
    assert not any("Reeded" in words for words in options(client, make(demo_store), "box"))


def test_wood_and_keys_are_taken_from_another_of_its_kind(client: TestClient, demo_store: Store) -> None:
    make(demo_store, a_frame("C", stock=STOCK, material="elm", keys=KEYS), name="Reading room")
    project_id = make(demo_store, a_frame("A", material="ash"))
    chosen = options(client, project_id)["Reading room, C (mitred frame)"]

    form = fields(fill(client, project_id, chosen, width="512"))

    assert (form["stock.width"], form["stock.front.1.1"], form["material"]) == ("37", "19.5", "elm")
    assert (form["keys.section"], form["keys.count"], form["keys.plug_choice"]) == ("10", "1", "2.5 mm wenge")
    assert (form["width"], form["mark"]) == ("512", "B")


def test_another_kind_gives_its_wood_and_keys_alone(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, BOX, name="Tea")
    project_id = make(demo_store)
    chosen = options(client, project_id)["Tea, B (box)"]
    assert str(specs(demo_store, number)[0].id) == chosen.split()[1]

    form = fields(fill(client, project_id, chosen, **{"stock.width": "39"}))

    assert (form["material"], form["keys.section"], form["stock.width"]) == ("pear", "10", "39")
    assert form["measure"] == "outside"


@pytest.mark.parametrize("as_in", ["", "moulding 99", "assembly 99999", "boat 1", "assembly x", "moulding"])
def test_what_is_not_there_fills_nothing(client: TestClient, demo_store: Store, as_in: str) -> None:
    project_id = make(demo_store, a_frame("A"))
    before: dict[str, Any] = fields(client.get(urls.new_assembly(project_id, "mitred_frame")))
    filled = fill(client, project_id, as_in)
    assert filled.status_code == 200
    same = {"token", "as_in"}
    assert {name: text for name, text in fields(filled).items() if name not in same} == {
        name: text for name, text in before.items() if name not in same
    }


def test_a_frames_moulding_is_kept_from_its_form(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A", stock=STOCK, material="elm", species="Elm, American"))
    page = client.get(urls.assembly(project_id, specs(demo_store, project_id)[0].id))
    assert soup(page).select(f"a[href='{urls.new_moulding(project=project_id, assembly='A')}']")
    form = fields(client.get(urls.new_moulding(project=project_id, assembly="A")))
    assert (form["width"], form["material"], form["species"]) == ("37", "elm", "Elm, American")
    assert client.post(urls.mouldings(), data=form).status_code == 303


def test_an_empty_shop_is_not_asked(client: TestClient, store: Store) -> None:
    assert soup(client.get(urls.new_assembly(make(store), "box"))).select("[name=as_in]") == []
