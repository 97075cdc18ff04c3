"""The glossary, and its words where they stand: all explained, what is drawn is named, a button has its words."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.client import TestClient
from tests.webapp.pages.reading import soup
from webapp.drawings.terms import draw_face_terms, draw_key_terms
from webapp.site import urls
from webapp.store import Store
from webapp.wording.facts import Fact
from webapp.wording.terms import TERMS, term_for

ASKED = {
    *(
        "slot",
        "skin",
        "edge wood",
        "web",
        "recess",
        "projection",
        "depth stop",
        "reach",
        "waist",
        "flank",
        "cutter tip",
    ),
    *("run", "breadth", "keys fill", "drive limit", "snug projection", "mitre tip", "set-up", "hand"),
    *("start of test pieces", "keys side by side"),
}
PLAIN = {Fact.MIDDLE}
"""What a joint's figures are called that needs no explaining."""


def test_the_page_explains_every_term_once(client: TestClient) -> None:
    page = soup(client.get(urls.glossary()))
    said = {dt.text: dt.find_next("dd").text for dt in page.select(".glossary dt")}  # type: ignore[union-attr]
    assert said == {term.name: term.says for term in TERMS}
    assert said.keys() >= ASKED
    assert all(words.endswith(".") for words in said.values())
    assert len(page.select("main svg")) == 2


def test_what_is_drawn_is_named_on_the_drawings() -> None:
    written = " ".join(text.words for drawing in (draw_face_terms(), draw_key_terms()) for text in drawing.texts)
    assert [term.name for term in TERMS if term.drawn and term.name not in written] == []


def test_a_label_means_one_term() -> None:
    labels = Counter(label for term in TERMS for label in {name.casefold() for name in (term.name, *term.labels)})
    assert [label for label, times in labels.items() if times > 1] == []


def test_every_figure_of_a_joint_is_explained() -> None:
    assert [fact for fact in Fact if fact not in PLAIN and term_for(fact) is None] == []


@pytest.mark.parametrize("address", [urls.schedule(1), urls.set_ups(1)])
def test_a_word_says_what_it_means_where_it_stands(client: TestClient, demo_store: Store, address: str) -> None:
    page = soup(client.get(address))
    words = page.select("button.term-word")
    assert words
    for word in words:
        assert word["type"] == "button"
        (says,) = page.select(f"#{word['popovertarget']}[popover]")
        assert str(word["title"]) in says.text
        link = says.select_one("a")
        assert link is not None
        key = str(link["href"]).split("#")[1]
        assert soup(client.get(urls.glossary())).select_one(f"#{key}") is not None
