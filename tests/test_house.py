"""The house as DEVELOPERS.md draws it, held by its imports: which room may know which, and no circle."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOMS = (
    "wording",
    "store",
    "drawings",
    "papers",
    "usecases",
    "tables",
    "form",
    "site",
    "pages",
    "api",
    "terminal",
    "app",
)
"""The rooms at the top of the webapp, from below upwards."""
MAY_NOT = {
    "store": {"drawings", "papers", "tables", "usecases", "site", "form", "pages", "api", "terminal"},
    "wording": {"pages", "usecases", "store", "site", "drawings"},
    "drawings": {"pages", "usecases", "store", "site", "form", "papers", "tables"},
    "papers": {"pages", "form", "site", "terminal"},
    "tables": {"pages", "form", "site", "terminal"},
    "terminal": {"pages", "form"},
    "api": {"pages", "form"},
    "form": {"store", "pages", "usecases", "site"},
    "usecases": {"pages", "form", "api", "terminal"},
    "site": {"pages", "terminal"},
}
"""Arrows that must never be. A room that words nothing for others may stand higher."""
PAPERS_FRONT = {"webapp.papers", "webapp.papers.kinds", "webapp.papers.render"}
"""What use cases may know of the paper room: its kinds and its one way in."""
FROM_STORE = {"webapp.store", "webapp.store.errors"}
"""What pages may know of the store: the type that is handed on, its errors; and value types."""


@cache
def imports() -> dict[str, dict[str, set[str]]]:
    """By module, the modules of the project that it imports and the names that it takes from each."""
    found: dict[str, dict[str, set[str]]] = {}
    for path in sorted((*ROOT.glob("webapp/**/*.py"), *ROOT.glob("domain/**/*.py"))):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        taken: dict[str, set[str]] = defaultdict(set)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                taken[node.module] |= {alias.name for alias in node.names}
            elif isinstance(node, ast.Import):
                for alias in node.names:
                    taken[alias.name] = taken[alias.name] or set()
        found[name] = dict(taken)
    return {name: dict(_resolved(taken, set(found))) for name, taken in found.items()}


def _resolved(taken: dict[str, set[str]], modules: set[str]) -> Iterator[tuple[str, set[str]]]:
    """``from package import module`` is an import of that module."""
    for module, names in taken.items():
        if module not in modules:
            continue
        whole = {name for name in names if f"{module}.{name}" in modules}
        for name in whole:
            yield f"{module}.{name}", set()
        if names - whole or not names:
            yield module, names - whole


def room(module: str) -> str:
    return module.split(".")[1] if module.startswith("webapp.") else module.split(".")[0]


def test_the_rooms_are_those_that_are_drawn() -> None:
    there = {
        path.stem for path in (ROOT / "webapp").iterdir() if path.name != "__init__.py" and "__" not in path.name
    }
    assert there == set(ROOMS)


def test_the_domain_knows_no_program() -> None:
    for module, taken in imports().items():
        if room(module) == "domain":
            assert not [name for name in taken if name.startswith("webapp")], module


@pytest.mark.parametrize("name", MAY_NOT)
def test_no_arrow_runs_where_none_may(name: str) -> None:
    wrong = [
        f"{module} -> {target}"
        for module, taken in imports().items()
        if room(module) == name
        for target in taken
        if target.startswith("webapp") and room(target) in MAY_NOT[name]
    ]
    assert not wrong


def test_use_cases_know_the_front_of_the_paper_room_alone() -> None:
    wrong = [
        f"{module} -> {target}"
        for module, taken in imports().items()
        if room(module) == "usecases"
        for target in taken
        if target.startswith("webapp.papers") and target not in PAPERS_FRONT
    ]
    assert not wrong


def test_pages_take_errors_and_values_from_the_store_and_nothing_that_acts() -> None:
    wrong = [
        f"{module} -> {target}.{name}"
        for module, taken in imports().items()
        if room(module) == "pages"
        for target, names in taken.items()
        if room(target) == "store" and target not in FROM_STORE
        for name in names or {"*"}
        if not name[0].isupper()  # a value type, or a constant
    ]
    assert not wrong


def test_no_page_opens_a_session() -> None:
    wrong = [
        str(path.relative_to(ROOT))
        for path in ROOT.glob("webapp/pages/**/*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in {"reading", "writing"} and _is_store(node.value)
    ]
    assert not wrong


def _is_store(node: ast.expr) -> bool:
    return (isinstance(node, ast.Name) and node.id == "store") or (
        isinstance(node, ast.Attribute) and node.attr == "store"
    )


def test_a_use_case_takes_a_store_or_is_named_for_its_session() -> None:
    wrong = []
    for path in ROOT.glob("webapp/usecases/*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            kinds = {ast.unparse(arg.annotation) for arg in node.args.args if arg.annotation}
            if ("Session" in kinds) != node.name.endswith("_in"):
                wrong.append(f"{path.name}: {node.name}")
    assert not wrong


@pytest.mark.parametrize("top", ["webapp", "domain"])
def test_no_circle_of_rooms(top: str) -> None:
    arrows: dict[str, set[str]] = defaultdict(set)
    for module, taken in imports().items():
        for target in taken:
            if module.startswith(top) and target.startswith(f"{top}.") and _place(module) != _place(target):
                arrows[_place(module)].add(_place(target))
    assert not list(_circles(arrows))


def _place(module: str) -> str:
    return ".".join(module.split(".")[:2])


def _circles(arrows: dict[str, set[str]]) -> Iterator[tuple[str, ...]]:
    """Every way back to where it began, found by walking from each room."""
    for start in arrows:
        ways: list[tuple[str, ...]] = [(start,)]
        seen: set[str] = set()
        while ways:
            way = ways.pop()
            for after in arrows.get(way[-1], ()):
                if after == start:
                    yield (*way, after)
                elif after not in seen:
                    seen.add(after)
                    ways.append((*way, after))


def test_no_circle_of_modules() -> None:
    arrows = {module: set(taken) for module, taken in imports().items()}
    assert not list(_circles(arrows))
