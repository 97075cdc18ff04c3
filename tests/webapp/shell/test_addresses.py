"""Every address is written once: by it a route answers, and by it a page leads there."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from jinja2 import nodes

from webapp.app import LATER
from webapp.pages.projects import home
from webapp.site import urls
from webapp.site.rendering import TEMPLATES, environment
from webapp.site.urls import Address

ROOT = Path(urls.__file__).parents[1]
ADDRESSES = {name: value for name, value in vars(urls).items() if isinstance(value, Address)}
OF_URLS = nodes.Name("urls", "load")
NO_ROUTE = {"static"}  # its files are mounted as a folder


def test_every_route_has_an_address_and_every_address_a_route() -> None:
    pages = [home, *(import_module(name) for name in LATER)]
    routes = {route.path for page in pages for route in page.router.routes if isinstance(route, APIRoute)}
    assert len(routes) > 80
    assert routes == {str(address) for name, address in ADDRESSES.items() if name not in NO_ROUTE}


def test_no_address_stands_twice() -> None:
    assert len(set(ADDRESSES.values())) == len(ADDRESSES)


def _modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(ROOT.rglob("*.py")):
        yield str(path.relative_to(ROOT)), ast.parse(path.read_text("utf-8"))


def _is_of_urls(node: ast.AST) -> bool:
    return isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "urls"


def test_no_route_is_declared_with_another_literal() -> None:
    declared = [
        (name, decorator.lineno, decorator.args[0])
        for name, tree in _modules()
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
        for decorator in function.decorator_list
        if isinstance(decorator, ast.Call)
        and isinstance(decorator.func, ast.Attribute)
        and decorator.func.attr in ("get", "post", "put", "patch", "delete", "api_route")
    ]
    assert len(declared) > 100
    assert [(name, line) for name, line, address in declared if not _is_of_urls(address)] == []


def test_no_other_module_writes_an_address() -> None:
    """A text that begins as one of ours does, before its first place."""
    begun = {address.partition("{")[0].rstrip("/") for address in ADDRESSES.values()} - {""}
    written = [
        (name, node.lineno, node.value)
        for name, tree in _modules()
        if name != "site/urls.py"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if node.value.rstrip("/") in begun or any(node.value.startswith(f"{one}/") for one in begun)
    ]
    assert written == []


def _calls_in_python() -> Iterator[tuple[str, int, str, int]]:
    for name, tree in _modules():
        for call in ast.walk(tree):
            if isinstance(call, ast.Call) and _is_of_urls(call.func):
                assert isinstance(call.func, ast.Attribute)
                if not any(isinstance(value, ast.Starred) for value in call.args):
                    yield name, call.lineno, call.func.attr, len(call.args)


def _calls_in_templates() -> Iterator[tuple[str, int, str, int]]:
    for name in environment().list_templates(filter_func=lambda name: name.endswith(".html")):
        tree = environment().parse((TEMPLATES / name).read_text("utf-8"))
        for call in tree.find_all(nodes.Call):
            address = call.node
            if isinstance(address, nodes.Getattr) and address.node == OF_URLS and call.dyn_args is None:
                yield name, call.lineno, address.attr, len(call.args)


def test_every_call_gives_what_the_address_takes() -> None:
    calls = [*_calls_in_python(), *_calls_in_templates()]
    assert len(calls) > 200
    wrong = [call for call in calls if call[2] in ADDRESSES and call[3] != len(ADDRESSES[call[2]].places)]
    assert wrong == []


def test_a_template_never_shows_an_address_unfilled() -> None:
    for name in environment().list_templates(filter_func=lambda name: name.endswith(".html")):
        tree = environment().parse((TEMPLATES / name).read_text("utf-8"))
        called = {id(call.node) for call in tree.find_all(nodes.Call)}
        bare = [
            (name, one.lineno, one.attr)
            for one in tree.find_all(nodes.Getattr)
            if one.node == OF_URLS and id(one) not in called
        ]
        assert bare == []


def test_values_are_quoted_and_what_is_empty_is_left_out() -> None:
    assert urls.project(3) == "/projects/3"
    assert urls.face(1, "A J/1?#") == "/projects/1/faces/A%20J%2F1%3F%23.svg"
    assert urls.static("a/b c.css") == "/static/a/b%20c.css"
    assert urls.revision(1, 2) == urls.revision(1, 2, against=None) == "/projects/1/revisions/2"
    assert urls.stockroom(show="") == "/stockroom"
    assert urls.new_order(project=()) == "/orders/new"
    assert urls.new_order(project=(3, 5)) == "/orders/new?project=3&project=5"
    assert urls.stock_item(7, before=20, at="ledger") == "/stockroom/items/7?before=20#ledger"
    assert urls.new_offer(2, item="a & b") == "/suppliers/2/offers?item=a+%26+b"
    assert urls.shop(4) == "/projects/4/shop"
    assert urls.shop_ticks(4, 5) == "/shop/ticks?project=4&project=5"


@pytest.mark.parametrize("values", [(), (1, 2)])
def test_a_value_too_many_or_too_few_is_an_error(values: tuple[int, ...]) -> None:
    with pytest.raises(TypeError, match="takes 1 values"):
        urls.project(*values)


def test_a_place_of_a_label_is_as_it_was_printed() -> None:
    assert (
        urls.parts_from("http://workshop.local:8123/", 3) == "http://workshop.local:8123/projects/3/schedule?part="
    )
