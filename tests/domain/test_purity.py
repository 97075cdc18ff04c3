"""The domain is the trade and nothing else: no files, no clock, no chance, no web, no database."""

from __future__ import annotations

import ast
import doctest
import importlib
import pkgutil
import sys
from pathlib import Path

import pytest

import domain

ROOT = Path(domain.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))
MODULES = sorted(info.name for info in pkgutil.walk_packages(domain.__path__, "domain."))

OUTSIDE = {"pydantic", "pydantic_core", "annotated_types", "highspy", "numpy", "domain"}
WORLDLY_NAMES = """
    asyncio builtins ctypes fileinput glob http importlib io locale logging mmap multiprocessing
    os pathlib pickle platform random secrets select shelve shutil signal socket sqlite3 ssl subprocess
    sys tempfile threading time urllib uuid zoneinfo
"""
WORLDLY = {*WORLDLY_NAMES.split()}
ALLOWED = (sys.stdlib_module_names | OUTSIDE) - WORLDLY
FORBIDDEN_CALLS = {"open", "input", "print", "exec", "eval", "compile", "__import__", "breakpoint", "globals"}
FORBIDDEN_METHODS = {"now", "utcnow", "today", "read_text", "write_text", "environ", "getenv"}


def imported(tree: ast.AST) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out in full"
            names.add((node.module or "").split(".")[0])
    return names


def worldly_doings(tree: ast.AST) -> set[str]:
    calls = {
        node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    methods = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    return calls & FORBIDDEN_CALLS | methods & FORBIDDEN_METHODS


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_domain_touches_nothing_but_itself(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert imported(tree) <= ALLOWED
    assert worldly_doings(tree) == set()


@pytest.mark.parametrize(
    "source",
    [
        "import sqlite3",
        "from os import path",
        "import time as t",
        "from random import choice",
        "import fastapi",
    ],
)
def test_the_check_would_notice_a_worldly_import(source: str) -> None:
    assert not imported(ast.parse(source)) <= ALLOWED


@pytest.mark.parametrize(
    "source", ["open('x')", "datetime.now()", "date.today()", "Path('x').read_text()", "os.environ['x']"]
)
def test_the_check_would_notice_a_worldly_call(source: str) -> None:
    assert worldly_doings(ast.parse(source))


#: packages of the domain in the order of the one-way flow; each may use itself and what stands before it
FLOW = [
    "lengths",
    "sayings",
    "problem_codes",
    "problems",
    "bounds",
    "reading",
    "intervals",
    "timber",
    "spec",
    "notes",
    "proposals",
    "faces",
    "parts",
    "assemblies",
    "space",
    "planning",
    "trials",
    "moving",
    "takeoff",
    "advice",
    "assembling",
    "machine",
    "setting_out",
    "ordering",
    "cutting",
    "cut_list",
    "quoting",
    "measuring",
    "project_file",
]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_flow_inside_the_domain_is_one_way(path: Path) -> None:
    room = path.relative_to(ROOT).parts[0].removesuffix(".py")
    if room == "__init__":
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("domain."):
            used = str(node.module).split(".")[1]
            assert FLOW.index(used) <= FLOW.index(room), f"{room} may not know {used}"


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    outcome = doctest.testmod(importlib.import_module(name), raise_on_error=False)
    assert outcome.failed == 0
