"""A page's dataclass and its template know each other: every name used is a field, every field is used."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import fields
from importlib import import_module
from pathlib import Path

import pytest
from jinja2 import meta, nodes

import webapp
from webapp.site.rendering import TEMPLATES, environment

GIVEN = {"demo", "device", "request", "trouble", "units"}
WEBAPP = Path(str(webapp.__file__)).parent


def renders() -> Iterator[tuple[str, str, str]]:
    """Every page, and what hands it to its template: module, template, class. There is none without."""
    for path in sorted((*WEBAPP.glob("pages/**/*.py"), *WEBAPP.glob("site/*.py"))):
        module = ".".join(("webapp", *path.relative_to(WEBAPP).with_suffix("").parts))
        for call in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "render":
                template, context = call.args[1:3]
                assert isinstance(template, ast.Constant), f"{module}: name the template where it is rendered"
                assert isinstance(context, ast.Call), f"{module}: make the dataclass where it is rendered"
                assert isinstance(context.func, ast.Name)
                yield module, str(template.value), context.func.id


def names_of(template: str) -> set[str]:
    """The names that a template needs, with those of what it extends and includes."""
    tree = environment().parse((TEMPLATES / template).read_text("utf-8"))
    found = meta.find_undeclared_variables(tree) - set(_own(tree))
    made = {name.name for name in tree.find_all(nodes.Name) if name.ctx in {"store", "param"}}
    others: list[nodes.Include | nodes.Extends] = [*tree.find_all(nodes.Include), *tree.find_all(nodes.Extends)]
    for other in others:
        assert isinstance(other.template, nodes.Const), f"{template}: name what is included"
        found |= names_of(other.template.value) - made
    return found - set(environment().globals)


def _own(tree: nodes.Template) -> Iterator[str]:
    """What a template imports, sets or defines itself: its blocks see it, though jinja's finder does not."""
    yield from (macro.name for macro in tree.find_all(nodes.Macro))
    for imported in tree.find_all(nodes.FromImport):
        yield from (name if isinstance(name, str) else name[1] for name in imported.names)
    for made in tree.find_all(nodes.Assign):
        yield from (name.name for name in made.target.find_all(nodes.Name))
        if isinstance(made.target, nodes.Name):
            yield made.target.name


ALL = sorted(set(renders()))


@pytest.mark.parametrize(("module", "template", "context"), ALL, ids=[template for _, template, _ in ALL])
def test_template_and_dataclass_have_the_same_names(module: str, template: str, context: str) -> None:
    there = {each.name for each in fields(getattr(import_module(module), context))}
    assert names_of(template) - GIVEN == there
