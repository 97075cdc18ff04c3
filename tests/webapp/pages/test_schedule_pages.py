"""The joint schedule and the keys to buy."""

from __future__ import annotations

from tests.client import TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.webapp.pages.reading import main, soup
from webapp.site import urls
from webapp.store import Store


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def test_every_joint_has_its_figures_and_its_drawing(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(quantity=2, material="ash"))

    page = client.get(urls.schedule(project_id))

    (card,) = soup(page).select("article.joint-card")
    facts = {str(row.dt.text): row.dd.text.replace("\xa0", " ") for row in card.select("dl > div")}  # type: ignore[union-attr]
    # face 45 / sin 45° by 20; snug projection (14.06 − 11.45) / (2 tan 12°) = 6.140, and the preload of 0.1;
    # the slot leans 7.03·sin 45° + 6.24·cos 45° = 9.38 to the tip, so with a wall of 2 its centre is 16.1 from it
    # or more: 16.5 by the setting step; one 16 with a recess of 0.5 is the longest stack that
    # leaves 1.5 of skin
    assert facts == {
        "Mating face": "63.64 × 20 mm, 45°",
        "Section": "14",
        "Cutter": "close-fit, 14.06 mm tip",
        "Projection": "6.24 mm (snug at 6.14 mm)",
        "Slot centres": "16.5, 47.5 mm from the mitre tip",
        "Depth": "16.5 mm",
        "Depth stop": "16.5 mm",
        "Driven in from": "back",
        "Keys in driving order": "16 mm in each of 2 slots",
        "Leading end": "round end",
        "Recess": "0.5 mm",
        "Reach": "16.5 mm",
        "Keys fill": "80 %, 16 of 20 mm",
    }
    assert card.select_one("figure svg desc") is not None
    assert "A-J1 8 × corner" in " ".join(card.text.split())
    parts = [[cell.text for cell in row.select("th, td")] for row in soup(page).select("table.parts tbody tr")]
    assert [part[1] for part in parts] == ["4", "4"]
    assert "saw\xa045°, short side 310 mm" in [part[3] for part in parts]


def test_why_shows_every_section_with_its_price_or_its_reason(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame())

    why = soup(client.get(urls.schedule(project_id))).select_one("details.why")

    assert why is not None
    rows = {row.th.text.split()[0]: row for row in why.select("tbody tr")}  # type: ignore[union-attr]
    assert list(rows) == ["7", "10", "14", "20"]
    assert "chosen" in rows["14"].text
    # 4 corners × 2 slots × one 16 at 0.12
    assert rows["14"].select("td")[-1].text == "0.96 EUR"
    assert "needs a run of" in rows["20"].text


def test_a_joint_that_cannot_be_made_says_why_and_shows_its_wood(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, an_impossible_joint())

    (card,) = soup(client.get(urls.schedule(project_id))).select("article.joint-card")

    assert "Cannot be made as it stands" in card.text
    assert "into the other member, which may be cut 3 mm" in card.text
    assert "wood behind both sides" in card.text
    assert card.select_one("svg") is not None


def test_the_schedule_names_the_cautions_and_prints(client: TestClient, demo_store: Store) -> None:
    page = soup(client.get(urls.schedule(1)))

    caution = page.select_one(".notice-caution a")
    assert caution is not None
    assert caution["href"] == urls.cautions()
    paper = page.select_one(f"a[href='{urls.draft(1, 'schedule')}']")
    assert paper is not None
    assert paper.text == "PDF"
    ids = [str(tag["id"]) for tag in page.select("[id]")]
    assert len(ids) == len(set(ids))


def test_pages_of_a_project_without_assemblies_lead_back(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)

    for address in (urls.schedule(project_id), urls.keys(project_id)):
        links = [str(link["href"]) for link in soup(client.get(address)).select("main p a")]
        assert urls.project(project_id) in links


