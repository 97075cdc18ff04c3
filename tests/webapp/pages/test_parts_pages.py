"""The parts list on its page: what is cut, what somebody changed, and how it is taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO

import pytest
from bs4 import Tag
from httpx import Response
from pypdf import PdfReader

from domain.lengths import Length
from tests.client import TestClient, browsing
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import Fields, form_on, post, with_texts
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.tokens import Sending
from webapp.usecases.projects import plan, save_rules

CABINET, BOX, FRAMES = 1, 2, 3


@pytest.fixture
def demo_client(demo_store: Store) -> Iterator[TestClient]:
    """A browser at the demo."""
    with browsing(demo_store) as client:
        yield client


def rows(page: Response) -> dict[str, list[str]]:
    """What the table says of every part, and under "said" what stands below it."""
    found: dict[str, list[str]] = {}
    for row in soup(page).select("#parts-to-cut tbody tr[id]"):
        found[str(row["id"]).removeprefix("part-")] = [
            " ".join(cell.get_text(" ").split()) for cell in row.select("th, td")
        ]
    return found


def said(page: Response, mark: str) -> str:
    row = soup(page).select_one(f"#part-{mark}")
    assert row is not None
    below = row.find_next_sibling("tr")
    assert isinstance(below, Tag)
    return " ".join(below.get_text(" ").split())


def groups(page: Response) -> list[str]:
    found = soup(page).select("#parts-to-cut .table-heading th")
    return [" ".join(cell.get_text(" ").split()) for cell in found]


def changed(client: TestClient, project_id: int, mark: str, **texts: str) -> Response:
    page = client.get(urls.change_part(project_id, mark=mark))
    fields: Fields = with_texts(form_on(page, urls.change_part(project_id)), texts)
    return post(client, urls.change_part(project_id), fields)


def test_every_part_stands_under_the_wood_that_it_is_cut_from(demo_client: TestClient) -> None:
    page = demo_client.get(urls.parts(CABINET))
    assert [re.split(r" (?=\d+ pieces?,)", group)[0] for group in groups(page)] == [
        "cherry 64 × 20",
        "cherry 60 × 20",
        "cherry 52 × 20",
        "cherry 45 × 20",
        "cherry 40 × 20",
        "cherry 36 × 20",
        "birch plywood 19",
        "sheet 6",
    ]
    # stiles and top rails of two doors: 4·386 + 2·298 and five cuts of 3.2 are 2156 mm; a strip takes 52 and a cut
    assert "6 pieces, 2.16 m with the saw cuts; Cherry, black" in groups(page)[2]
    assert "rip 2.16 m of strips 52 mm wide, each 55.2 mm of the board" in groups(page)[2]
    cut = ["", "C1", "stile C Door", "4", "386", "52", "20", "square", "along", "C-J1, C-J2", "Change C1"]
    assert rows(page)["C1"] == cut
    # rails 64 and 52 wide, the groove 9 past their inner edges
    assert "stops 55 mm before the bottom end and 43 mm before the top end" in said(page, "C1")
    assert len(rows(page)) == 6 + 1 + 5 + 4


def test_in_inches_a_wood_has_its_section_in_inches_beside_its_name(demo_client: TestClient) -> None:
    page = demo_client.get(urls.parts(BOX))
    # walls 4 in, 1/4 of lip and 3/32 of kerf high; 36 in and three cuts of 3.2 mm are 924 mm, 3.03 ft
    assert groups(page)[0].startswith("cherry 110.33125 × 15.875 (4 11/32 × 5/8 in) 4 pieces, 3.1 ft")
    assert rows(page)["A1"][4:9] == ["11", "4 11/32", "5/8", "saw 45°", "9 3/4"]
    assert "tilt the blade" in said(page, "A1")


def test_what_is_run_in_long_lengths_is_told_first(demo_client: TestClient) -> None:
    text = main(demo_client.get(urls.parts(FRAMES)))
    # 4·581 + 4·481 and seven cuts of 3.2; 8·291 + 8·231 and fifteen
    assert "ash 45 × 24: 4.28 m for A1 (4), A2 (4). Rabbet in the inside edge: 10 mm wide, 6 mm deep" in text
    assert "ash 30 × 20: 4.23 m for B1 (8), B2 (8)." in text


def test_allowances_of_the_rules_are_cut_and_the_finished_size_stands_beside(
    demo_client: TestClient, demo_store: Store
) -> None:
    project = plan(demo_store, CABINET)
    own = project.rules.model_copy(
        update={"length_allowance": Length.from_mm(20), "width_allowance": Length.from_mm(4)}
    )
    sent = Sending.of(new_token(), urls.change_rules(CABINET), {})
    save_rules(demo_store, sent, CABINET, project.head.version, own)
    found = rows(demo_client.get(urls.parts(CABINET)))
    assert found["C1"][4:8] == ["406", "56", "20", "386 × 52 × 20 mm"]
    # what comes out of a sheet is sawn to size
    assert found["A1"][4:8] == ["860", "380", "19", ""]


def test_a_change_is_kept_shown_and_taken_back(demo_client: TestClient) -> None:
    answer = changed(demo_client, CABINET, "C1", rough_length="400", material="white oak", note="straight grain")
    assert answer.status_code == 303
    assert answer.headers["location"] == urls.parts(CABINET, at="part-C1")
    page = demo_client.get(urls.parts(CABINET))
    assert any(group.startswith("white oak 52 × 20") for group in groups(page))
    words = said(page, "C1")
    assert "Changed: length 400 mm, the plan has 386 mm." in words
    assert "Changed: of white oak, the plan has cherry." in words
    assert "Note: straight grain" in words
    back = form_on(page, urls.part_as_planned(CABINET))
    assert post(demo_client, urls.part_as_planned(CABINET), back).status_code == 303
    assert "Changed" not in main(demo_client.get(urls.parts(CABINET)))


def test_a_change_stays_when_the_project_changes_and_says_where_it_falls_short(
    demo_client: TestClient, demo_store: Store
) -> None:
    changed(demo_client, CABINET, "C1", rough_length="390")
    assembly = next(each.stored for each in plan(demo_store, CABINET).assemblies if each.stored.spec.mark == "C")
    page = demo_client.get(urls.assembly(CABINET, assembly.id))
    fields = with_texts(form_on(page, urls.assembly(CABINET, assembly.id)), {"height": "395"})
    assert post(demo_client, urls.assembly(CABINET, assembly.id), fields).status_code == 303
    words = said(demo_client.get(urls.parts(CABINET)), "C1")
    assert "Changed: length 390 mm, the plan has 395 mm." in words
    assert "Too small: its length would be less than the finished 395 × 52 × 20 mm." in words


def test_nothing_is_typed_smaller_than_it_is_to_be(demo_client: TestClient) -> None:
    answer = changed(demo_client, CABINET, "C1", rough_length="380", rough_thickness="19", note="kept")
    assert answer.status_code == 422
    text = main(answer)
    assert "Must be 386 mm or more: so large is the finished part" in text
    assert "Must be 20 mm or more" in text
    assert 'value="kept"' in answer.text
    # a sheet is as thick as it is
    assert changed(demo_client, CABINET, "A1", rough_thickness="18.5").status_code == 303
    assert "birch plywood 18.5" in " ".join(groups(demo_client.get(urls.parts(CABINET))))


def test_a_change_whose_part_is_gone_is_told_and_dropped_by_hand(
    demo_client: TestClient, demo_store: Store
) -> None:
    changed(demo_client, CABINET, "C4", material="cherry ply")
    assembly = next(each.stored for each in plan(demo_store, CABINET).assemblies if each.stored.spec.mark == "C")
    page = demo_client.get(urls.delete_assembly(CABINET, assembly.id))
    post(
        demo_client,
        urls.delete_assembly(CABINET, assembly.id),
        form_on(page, urls.delete_assembly(CABINET, assembly.id)),
    )
    page = demo_client.get(urls.parts(CABINET))
    assert "Changes without a part" in main(page)
    assert "C4: of cherry ply." in main(page)
    post(demo_client, urls.part_as_planned(CABINET), form_on(page, urls.part_as_planned(CABINET)))
    assert "Changes without a part" not in main(demo_client.get(urls.parts(CABINET)))


def test_a_stale_form_keeps_what_was_typed(demo_client: TestClient) -> None:
    page = demo_client.get(urls.change_part(CABINET, mark="C1"))
    mine = with_texts(form_on(page, urls.change_part(CABINET)), {"note": "mine"})
    changed(demo_client, CABINET, "C1", note="theirs")
    answer = post(demo_client, urls.change_part(CABINET), mine)
    assert answer.status_code == 409
    assert "you have mine, now stored is theirs" in main(answer)


def test_a_part_that_is_not_there_is_no_page(demo_client: TestClient) -> None:
    assert demo_client.get(urls.change_part(CABINET, mark="Z9")).status_code == 404
    assert demo_client.get(urls.parts(999)).status_code == 404


def test_several_projects_are_listed_together(demo_client: TestClient) -> None:
    page = demo_client.get(urls.parts_together(project=[BOX, CABINET]))
    assert "1 Keepsake box, 2 Hall cabinet" in main(page)
    found = rows(page)
    assert {"1-A1", "2-A1"} <= set(found)
    assert len(found) == 8 + 16
    # in the units of the first
    assert found["1-A1"][4] == "11"
    links = [str(link["href"]) for link in soup(page).select("#part-2-A1 a")]
    assert links == [urls.change_part(CABINET, mark="A1")]


def test_several_projects_are_handed_on_as_one_table(demo_client: TestClient) -> None:
    for ending in ("csv", "xlsx"):
        answer = demo_client.get(urls.parts_table(ending, project=[BOX, CABINET]))
        assert answer.status_code == 200
    text = demo_client.get(urls.parts_table("csv", project=[BOX, CABINET])).content.decode("utf-8-sig")
    assert len(text.splitlines()) == 1 + 8 + 16
    assert '"Hall cabinet","C","Door","2 C1","stile"' in text
    assert demo_client.get(urls.parts_table("csv")).status_code == 404
    assert demo_client.get(urls.parts_table("pdf", project=[BOX])).status_code == 404


def test_several_projects_are_printed_as_one_list(demo_client: TestClient) -> None:
    paper = urls.parts_paper(project=[BOX, CABINET])
    together = soup(demo_client.get(urls.parts_together(project=[BOX, CABINET])))
    assert [link.get_text() for link in together.select(f"a[href='{paper}']")] == ["PDF"]
    answer = demo_client.get(paper)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for said in ("Parts list", "Hall cabinet", "2 C1", "cherry 64 × 20", "Run in long lengths first"):
        assert said in text
    letter = PdfReader(BytesIO(demo_client.get(urls.parts_paper(project=[BOX], paper="Letter")).content))
    assert float(letter.pages[0].mediabox.width) == pytest.approx(612)
    assert demo_client.get(urls.parts_paper(project=[BOX], paper="A3")).status_code == 422
    assert demo_client.get(urls.parts_paper()).status_code == 404


def test_an_empty_shop_says_what_comes_first(client: TestClient) -> None:
    assert "There is nothing to cut yet. Begin a project" in main(client.get(urls.parts_together()))
