"""The faults that can be put into a module: one operator, figure, condition or refusal changed at a time.

Decorators, annotations, ``Annotated`` bounds and texts are left alone: most of what they say changes no result.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
}
JOINED: dict[type[ast.boolop], type[ast.boolop]] = {ast.And: ast.Or, ast.Or: ast.And}
EXCHANGED = {"min": "max", "max": "min", "any": "all", "all": "any"}
_TEXT = (ast.JoinedStr, ast.List, ast.Tuple)


@dataclass(frozen=True)
class Fault:
    """One change of a module: at which line, what stood there, what stands there now, the whole new source."""

    line: int
    before: str
    after: str
    source: str


def faults_in(source: str) -> tuple[Fault, ...]:
    """Every fault that can be put into this source, in the order of its lines."""
    lines = source.encode().splitlines(keepends=True)
    found = [
        _fault(lines, node, changed)
        for node in _changeable(ast.parse(source))
        for changed in _changes_of(node)
        if isinstance(node, (ast.expr, ast.stmt))
    ]
    return tuple(sorted(found, key=lambda fault: fault.line))


def _changeable(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes whose change can change a result."""
    yield tree
    for name, value in ast.iter_fields(tree):
        if name in {"decorator_list", "annotation", "returns"}:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not _changes_nothing(child):
                yield from _changeable(child)


def _changes_nothing(node: ast.AST) -> bool:
    if isinstance(node, ast.JoinedStr):
        return True
    if isinstance(node, ast.If):
        return ast.unparse(node.test) == "TYPE_CHECKING"
    return isinstance(node, ast.Subscript) and ast.unparse(node.value) in {"Annotated", "Literal"}


def _changes_of(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in the node's place."""
    match node:
        case ast.Compare(left, operators, others):
            for at, operator in enumerate(operators):
                other = COMPARED[type(operator)]()
                yield ast.Compare(left, [*operators[:at], other, *operators[at + 1 :]], others)
        case ast.BinOp(left, operator, right) if type(operator) in RECKONED and not _joins_text(left, right):
            yield ast.BinOp(left, RECKONED[type(operator)](), right)
        case ast.BoolOp(operator, values):
            yield ast.BoolOp(JOINED[type(operator)](), values)
        case ast.UnaryOp(ast.Not(), operand):
            yield operand
        case ast.UnaryOp(ast.USub(), operand):
            yield operand
        case ast.IfExp(test, body, orelse):
            yield ast.IfExp(test, orelse, body)
        case ast.Call(ast.Name(name), arguments, keywords) if name in EXCHANGED:
            yield ast.Call(ast.Name(EXCHANGED[name]), arguments, keywords)
        case ast.Constant(bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(int() | float() as value):
            yield ast.Constant(value + 1)
        case ast.Raise() | ast.Continue():
            yield ast.Pass()


def _joins_text(*operands: ast.expr) -> bool:
    """Whether lists or texts are joined: another operator there would fail at once, and show nothing."""
    return any(
        isinstance(operand, _TEXT) or (isinstance(operand, ast.Constant) and isinstance(operand.value, str))
        for operand in operands
    )


def _fault(lines: list[bytes], node: ast.expr | ast.stmt, changed: ast.AST) -> Fault:
    """The source with ``changed`` in the node's place; columns of the syntax tree count bytes."""
    assert node.end_lineno is not None
    assert node.end_col_offset is not None
    first, last = node.lineno - 1, node.end_lineno - 1
    new = ast.unparse(ast.fix_missing_locations(changed))
    placed = new if isinstance(node, ast.stmt) else f"({new})"
    head, tail = lines[first][: node.col_offset], lines[last][node.end_col_offset :]
    whole = [*lines[:first], head + placed.encode() + tail, *lines[last + 1 :]]
    return Fault(node.lineno, ast.unparse(node), new, b"".join(whole).decode())
