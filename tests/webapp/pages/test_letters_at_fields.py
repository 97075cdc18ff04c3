"""A letter that papers cannot show is refused where it is typed, so that no paper is blocked by it later."""

from __future__ import annotations

import pytest

from tests.client import TestClient
from tests.factories import a_frame, a_project
from tests.webapp.pages.reading import errors, fields, main
from webapp.site import urls
from webapp.store import Store
from webapp.store.projects import create_project
from webapp.store.shop import load_shop, update_shop

WORDS = "is not in the font that documents are set in; write it with other letters"


@pytest.mark.parametrize("name", ["name", "customer"])
def test_a_project_s_own_fields(client: TestClient, name: str) -> None:
    data = {"token": "0123456789abcdef", "name": "Kiosk", "units": "mm", name: "Kiosk 名"}
    refused = client.post(urls.new_project(), data=data)
    assert refused.status_code == 422
    assert errors(refused) == {name: f"the letter 名 (U+540D) {WORDS}"}
    assert fields(refused)[name] == "Kiosk 名"


@pytest.mark.parametrize(
    ("address", "name"), [("/rules", "name"), ("/catalogue/plugs", "material"), ("/suppliers/new", "name")]
)
def test_a_name_of_the_shop_s_own(client: TestClient, address: str, name: str) -> None:
    form = fields(client.get(address))
    refused = client.post(address, data={**form, name: "Ёж 漆"})
    assert refused.status_code == 422
    assert errors(refused)[name] == f"the letter 漆 (U+6F06) {WORDS}"


@pytest.mark.parametrize("name", ["name", "material"])
def test_an_assembly(client: TestClient, store: Store, name: str) -> None:
    with store.writing() as session:
        number = create_project(session, a_project(a_frame()))
    address = urls.new_assembly(number, "mitred_frame")
    refused = client.post(address, data={**fields(client.get(address)), name: "Esche 🌳"})
    assert refused.status_code == 422
    assert errors(refused)[name] == f"the letter 🌳 (U+1F333) {WORDS}"


def test_a_name_that_was_kept_before_is_named_with_its_field(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        number = create_project(session, a_project(a_frame()))
        shop = load_shop(session)
        update_shop(
            session, shop.version, name="Ёж 漢字", units=shop.units, currency=shop.currency, rules=shop.rules
        )
    draft = client.get(f"/projects/{number}/print/schedule")
    assert draft.status_code == 422
    sentence = "the shop's name: 'Ёж 漢字': the letters 漢, 字 (U+6F22, U+5B57) are not in the font"
    assert sentence in main(draft).replace("’", "'")
