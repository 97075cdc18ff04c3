"""Four stylesheets, in layers, on one scale of type and three widths at which a page folds."""

from __future__ import annotations

import re

import pytest

from webapp.site.rendering import STATIC

SHEETS = sorted(path.name for path in STATIC.glob("*.css"))
TEXT = {name: re.sub(r"/\*.*?\*/", "", (STATIC / name).read_text("utf-8"), flags=re.DOTALL) for name in SHEETS}


def test_there_are_four() -> None:
    assert SHEETS == ["base.css", "form.css", "sheet.css", "shop.css"]


@pytest.mark.parametrize("name", SHEETS)
def test_every_rule_stands_in_a_layer(name: str) -> None:
    outside, depth = "", 0
    for letter in TEXT[name]:
        depth += (letter == "{") - (letter == "}")
        outside += letter if depth == 0 and letter != "}" else ""
    assert depth == 0
    heads = {head.strip() for head in outside.split("\n") if head.strip()}
    assert heads <= {
        f"@layer {name.removesuffix('.css')}",
        "@layer base, form, print, sheet, shop;",
        "@page",
        "@layer print",
    }


@pytest.mark.parametrize("name", SHEETS)
def test_type_has_the_sizes_of_its_scale(name: str) -> None:
    sizes = re.findall(r"font-size:\s*([0-9.]+rem)", TEXT[name])
    assert sizes == []


def test_every_token_is_given_and_used() -> None:
    everything = "".join(TEXT.values())
    given = set(re.findall(r"(--[a-z-]+):", everything))
    assert set(re.findall(r"var\((--[a-z-]+)\)", everything)) == given


def test_pages_fold_at_few_widths() -> None:
    widths = {width for text in TEXT.values() for width in re.findall(r"\((?:min|max)-width: ([^)]+)\)", text)}
    assert widths <= {"30rem", "44rem", "64rem"}