def test_keys_to_buy_add_up_and_leave_prices_to_one_page(client: TestClient, demo_store: Store) -> None:
    plug = {"plug": {"material": "walnut", "height": 3}}
    project_id = make(demo_store, a_frame(), a_frame("B", keys=plug), currency="SEK")

    page = client.get(urls.keys(project_id))

    rows = [[cell.text for cell in row.select("th, td")] for row in soup(page).select("table.buy tbody tr")]
    keys, _, plugs = rows
    total, used, tests, spare = map(int, keys[1:])
    assert (used, used + tests + spare) == (16, total)
    assert plugs == ["walnut, for section 14, 3 mm high", "9", "8", "", "1"]
    assert "EUR" not in main(page)
    assert soup(page).select_one(f"main p a[href='{urls.costs(project_id)}']") is not None


def test_the_counting_rule_is_said_with_the_rules_figures(client: TestClient, demo_store: Store) -> None:
    rules = {"spare": 0.125, "test_joints": 2, "glue_spread": 150}
    words = main(client.get(urls.keys(make(demo_store, a_frame(), rules=rules, units="in"))))

    assert "2 test joints for every cutter, projection and wood" in words
    assert "12.5 % of what is used" in words
    assert "150 g/m²" in words
    assert "called by millimetres" in words
    none = main(client.get(urls.keys(make(demo_store, a_frame(), rules={"test_joints": 0}))))
    assert "Tests: none." in none


def test_every_assembly_is_shown_in_elevation_in_section_together_and_apart(
    client: TestClient, demo_store: Store
) -> None:
    box = {"kind": "box", "mark": "B", "measure": "outside", "length": 280, "width": 180, "height": 110}
    project_id = make(demo_store, a_frame(), box | {"wall": 16, "corner": "mitre"})

    for assembly in soup(client.get(urls.schedule(project_id))).select("section.schedule-assembly"):
        elevation, section, together, apart = assembly.select(".pictorial svg > title")
        assert elevation.text.startswith(str(assembly["id"]).removeprefix("assembly-"))
        assert section.text.startswith("Section")
        marks = {text.text for text in assembly.select(".pictorial:first-child text.joint-mark")}
        assert "J1" in {mark for words in marks for mark in words.split()}
        assert together.text.endswith("put together")
        assert apart.text.endswith("taken apart")


def test_the_drawing_says_how_the_other_member_is_slotted(client: TestClient, demo_store: Store) -> None:
    rails = {"kind": "railed_frame", "mark": "R", "width": 600, "height": 720, "thickness": 20}
    rails |= {"stile": 45, "top_rail": 45, "bottom_rail": 60}
    box = {"kind": "box", "mark": "B", "measure": "outside", "length": 280, "width": 180, "height": 90}
    box |= {"wall": 16, "corner": "butt"}
    project_id = make(demo_store, a_frame(), rails, box, an_impossible_joint("X"))

    page = soup(client.get(urls.schedule(project_id)))

    said = {str(card["id"]): str(card.figcaption.text) for card in page.select("article.joint-card")}  # type: ignore[union-attr]
    assert "The other member is its mirror image." in said["joint-A-J1"]
    assert "the same slots in its edge, at the same centres" in said["joint-R-J1"]
    assert "the same slots in its face, at the same centres" in said["joint-B-J1"]
    assert "other member" not in said["joint-X-J1"]


def test_why_shows_the_key_in_its_slots_with_the_shops_own_limit(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(), an_impossible_joint("X"), rules={"squeeze_limit": 0.01})

    frame, unmade = soup(client.get(urls.schedule(project_id))).select("details.why")

    # a preload of 0.1 at 12°: 0.1 tan 12° = 0.021
    fit = frame.select_one("figure.fit svg")
    assert fit is not None
    assert "over-tight: squeeze 0.021 mm a flank" in fit.text
    assert "A × 50: squeeze 0.021 mm" in fit.text
    assert unmade.select_one("figure.fit") is None
