"""The letters that can be printed, as the compositor has it."""

from __future__ import annotations

import json
import random
import unicodedata

import pytest
import typst

from domain.problems import BadInput
from webapp.papers.typesetting import DOCUMENTS
from webapp.wording.letters import check_fields, lacking

SHEET = b"""
#set document(title: "letters")
#set text(font: "DejaVu Sans", fallback: false)
#for sign in json(bytes(sys.inputs.signs)) [#sign #strong(sign)\n\n]
"""
FONTS = typst.Fonts(
    include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(DOCUMENTS / "fonts")]
)


def sets(signs: list[str]) -> bool:
    """Whether the compositor sets these, plain and bold; PDF/A (ISO 19005-2) forbids a missing glyph."""
    try:
        typst.compile(
            SHEET, font_paths=FONTS, format="pdf", sys_inputs={"signs": json.dumps(signs)}, pdf_standards=["a-2b"]
        )
    except typst.TypstError:
        return False
    return True


def assigned(low: int, high: int) -> list[str]:
    return [
        sign for sign in map(chr, range(low, high)) if unicodedata.category(sign) not in {"Cn", "Co", "Cs", "Cc"}
    ]


def test_every_letter_that_is_let_through_is_set() -> None:
    assert sets([sign for sign in assigned(0x20, 0x20000) if not lacking(sign)])


def test_a_letter_that_is_refused_would_be_lost() -> None:
    refused = [sign for sign in assigned(0xA0, 0x20000) if lacking(sign) and unicodedata.category(sign) != "Cf"]
    assert len(refused) > 50_000
    for sign in random.Random(2026).sample(refused, 80):
        assert not sets([sign]), f"U+{ord(sign):04X}"


@pytest.mark.parametrize(
    "text", ["", "Åsa’s frame × 2", "Ёж", "e\u0301tage\u0300re", "3 7/8″", "two\nlines\tand a tab"]
)
def test_what_people_type_here_can_be_printed(text: str) -> None:
    assert lacking(text) == ""


def test_every_field_is_named_with_its_letters() -> None:
    with pytest.raises(BadInput) as refusal:
        check_fields([(("name",), "Kiosk 名名"), (("customer",), "Ёж"), (("note",), "漢字")])
    assert [(problem.path, problem.text()) for problem in refusal.value.problems] == [
        (
            ("name",),
            "the letter 名 (U+540D) is not in the font that documents are set in; write it with other letters",
        ),
        (
            ("note",),
            "the letters 漢, 字 (U+6F22, U+5B57) are not in the font that documents are set in;"
            " write them with other letters",
        ),
    ]
