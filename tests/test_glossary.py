"""One word a thing: what the glossary says not to say stands in no name, no text and no field."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "DEVELOPERS.md"
EXCEPTIONS = {
    "webapp/store/migrations/": "a migration names what it renames",
    "webapp/usecases/snapshots.py": "what was issued under older words is read in today's",
    "domain/machine/set_ups.py": "the keys of ticks that are kept already were made of the older words",
}


@cache
def glossary() -> dict[str, tuple[str, ...]]:
    """Every term, with the words not to use that can be looked for."""
    _, _, text = GUIDE.read_text(encoding="utf-8").partition("## Glossary\n")
    rows = [line.strip("|").split(" | ") for line in text.split("\n## ")[0].splitlines() if line.startswith("| ")]
    return {row[0].strip(): tuple(re.findall(r"`([^`]+)`", row[2])) for row in rows[2:]}


def words(name: str) -> str:
    """A name or a text as plain words, small, a space between any two; a point or a stroke stays between them.

    >>> words("IssueHead"), words("left-hand_side")
    ('issue head', 'left hand side')
    """
    parted = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", name)
    return " ".join(re.findall(r"[a-z0-9]+|[./]", parted.lower()))


def said_in_code(path: Path) -> Iterator[tuple[int, str]]:
    """Names that a module gives, and texts in it that are not documentation, with their lines."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documentation = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        match node:
            case ast.ClassDef(name=name) | ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                yield node.lineno, name
            case ast.arg(arg=name) | ast.Name(id=name, ctx=ast.Store()):
                yield node.lineno, name
            case ast.Constant(value=str(text)) if id(node) not in documentation:
                yield node.lineno, text
            case _:
                pass


def said_in_template(path: Path) -> Iterator[tuple[int, str]]:
    """A template's text line by line, without what is said to those who write it."""
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"\{#.*?#\}", lambda note: "\n" * note[0].count("\n"), text, flags=re.DOTALL)
    for number, line in enumerate(text.splitlines(), 1):
        if not line.lstrip().startswith("//"):
            yield number, line


@cache
def everything_said() -> tuple[tuple[str, int, str], ...]:
    modules = [path for room in ("domain", "webapp") for path in sorted((ROOT / room).rglob("*.py"))]
    templates = [path for kind in ("html", "typ") for path in sorted((ROOT / "templates").rglob(f"*.{kind}"))]
    return tuple(
        (path.relative_to(ROOT).as_posix(), line, words(text))
        for paths, said in ((modules, said_in_code), (templates, said_in_template))
        for path in paths
        for line, text in said(path)
    )


def offences(word: str) -> list[str]:
    sought = f" {words(word)} "
    return [
        f"{path}:{line}: {text[:80]}"
        for path, line, text in everything_said()
        if sought in f" {text} " and not any(path.startswith(place) for place in EXCEPTIONS)
    ]


@pytest.mark.parametrize(("term", "word"), [(term, word) for term, ill in glossary().items() for word in ill])
def test_no_other_word_is_used_for_it(term: str, word: str) -> None:
    assert offences(word) == [], f"say {term}"


def test_the_glossary_is_read_whole() -> None:
    assert len(glossary()) >= 20
    assert glossary()["single joint"] == ("loose joint",)
    assert sum(map(len, glossary().values())) > len(glossary())


def test_the_check_would_notice_another_word() -> None:
    # said in these two places because they must, and therefore excepted there
    for path, word in (("webapp/usecases/snapshots.py", "oversize"), ("domain/machine/set_ups.py", "oversize")):
        assert any(place == path and word in text.split() for place, _, text in everything_said())


@pytest.mark.parametrize("place", EXCEPTIONS)
def test_an_exception_is_still_needed(place: str) -> None:
    ill = [f" {words(word)} " for some in glossary().values() for word in some]
    said = [f" {text} " for path, _, text in everything_said() if path.startswith(place)]
    assert any(word in text for text in said for word in ill)
