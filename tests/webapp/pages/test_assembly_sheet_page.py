"""The assembly sheet as a page: its steps, its warnings, and what it says where there is nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from domain.assembling.sheet import AssemblySheet, Cause, Hindrance, assembly_sheet
from domain.lengths import Units
from domain.parts import Expansion, Single
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.client import TestClient
from tests.domain.builders import box, carcass, frame, read, section
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import main, soup
from webapp.site import urls
from webapp.store import Store
from webapp.wording.assembling import SheetWords, sheet_words


def sheet(assembly: dict[str, Any], **rules: Any) -> tuple[AssemblySheet, Expansion]:
    project, own = read(assembly), Rules.model_validate(rules)
    takeoff = take_off(project, (section(),), own).assemblies[0]
    return assembly_sheet(project.assemblies[0], takeoff, own), takeoff.expansion


def worded(assembly: dict[str, Any], **rules: Any) -> SheetWords:
    return sheet_words(*sheet(assembly, **rules), Units.MM)


def test_a_frame_is_put_together_in_three_steps(client: TestClient, demo_store: Store) -> None:
    with demo_store.writing() as session:
        project_id = stored(session, a_frame(quantity=2))
    page = client.get(urls.assembly_sheet(project_id))
    cards = soup(page).select("article.joint-card")
    said = [" ".join(card.text.split()) for card in cards]
    assert [card.h3.text for card in cards if card.h3] == ["Step 1", "Step 2", "Step 3"]
    assert "Bring what step 2 made to what step 1 made, slantwise, from" in said[2]
    # the outside of 400 × 300
    assert "Check: Both diagonals, outside: 500 mm." in said[2]
    assert all(card.select_one("svg desc") for card in cards)
    assert "Pieces are those of the first of 2" in main(page)
    assert "data sheet comes first" in main(page)
    assert "Dry fit first" in main(page)


def test_it_is_reached_from_the_project_and_the_schedule(client: TestClient, demo_store: Store) -> None:
    with demo_store.writing() as session:
        project_id = stored(session, a_frame())
    for address in (urls.project(project_id), urls.schedule(project_id)):
        assert soup(client.get(address)).select_one(f'a[href="{urls.assembly_sheet(project_id)}"]')


def test_a_project_without_assemblies_says_what_to_do(client: TestClient, demo_store: Store) -> None:
    with demo_store.writing() as session:
        project_id = stored(session)
    assert "There is nothing to put together yet." in main(client.get(urls.assembly_sheet(project_id)))


def test_a_step_that_takes_longer_than_the_glue_is_open_is_warned_of() -> None:
    last = worded(carcass(shelves=[300, 600]), open_seconds=60).steps[-1]
    # four corners' and shelves' ends of four keys each, a quarter of a minute a key
    assert last.figures[-1] == ("Time", "240 s of driving keys; the glue stays open 60 s")
    assert last.warning.startswith("Longer than the glue stays open")
    assert worded(frame()).steps[-1].warning == ""


@pytest.mark.parametrize(
    ("assembly", "said"),
    [
        (frame(stock={"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 9}), "from behind, dry"),
        (box(wall=18, bottom={"fit": "rabbet", "thickness": 5, "depth": 5}), "from below, dry"),
        (carcass(corner="mitre", plinth=80), "no key joins them"),
    ],
)
def test_what_comes_last_says_from_where(assembly: dict[str, Any], said: str) -> None:
    assert said in worded(assembly).steps[-1].says


def test_many_pieces_of_one_mark_are_named_together() -> None:
    step = worded(carcass(height=2000, shelves=[300, 600, 900, 1200, 1500])).steps[0]
    assert "A4 1/5 to 5/5 shelf" in step.says


def test_lid_and_lining_come_afterwards() -> None:
    top = {"material": "ply", "thickness": 3, "depth": 4, "down": 5}
    saw, laid = worded(box(wall=18, lining=2, top=top, lid={"height": 30, "kerf": 2})).after
    assert saw == "Saw the lid off once the glue is hard."
    assert laid.startswith("Laid on afterwards: ")


def test_what_is_in_the_way_is_named_with_what_would_free_it() -> None:
    found, expansion = sheet(carcass(back={"fit": "rabbet", "thickness": 6, "depth": 8}))
    back, side = Single("A4", 0), Single("A1", 1)
    told = sheet_words(
        replace(
            found,
            hindrances=(
                Hindrance(Cause.KEYS_COVERED, (back,), "A-J1", (Entry.BACK,), (Entry.FRONT,)),
                Hindrance(Cause.KEYS_COVERED, (back,), "A-J1", (Entry.BACK,)),
                Hindrance(Cause.PANEL_TRAPPED, (back,)),
                Hindrance(Cause.LOCKED, (side, back)),
            ),
        ),
        expansion,
        Units.MM,
    ).hindrances
    covered = "A-J1 cannot be driven: A4 back covers its keys' way in from the back. To free it, "
    assert told[0] == covered + "drive them in from the front."
    assert told[1] == covered + "let that part come later, as a back in a rabbet does."
    assert told[2].startswith("A4 back cannot get in: ")
    assert told[3].startswith("A1 2/2 right side and A4 back lock one another")
