"""What shows at edges that are looked at: ends of keys, and plugs; and plugs where nobody looks."""

from __future__ import annotations

import json
from typing import Any

import pytest

from domain.notes import Note, NoteCode
from domain.project_file import read_project_file
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import Json, box, carcass, frame, railed, refused, single, taken_off
from tests.domain.builders import project as project_file
from tests.workshop import SHIPPED

SIGHT = {NoteCode.KEYS_IN_SIGHT, NoteCode.PLUGS_IN_SIGHT, NoteCode.PLUGS_UNSEEN}
PLUG = {"plug": {"material": "oak", "height": 3}}
LID = {"lid": {"height": 40, "kerf": 2}, "top": {"material": "ash", "thickness": 3, "depth": 4, "down": 4}}


def seen(assembly: Json) -> list[tuple[str, Any, Any]]:
    """What the assembly says of its edges: code, edge, joints."""
    (one,) = taken_off(assembly).assemblies
    return told(one.expansion.notes)


def told(notes: tuple[Note, ...]) -> list[tuple[str, Any, Any]]:
    found = []
    for note in notes:
        if note.code in SIGHT:
            figures = dict(note.figures)
            found.append((note.code.value, figures["edge_text"], figures["joints_text"]))
    return found


# common practice (no source): one looks at the front of a frame and of a carcass, and at the rim of a box
@pytest.mark.parametrize(
    ("assembly", "notes"),
    [
        (frame(), []),
        (frame(keys={"entry": "front"}), [("keys_in_sight", "front", "A-J1")]),
        (frame(keys={"entry": "front"} | PLUG), [("plugs_in_sight", "front", "A-J1")]),
        (frame(keys=PLUG), [("plugs_unseen", "back", "A-J1")]),
        (frame(keys={"entry": "front"}, show=[]), []),
        (frame(keys=PLUG, show=["back"]), [("plugs_in_sight", "back", "A-J1")]),
        (frame(show=["back", "front"]), [("keys_in_sight", "back", "A-J1")]),
        (railed(keys={"entry": "front"}), [("keys_in_sight", "front", "A-J1, A-J2")]),
        (carcass(keys={"entry": "front"}), [("keys_in_sight", "front", "A-J1, A-J2")]),
        (carcass(keys={"entry": "back"}), []),
        (box(wall=18, keys={"entry": "top"}), [("keys_in_sight", "top", "A-J1")]),
        (box(wall=18, keys={"entry": "bottom"}), []),
        (box(wall=18, height=110, **LID), [("keys_in_sight", "top", "A-J2")]),
        (box(wall=18, height=110, **LID, joints={"A-J2": PLUG}), [("plugs_in_sight", "top", "A-J2")]),
        # a top laid over the walls covers their rim
        (box(wall=18, keys={"entry": "top"}, top={"fit": "over", "material": "ash", "thickness": 5}), []),
        (single(), []),
        (single(show=["back"]), [("keys_in_sight", "back", "A-J1")]),
    ],
)
def test_what_shows_is_said(assembly: Json, notes: list[tuple[str, str, str]]) -> None:
    assert seen(assembly) == notes


def test_a_joint_that_cannot_be_made_shows_nothing() -> None:
    assert seen(frame(stock={"width": 10, "thickness": 6}, keys={"entry": "front"})) == []


def test_it_is_said_in_words() -> None:
    (one,) = taken_off(frame(keys=PLUG)).assemblies
    assert [note.text() for note in one.expansion.notes] == [
        "Nobody sees the plugs at the back: A-J1. Leave them out, or drive those keys from an edge that is"
        " looked at."
    ]


def test_an_edge_is_one_of_four() -> None:
    (problem,) = refused(project_file(frame(show=["both"]))).items()
    assert problem == ("assemblies[0].show[0]", "must be 'front', 'back', 'top' or 'bottom'")


def test_the_demo_puts_its_plugs_where_they_show() -> None:
    sections = [
        Section.model_validate(one)
        for one in json.loads((SHIPPED / "shop.json").read_text(encoding="utf-8"))["sections"]
    ]
    said = {}
    for name in ("frame-set", "keepsake-box", "hall-cabinet"):
        project = read_project_file(json.loads((SHIPPED / f"{name}.json").read_text(encoding="utf-8")))
        for one in take_off(project, sections, Rules()).assemblies:
            said[name, one.expansion.mark] = told(one.expansion.notes)
    assert {where: notes for where, notes in said.items() if notes} == {
        ("frame-set", "A"): [("plugs_in_sight", "front", "A-J1")],
        # driven from above, into the lid's rim
        ("keepsake-box", "A"): [("keys_in_sight", "top", "A-J2")],
        # the cabinet's front edges lie behind its front frame, so nothing of it is looked at
    }
