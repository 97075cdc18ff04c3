"""The house in figures: rooms of the webapp, what imports what, and how large things are. ``make house``."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

ROOT = Path(__file__).parents[2]
FLOORS = [
    "wording",
    "drawings",
    "store",
    "papers",
    "usecases",
    "tables",
    "form",
    "site",
    "pages",
    "api",
    "app",
    "terminal",
]
"""The rooms of the webapp from the ground up: an arrow points down, or it runs back up."""
LONG_MODULE, LONG_FUNCTION = 400, 60


@dataclass(frozen=True)
class Module:
    """A module: its dotted name and its source."""

    name: str
    source: str

    @property
    def room(self) -> str:
        """The package or module at the top of its tree that it belongs to; "" for the tree's own ``__init__``."""
        return (self.name + ".").split(".")[1]

    @property
    def lines(self) -> int:
        return self.source.count("\n")

    @cached_property
    def nodes(self) -> tuple[ast.AST, ...]:
        return tuple(ast.walk(ast.parse(self.source)))

    def imported(self) -> Iterator[tuple[str, str]]:
        """The module and the name ("" for all of it) of each import, also of those within a function."""
        for node in self.nodes:
            if isinstance(node, ast.ImportFrom) and node.module:
                yield from ((node.module, alias.name) for alias in node.names)
            elif isinstance(node, ast.Import):
                yield from ((alias.name, "") for alias in node.names)

    def long_functions(self) -> list[str]:
        defined = (node for node in self.nodes if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))
        return [
            f"{self.name}.{node.name} ({lines})"
            for node in defined
            if (lines := (node.end_lineno or 0) - node.lineno + 1) > LONG_FUNCTION
        ]

    def uses_the_store(self) -> bool:
        """Whether it opens a session, or imports a function of the store (an error or a value is no function)."""
        opened = any(
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in {"reading", "writing"}
            for node in self.nodes
        )
        return opened or any(
            module.startswith("webapp.store") and name[:1].islower() and module != "webapp.store.errors"
            for module, name in self.imported()
        )


def modules(tree: str) -> dict[str, Module]:
    """The modules of the package ``tree``, by name."""
    found = {}
    for path in sorted((ROOT / tree).rglob("*.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found[name] = Module(name, path.read_text(encoding="utf-8"))
    return found


def arrows(house: dict[str, Module]) -> dict[str, set[str]]:
    """The modules of the house that each module imports."""
    return {
        name: {
            target
            for source, part in module.imported()
            if (target := f"{source}.{part}" if f"{source}.{part}" in house else source) in house
            and target != name
        }
        for name, module in house.items()
    }


def circles(graph: dict[str, set[str]]) -> set[frozenset[str]]:
    """The sets of modules of which each leads to every other."""
    reach = {name: _reached(name, graph) for name in graph}
    return {
        frozenset(other for other in reach[name] if name in reach[other]) for name in graph if name in reach[name]
    }


def _reached(start: str, graph: dict[str, set[str]]) -> set[str]:
    found: set[str] = set()
    waiting = list(graph[start])
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += graph[name]
    return found


def between_rooms(house: dict[str, Module], graph: dict[str, set[str]]) -> set[tuple[str, str]]:
    """The pairs of rooms of which the first imports the second."""
    pairs = {(house[source].room, house[target].room) for source, targets in graph.items() for target in targets}
    return {(source, target) for source, target in pairs if source and target and source != target}


def measures() -> list[tuple[str, int, list[str]]]:
    """Each measure's name, its figure, and what to look at."""
    house = modules("webapp")
    everything = [*house.values(), *modules("domain").values()]
    graph = arrows(house)
    rooms = {module.room for module in house.values()} - {""}
    upward = [
        f"{source} -> {target}"
        for source, target in sorted(between_rooms(house, graph))
        if not {source, target} <= set(FLOORS) or FLOORS.index(source) < FLOORS.index(target)
    ]
    round_and_round = [" = ".join(sorted(circle)) for circle in circles(graph)]
    storing = [module.name for module in house.values() if module.room == "pages" and module.uses_the_store()]
    importers = Counter(target for targets in graph.values() for target in targets)
    packages = {name.rpartition(".")[0] for name in house}
    alone = [name for name in house if importers[name] == 1 and name not in packages]
    long = [f"{module.name} ({module.lines})" for module in everything if module.lines > LONG_MODULE]
    functions = [name for module in everything for name in module.long_functions()]
    return [
        ("rooms at the top of webapp", len(rooms), []),
        ("arrows between rooms that run back up", len(upward), upward),
        ("circles of modules", len(round_and_round), round_and_round),
        ("page modules that open a session or import the store's functions", len(storing), storing),
        ("files of webapp", len(house), []),
        ("lines of webapp", sum(module.lines for module in house.values()), []),
        (f"modules over {LONG_MODULE} lines", len(long), long),
        (f"functions over {LONG_FUNCTION} lines", len(functions), functions),
        ("webapp modules with one importer", len(alone), []),
    ]


if __name__ == "__main__":
    for name, figure, places in measures():
        print(f"{figure:>7,}  {name}", *places, sep="\n           ")
