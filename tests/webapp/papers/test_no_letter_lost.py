"""No letter is lost on paper: a text is found by extraction, or refused with the letter named."""

from __future__ import annotations

import re
import unicodedata
from itertools import product
from typing import Any

import pytest

from domain.problems import BadInput, path_text
from tests.webapp.papers.paper_samples import demo, printed, project, text_of, words_of
from webapp.papers.kinds import DocumentKind, Paper

# given names and family names, by script
SCRIPTS = {
    "Latin": ("Zoé Łucja Iñaki Françoise Ștefan", "Müller Nguyễn O’Brien Ağaoğlu Šćepanović"),
    "Nordic": ("Åse Ørjan Þóra Mäkelä Sjöfn", "Ægisdóttir Bjørnsønn Hämäläinen Sørås Guðmundsdóttir"),
    "Baltic": ("Ūla Žydrė Ģirts Ņina Õie", "Šķēle Jürisoo Žemaitytė Kļaviņš Įvardis"),
    "Greek": ("Ευφροσύνη Ιωάννης Ζωή Άγγελος Ωραία", "Παπαδόπουλος Ψαρρός Ξυλάς Ράπτης Χατζηγιάννη"),
    "Cyrillic": ("Їжак Ёлка Љубица Ґанна Щорс", "Ђорђевић Цвєтков Ўласаў Ћирић Эшкова"),
    "Arabic": ("محمد ليلى يوسف فاطمة إبراهيم", "النجار الخشاب مؤذن شاطئ القاضي"),
    "Chinese": ("明 秀英 偉 靜 麗", "木匠 王 歐陽 李 張"),
    "Japanese": ("さくら ケンジ 陽子 たろう 花", "指物師 田中 ヤマダ すずき 佐藤"),
}
NAMES = [
    (script, f"{given} {family}")
    for script, (all_given, all_families) in SCRIPTS.items()
    for given, family in product(all_given.split(), all_families.split())
]


def plain(text: str) -> str:
    """Letters as they are read: composed, without spaces, whatever form of an Arabic letter was printed."""
    return re.sub(r"\s", "", unicodedata.normalize("NFKC", text))


def test_200_names_in_eight_scripts_are_found_or_refused() -> None:
    assert len(set(NAMES)) == 200
    lost: list[tuple[str, str]] = []
    found: list[tuple[str, str]] = []
    refused: list[tuple[str, bool]] = []
    for script, name in NAMES:
        try:
            text = text_of(printed(DocumentKind.KEYS, project(name=name)))
        except BadInput as refusal:
            (problem,) = refusal.problems
            letters = str(dict(problem.figures)["letters_text"]).split(", ")
            refused.append(
                (script, (problem.path, problem.value) == (("name",), name) and set(letters) <= set(name))
            )
            continue
        (found if plain(name) in plain(text) else lost).append((script, name))
    assert lost == []
    assert {script for script, _ in found} == {"Latin", "Nordic", "Baltic", "Greek", "Cyrillic", "Arabic"}
    assert set(refused) == {("Chinese", True), ("Japanese", True)}
    assert (len(found), len(refused)) == (150, 50)


@pytest.mark.parametrize("kind", DocumentKind)
def test_a_letter_that_the_font_lacks_is_named_on_every_document(kind: DocumentKind) -> None:
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "width": 400, "height": 300}
    planned = project(frame | {"stock": {"width": 45, "thickness": 20}}, name="Tisch 木 groß")
    with pytest.raises(BadInput) as refusal:
        printed(kind, planned)
    assert str(refusal.value) == (
        "name: 'Tisch 木 groß': the letter 木 (U+6728) is not in the font that documents are set in;"
        " write it with other letters"
    )


def test_it_is_the_text_with_the_letter_that_is_named() -> None:
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "width": 400, "height": 300}
    planned = project(frame | {"stock": {"width": 45, "thickness": 20}, "material": "Esche 🌳"})
    with pytest.raises(BadInput) as refusal:
        printed(DocumentKind.MEMBERS, planned)
    (problem,) = refusal.value.problems
    assert (path_text(problem.path), problem.value) == ("assemblies[0].material", "Esche 🌳")
    assert "the letter 🌳 (U+1F333)" in problem.text()
    # it stands on no list of keys, so that one can be printed
    assert printed(DocumentKind.KEYS, planned)


@pytest.mark.parametrize("field", ["customer", "shop", "revision", "date"])
def test_the_title_block_s_own_words_are_looked_at_too(field: str) -> None:
    strange: dict[str, Any] = {field: "漆"}
    with pytest.raises(BadInput, match=re.escape("(U+6F06)")):
        printed(DocumentKind.KEYS, demo("frame-set"), **strange)


def test_markup_in_names_stays_text() -> None:
    name = "*b* _i_ #let x = 1 #panic() $x^2$ <a> @ref = - + / // /* */ `raw` [l] \\ ~ \" ' &amp; http://a.b"
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "width": 400, "height": 300}
    frame |= {"name": name, "material": name}
    planned = project(frame | {"stock": {"width": 45, "thickness": 20}}, name=name, customer=name)
    for kind in (DocumentKind.SCHEDULE, DocumentKind.MEMBERS, DocumentKind.LABELS):
        # title block and heading; or the material on every one of four labels
        assert plain(text_of(printed(kind, planned))).count(plain(name)) >= 3, kind


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    "word", ["Schwalbenschwanz" * 13, "long names wrap " * 13, "W" * 200, "العربيةالطويلة" * 15]
)
def test_names_of_200_letters_wrap_on_the_paper(word: str, paper: Paper) -> None:
    name = word[:200].strip()
    document = printed(DocumentKind.MEMBERS, demo("frame-set"), paper, project=name, customer=name, shop=name)
    assert plain(text_of(document)).count(plain(name)) >= 3
    for one in words_of(document):
        assert one.left >= 13.9
        assert one.right <= paper.width - 13.9
