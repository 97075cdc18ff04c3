"""The quote's pages: reckoned while one types, kept, issued once under a number, and compared with today."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from domain.ordering.items import GLUE, Item
from tests.client import TestClient
from tests.factories import a_frame, a_project, an_impossible_joint
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import Fields, form_on, post, with_texts
from tests.webapp.quote_samples import TERMS, lend, priced_project
from webapp.form.carried import new_token
from webapp.form.fields import Plain
from webapp.form.quote_lines import own_lines, read_own, read_work, work_lines
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import update_assembly
from webapp.store.projects import create_project, delete_project, load_project
from webapp.usecases.costs import project_costs
from webapp.usecases.quotes import load_quote, quote_of

TYPED = {
    "rate": "46.50",
    "margin": "12,5",
    "tax.name": "Sales tax",
    "tax.rate": "7.75",
    "work": "Sanding and oiling, 1.25 h",
    "lines": "Hanging wire, 3 × 2.40\nDelivery to the hall 38.00",
    "address": "Harbour Lane 4\nNorthmere",
    "note": "Wood from one log, oiled twice.",
}


def framed(store: Store, **fields: Any) -> int:
    with store.writing() as session:
        return create_project(session, a_project(a_frame(width=415, height=318, material="ash"), **fields))


def typed(client: TestClient, number: int, texts: dict[str, str]) -> Fields:
    page = client.get(urls.project_quote(number))
    fields = form_on(page, urls.project_quote(number))
    prices = {name: f"{17 + place}.20" for place, (name, _) in enumerate(fields) if name.startswith("price.")}
    return with_texts(fields, prices | texts)


def total_on(page: Any) -> str:
    found = soup(page).select_one("dl.totals dd")
    assert found is not None
    return found.get_text(strip=True)


def test_a_new_quote_asks_for_what_it_lacks(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    page = client.get(urls.project_quote(number))
    text = main(page)
    for words in (
        "There is no price yet",
        "Rate of work",
        "name the tax",
        "ash 45 × 20",
        "no price is known of it",
    ):
        assert words in text
    assert total_on(page) == "not known"
    assert "Issue it as quote" not in text
    assert urls.project_quote(number) in client.get(urls.project(number)).text


def test_terms_are_kept_and_reckoned_and_come_back_as_typed(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    answer = post(client, urls.project_quote(number), typed(client, number, TYPED))
    assert (answer.status_code, answer.headers["location"]) == (303, urls.project_quote(number))
    with demo_store.reading() as session:
        terms = load_project(session, number).project.quote
    assert terms is not None
    said = terms.model_dump(mode="json", exclude={"prices", "minutes", "depth", "valid_days", "discount"})
    assert said == {**TERMS, "lines": [TERMS["lines"][0] | {"count": 3.0}, TERMS["lines"][1] | {"count": 1.0}]}
    page = client.get(urls.project_quote(number))
    assert re.fullmatch(r"\d+\.\d\d EUR", total_on(page))
    again = dict(form_on(page, urls.project_quote(number)))
    assert again["work"] == "Sanding and oiling, 75 min"
    assert again["lines"] == "Hanging wire, 3 × 2.40\nDelivery to the hall, 38.00"
    assert (again["margin"], again["address"]) == ("12.5", "Harbour Lane 4\nNorthmere")


def test_what_is_typed_is_reckoned_as_it_would_be_saved(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    fields = typed(client, number, TYPED)
    part = post(client, urls.quote_reckoning(number), fields)
    assert total_on(client.get(urls.project_quote(number))) == "not known"  # nothing is saved by it
    post(client, urls.project_quote(number), fields)
    page = soup(client.get(urls.project_quote(number))).select_one("#quote-reckoning")
    assert page is not None
    assert " ".join(page.get_text().split()) == " ".join(soup(part).get_text().split())


def test_what_cannot_be_read_is_told_at_its_field_and_nothing_is_lost(
    client: TestClient, demo_store: Store
) -> None:
    number = framed(demo_store)
    wrong = TYPED | {"work": "Sanding", "lines": "Hooks, 6 × one", "margin": "-4", "tax.rate": ""}
    fields = typed(client, number, wrong)
    answer = post(client, urls.project_quote(number), fields)
    text = main(answer)
    assert answer.status_code == 422
    for words in ("needs its time at the end", "needs a price at the end", "Rate of the tax: is needed"):
        assert words in text
    assert "Margin: not a number" in text or "Margin: must be 0 or more" in text
    assert dict(form_on(answer, urls.project_quote(number)))["work"] == "Sanding"
    part = post(client, urls.quote_reckoning(number), fields)
    assert "Not reckoned yet" in part.text


def test_an_edit_of_something_older_stands_beside_what_is_stored(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    older = typed(client, number, TYPED)
    post(client, urls.project_quote(number), typed(client, number, TYPED | {"margin": "14"}))
    answer = post(client, urls.project_quote(number), older)
    assert answer.status_code == 409
    assert "you have 12,5, now stored is 14" in main(answer)


def test_the_materials_are_those_of_the_costs_page(client: TestClient, store: Store, demo_store: Store) -> None:
    """One job, one price: what has a price on the costs page has the same here, to the cent."""
    number = framed(store)
    lend(store, Item.key("14", 16), GLUE, Item.bar("ash", 45, 20, 2100))
    costs, found = project_costs(store, number), quote_of(store, number)
    assert found.reckoning.material_cost == costs.costs.total
    assert (found.reckoning.missing, found.reckoning.terms.rate) == ((), 5150)
    page = client.get(urls.project_quote(number))
    assert "bar ash 45 × 20 × 2100" in main(page)
    said = " ".join(main(page).split())
    assert "The shop asks as a rule: 51.50 EUR an hour, margin 6 %, VAT 21 %" in said


def issue(client: TestClient, number: int, **texts: str) -> Any:
    fields = with_texts(form_on(client.get(urls.project_quote(number)), urls.issue_quote(number)), texts)
    return post(client, urls.issue_quote(number), fields)


def test_a_quote_is_issued_once_and_reprints_its_bytes(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store, customer="Ms Ålund")
    priced_project(demo_store, number)
    page = client.get(urls.project_quote(number))
    fields = with_texts(form_on(page, urls.issue_quote(number)), {"paper": "A4"})
    answers = [post(client, urls.issue_quote(number), fields) for _ in range(2)]
    assert {answer.headers["location"] for answer in answers} == {urls.issued_quote(1)}
    assert client.get(urls.issued_quote(2)).status_code == 404
    shown = main(client.get(urls.issued_quote(1)))
    for words in ("Quote 1", "Ms Ålund", "Harbour Lane 4", "As today’s figures", total_on(page)):
        assert words in shown
    for kind in ("quote", "reckoning"):
        one, two = (client.get(urls.issued_quote_paper(1, kind, "A4")) for _ in range(2))
        assert one.content == two.content
        assert one.headers["content-type"] == "application/pdf"
    text = " ".join(
        PdfReader(BytesIO(client.get(urls.issued_quote_paper(1, "quote", "A4")).content))
        .pages[0]
        .extract_text()
        .split()
    )
    assert "Quote 1" in text
    assert "argin" not in text
    assert client.get(urls.issued_quote_paper(1, "quote", "A3")).status_code == 404


def test_numbers_run_through_the_shop_and_a_changed_quote_says_so(client: TestClient, demo_store: Store) -> None:
    one, two = framed(demo_store), framed(demo_store)
    for number in (one, two):
        priced_project(demo_store, number)
        assert issue(client, number).status_code == 303
    priced_project(demo_store, one, margin=20, lines=[])
    text = main(client.get(urls.project_quote(one)))
    assert "Changed since" in text
    assert "Your own lines 45.20 EUR, today 0.00 EUR" in text
    assert issue(client, one).headers["location"] == urls.issued_quote(3)
    listed = main(client.get(urls.quotes))
    assert [name for name in ("Quote 3", "Quote 2", "Quote 1") if name in listed] == [
        "Quote 3",
        "Quote 2",
        "Quote 1",
    ]
    assert load_quote(demo_store, 1).head.total != load_quote(demo_store, 3).head.total


def test_figures_that_moved_since_they_were_seen_are_not_issued(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    priced_project(demo_store, number)
    fields = form_on(client.get(urls.project_quote(number)), urls.issue_quote(number))
    priced_project(demo_store, number, margin=21)
    answer = post(client, urls.issue_quote(number), fields)
    assert answer.status_code == 409
    assert "Changed meanwhile, not issued" in main(answer)
    assert client.get(urls.issued_quote(1)).status_code == 404


def test_what_has_no_price_is_not_issued(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    found = quote_of(demo_store, number)
    fields = [("token", new_token()), ("number", "1"), ("mark", found.mark), ("paper", "A4")]
    answer = post(client, urls.issue_quote(number), fields)
    assert answer.status_code == 422
    assert "It cannot be issued yet" in main(answer)
    assert client.get(urls.quote_draft(number, "quote")).status_code == 422


def test_a_quote_outlives_its_project(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    priced_project(demo_store, number)
    issue(client, number)
    with demo_store.writing() as session:
        delete_project(session, number, load_project(session, number).head.version)
    assert "The project has been deleted since" in main(client.get(urls.issued_quote(1)))
    assert client.get(urls.issued_quote_paper(1, "quote", "A4")).status_code == 200
    assert "Quote 1" in main(client.get(urls.quotes))


def test_drafts_and_tables_are_of_the_same_quote(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    priced_project(demo_store, number)
    total = total_on(client.get(urls.project_quote(number)))
    for kind in ("quote", "reckoning"):
        draft = client.get(urls.quote_draft(number, kind, paper="Letter"))
        text = " ".join(PdfReader(BytesIO(draft.content)).pages[0].extract_text().split())
        assert "draft" in text
        assert total in text
    table = client.get(urls.quote_table(number, "csv")).content.decode("utf-8-sig")
    assert f'"Total","","what the customer pays",{float(total.removesuffix(" EUR"))}' in table
    assert client.get(urls.quote_table(number, "xlsx")).status_code == 200
    assert client.get(urls.quote_table(number, "ods")).status_code == 404


def test_joints_that_cannot_be_made_are_said(client: TestClient, demo_store: Store) -> None:
    with demo_store.writing() as session:
        number = create_project(session, a_project(a_frame(), an_impossible_joint("B")))
    assert "1 joint cannot be made as it stands; its keys and minutes are in nothing here." in main(
        client.get(urls.project_quote(number))
    )


def test_a_project_of_nothing_and_one_that_clashes_say_so(client: TestClient, demo_store: Store) -> None:
    with demo_store.writing() as session:
        empty = create_project(session, a_project())
        clash = create_project(session, a_project(a_frame(), a_frame("B", width=60)))
    assert "there is no assembly to quote for yet" in main(client.get(urls.project_quote(empty)))
    assert "the sizes of B clash" in main(client.get(urls.project_quote(clash)))
    priced_project(demo_store, clash)
    assert quote_of(demo_store, clash).reckoning.total is None


def test_an_item_that_takes_another_quantity_by_now_is_asked_for_again(
    client: TestClient, demo_store: Store
) -> None:
    number = framed(demo_store)
    priced_project(demo_store, number)
    with demo_store.writing() as session:
        (stored,) = load_project(session, number).assemblies
        update_assembly(session, stored.id, stored.version, stored.spec.model_copy(update={"quantity": 3}))
    text = main(client.get(urls.project_quote(number)))
    assert "its price was typed for 4 pcs, and it takes 12 by now; type it again" in text
    assert "A price was typed for 4 pcs, which goes for this quantity no longer." in text.replace("\xa0", " ")
    assert quote_of(demo_store, number).reckoning.total is None
    other = {"prices": [{"item": "ash 54 × 20", "price": 900}]}
    priced_project(demo_store, number, **other)
    assert "ash 54 × 20" not in main(client.get(urls.project_quote(number)))


def test_the_shops_usual_terms_are_kept(client: TestClient, demo_store: Store) -> None:
    fields = form_on(client.get(urls.quote_terms), urls.quote_terms)
    said = {"rate": "49.90", "margin": "8", "tax.name": "VAT", "tax.rate": "21", "closing": "Payable in 21 days."}
    answer = post(client, urls.quote_terms, with_texts(fields, said))
    assert answer.headers["location"] == urls.quote_terms(saved="true")
    assert dict(form_on(client.get(urls.quote_terms), urls.quote_terms))["rate"] == "49.90"
    refused = post(
        client,
        urls.quote_terms,
        with_texts(form_on(client.get(urls.quote_terms), urls.quote_terms), {"margin": "x"}),
    )
    assert refused.status_code == 422


@pytest.mark.parametrize(
    ("text", "work", "again"),
    [
        ("Sanding, 85 min", ("Sanding", 85), "Sanding, 85 min"),
        ("Fitting on site 2,5 h", ("Fitting on site", 150), "Fitting on site, 150 min"),
        ("Coat 2: oil; 12.5 minutes", ("Coat 2: oil", 12.5), "Coat 2: oil, 12.5 min"),
    ],
)
def test_other_work_reads_back_as_it_is_shown(text: str, work: tuple[str, float], again: str) -> None:
    (found,) = read_work(text)
    assert (found.text, found.minutes) == work
    assert work_lines([found]) == again
    assert tuple(read_work(again)) == (found,)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("Hooks, 6 × 1.15", ("Hooks", 6, 115)),
        ("Hooks 6x1,15 EUR", ("Hooks", 6, 115)),
        ("Delivery: 38", ("Delivery", 1, 3800)),
        ("Screws 4 × 40, 0.5 × 9.80", ("Screws 4 × 40", 0.5, 980)),
    ],
)
def test_own_lines_read_back_as_they_are_shown(text: str, line: tuple[str, float, int]) -> None:
    plain = Plain(currency="EUR")
    (found,) = read_own(text, plain)
    assert (found.text, found.count, found.price) == line
    assert tuple(read_own(own_lines([found], plain), plain)) == (found,)


def test_the_file_of_a_project_has_its_terms(client: TestClient, demo_store: Store) -> None:
    number = framed(demo_store)
    priced_project(demo_store, number)
    file = client.get(urls.export(number)).json()
    assert file["quote"]["tax"] == TERMS["tax"]
    assert [price["item"] for price in file["quote"]["prices"]] == ["ash 45 × 20", "glue"]
