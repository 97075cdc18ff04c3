"""Four stylesheets, in layers, on one scale of type, one of space, and three widths at which a page folds."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import webapp
from webapp.drawings.model import Role, TextRole
from webapp.site.rendering import STATIC, TEMPLATES

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


SPACE = re.compile(r"(?<![\w-])(?:margin|padding|(?:row-|column-)?gap)(?:-[a-z-]+)?\s*:\s*([^;}]+)")
A_STEP = r"var\(--space-[1-8]\)"
FREE = re.compile(rf"0|auto|-?[0-9.]+em|{A_STEP}|calc\(-1 \* {A_STEP}\)")
OFF_THE_SCALE = {
    # a heavier border takes its own width from the padding, so that what it frames does not move
    rf"calc\({A_STEP} - [1-4]px\)",
    # between two panes and at a page's sides the room grows with the width, from one step to another
    rf"clamp\({A_STEP}, [1-9]vw, {A_STEP}\)",
    # a pixel's overlap: two borders drawn as one, words for screen readers only
    "-1px",
    # paper is measured in millimetres
    r"[0-9.]+mm",
}


@pytest.mark.parametrize("name", SHEETS)
def test_space_has_the_steps_of_its_scale(name: str) -> None:
    allowed = re.compile("|".join([FREE.pattern, *OFF_THE_SCALE]))
    values = [value for given in SPACE.findall(TEXT[name]) for value in _apart(given)]
    assert [value for value in values if not allowed.fullmatch(value)] == []


def test_every_exception_from_the_scale_is_needed() -> None:
    values = [value for text in TEXT.values() for given in SPACE.findall(text) for value in _apart(given)]
    assert [one for one in OFF_THE_SCALE if not any(re.fullmatch(one, value) for value in values)] == []


def test_paper_alone_is_measured_in_millimetres() -> None:
    for text in TEXT.values():
        on_screen = re.sub(r"@page \{[^}]*\}|@media print \{(?:[^{}]|\{[^{}]*\})*\}", "", text)
        assert re.findall(r"[0-9]mm\b", on_screen) == []


def _apart(given: str) -> list[str]:
    """The values of a declaration, each with its brackets."""
    return re.findall(r"(?:[^\s()]|\((?:[^()]|\([^()]*\))*\))+", given.replace("!important", ""))


def test_every_token_is_given_and_used() -> None:
    everything = "".join(TEXT.values())
    given = set(re.findall(r"(--[a-z0-9-]+):", everything))
    assert set(re.findall(r"var\((--[a-z0-9-]+)\)", everything)) == given


def test_pages_fold_at_few_widths() -> None:
    widths = {width for text in TEXT.values() for width in re.findall(r"\((?:min|max)-width: ([^)]+)\)", text)}
    # the least where letters are twice as large, as the top of base.css says
    assert widths <= {"20rem", "30rem", "44rem", "64rem"}


HOOKS = {
    # a table or block that tests find by what it is
    "sentence",  # static/live.js too
    "field-proposals",
    "kept-readings",
    "key-sections",
    "ruled",
    "says",
    "schedule-assembly",
    "set-up-change",
    "to-supplier",
    # what looks plain: a notice that informs, figures, words and a key's hatching on a drawing
    "notice-info",
    "dimension-figure",
    "words",
    "key-hatch",
}
BY_HTMX = {"htmx-request"}


def test_every_class_used_is_defined_or_a_hook() -> None:
    assert _used() - _defined() - HOOKS == set()


def test_every_class_defined_is_used() -> None:
    assert _defined() - _used(but="patterns.html") - BY_HTMX == set()  # what only that page shows is used by none


def test_every_hook_is_used_and_has_no_look() -> None:
    assert HOOKS - _used() == set()
    assert HOOKS & _defined() == set()


def test_a_hint_has_one_look() -> None:
    heads = [head.strip() for text in TEXT.values() for head in re.findall(r"([^{};]+)\{", text)]
    assert heads.count(".hint") == 1


def _defined() -> set[str]:
    """The classes in the selectors of every sheet."""
    selectors = re.sub(r"\{[^{}]*\}|\"[^\"]*\"", "", "".join(TEXT.values()))
    return set(re.findall(r"\.([a-z][\w-]*)", selectors))


def _used(but: str = "") -> set[str]:
    """The classes that templates (``but`` one), drawings, forms and scripts give."""
    drawn = {word for role in Role for word in role.css.split()} | {role.value for role in TextRole}
    return _in_templates(but) | drawn | {"drawing", "lettering", "thumbnail"} | _of_forms() | _in_scripts()


def _in_templates(but: str) -> set[str]:
    found: set[str] = set()
    for path in Path(TEMPLATES).rglob("*.html"):
        if path.name == but:
            continue
        text = re.sub(r"\{#.*?#\}", "", path.read_text("utf-8"), flags=re.DOTALL)
        for given in re.findall(r'(?:\bclass="|"class": ")((?:[^"{]|\{\{.*?\}\}|\{%.*?%\})*)"', text, re.DOTALL):
            found |= {word for variant in _variants(given) for word in variant.split() if not word.endswith("-")}
        found |= set(re.findall(r'\bkind="([\w-]+)"', text))
        found |= {f"notice-{kind}" for kind in re.findall(r'\bnotice\("(\w+)"', text)}
    return found


def _variants(given: str) -> Iterator[str]:
    """What a class attribute may come to, with each of the words that its expressions choose among."""
    parts = re.split(r"(\{\{.*?\}\})", re.sub(r"\{%.*?%\}", " ", given), flags=re.DOTALL)
    choices = [["", *_chosen(part)] if part.startswith("{{") else [part] for part in parts]
    return map("".join, itertools.product(*choices))


def _chosen(expression: str) -> list[str]:
    without_conditions = re.sub(r"\bif\b.*?(?=\belse\b|\}\})", "", expression)
    return re.findall(r'"([^"]*)"', without_conditions)


def _of_forms() -> set[str]:
    """The classes that hide a form's field while it is not meant."""
    sources = (path.read_text("utf-8") for path in Path(webapp.__file__).parent.rglob("*.py"))
    return {css for source in sources for css in re.findall(r'\bWhen\(.*"([a-z-]+)"\)', source)}


def _in_scripts() -> set[str]:
    scripts = "".join(path.read_text("utf-8") for path in STATIC.glob("*.js") if not path.name.startswith("htmx"))
    given = re.findall(r'className = "([\w-]+)"|classList\.(?:add|toggle)\("([\w-]+)"', scripts)
    return {word for pair in given for word in pair if word}
