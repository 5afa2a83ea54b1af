"""What is changed in a module, one thing at a time: thresholds, comparisons, signs, neighbours."""

from __future__ import annotations

import ast
import builtins
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass

SMALLEST = 1e-5
"""Numbers below guard against rounding; they are no thresholds."""
STEP = 0.1
"""By how much of itself a number with a point is changed."""

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
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
PAIRS = (
    ("min", "max"),
    ("minimum", "maximum"),
    ("fmin", "fmax"),
    ("argmin", "argmax"),
    ("any", "all"),
    ("logical_and", "logical_or"),
    ("floor", "ceil"),
    ("mean", "median"),
    ("start", "stop"),
    ("first", "last"),
    ("before", "after"),
    ("below", "above"),
    ("low", "high"),
    ("lowest", "highest"),
    ("shortest", "longest"),
    ("front", "rear"),
    ("left", "right"),
    ("here", "there"),
    ("outer", "inner"),
    ("baseline", "candidate"),
)
NEIGHBOURS = {one: other for pair in PAIRS for one, other in (pair, pair[::-1])}
WORDS = {"note": "warning", "warning": "error", "error": "warning", "left": "right", "right": "left"}
BUILT_IN = frozenset(dir(builtins))
MESSAGES = (ast.JoinedStr, ast.Raise, ast.Import, ast.ImportFrom)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One change: where, from what to what, and the module's text with it."""

    line: int
    source: str
    change: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What may be changed, with the names known there and whether it stands outside any function."""

    node: ast.expr | ast.stmt
    names: frozenset[str]
    top: bool


def mutants_of(text: str) -> Iterator[Mutant]:
    """Yield every mutant of a module, in the order of its lines.

    Messages, docstrings, types and decorators stay as they are.
    """
    lines = text.splitlines(keepends=True)
    places = list(_places(ast.parse(text), frozenset(), top=True))
    for place in sorted(places, key=lambda place: (place.node.lineno, place.node.col_offset)):
        for new in CHANGES[type(place.node)](place.node, place):
            words = ast.unparse(new)
            yield Mutant(
                line=place.node.lineno,
                source=lines[place.node.lineno - 1].strip(),
                change=f"{ast.unparse(place.node)} -> {words}",
                text=_spliced(lines, place.node, f"({words})" if isinstance(new, ast.expr) else words),
            )


def _spliced(lines: list[str], node: ast.expr | ast.stmt, new: str) -> str:
    assert node.end_lineno is not None
    assert node.end_col_offset is not None
    head = lines[node.lineno - 1].encode()[: node.col_offset].decode()
    tail = lines[node.end_lineno - 1].encode()[node.end_col_offset :].decode()
    return "".join([*lines[: node.lineno - 1], head, new, tail, *lines[node.end_lineno :]])


def _names_in(node: ast.AST) -> frozenset[str]:
    return frozenset(
        found.id if isinstance(found, ast.Name) else found.arg
        for found in ast.walk(node)
        if isinstance(found, (ast.Name, ast.arg))
    )


def _places(node: ast.AST, names: frozenset[str], *, top: bool) -> Iterator[Place]:
    """Yield what may be changed, with the names known there and whether it stands outside any function."""
    if isinstance(node, MESSAGES) or _leads_nowhere(node):
        return
    if type(node) in CHANGES:
        yield Place(node=node, names=names, top=top)  # type: ignore[arg-type]
    if isinstance(node, (ast.FunctionDef, ast.Lambda)):
        names, top = names | _names_in(node), False
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _places(child, names, top=top)


def _leads_nowhere(node: ast.AST) -> bool:
    """Tell a docstring, the axis of an array, and a place in a shape: changed, they say nothing or break at once."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.keyword):
        return node.arg in ("axis", "keepdims")
    return isinstance(node, ast.Subscript) and isinstance(node.value, ast.Attribute) and node.value.attr == "shape"


def _constant(node: ast.Constant, place: Place) -> Iterator[ast.AST]:
    """Yield other values: of a named constant both up and down, of another up only."""
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield from map(ast.Constant, [value + 1, *([value - 1] if place.top and value > 0 else [])])
    elif isinstance(value, float) and abs(value) > SMALLEST:
        changed = [value * (1 + STEP), *([value * (1 - STEP)] if place.top else [])]
        yield from (ast.Constant(float(f"{other:.6g}")) for other in changed)
    elif value in WORDS:
        yield ast.Constant(WORDS[value])


def _compare(node: ast.Compare, _: Place) -> Iterator[ast.AST]:
    for place, sign in enumerate(node.ops):
        yield _with(node, ops=[*node.ops[:place], COMPARED[type(sign)](), *node.ops[place + 1 :]])


def _either(node: ast.BoolOp, _: Place) -> Iterator[ast.AST]:
    yield _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())


def _counted(node: ast.BinOp, _: Place) -> Iterator[ast.AST]:
    if type(node.op) in COUNTED:
        yield _with(node, op=COUNTED[type(node.op)]())


def _turned(node: ast.UnaryOp, _: Place) -> Iterator[ast.AST]:
    if not isinstance(node.operand, (ast.Constant, ast.Compare)):
        yield node.operand


def _chosen(node: ast.IfExp, _: Place) -> Iterator[ast.AST]:
    yield _with(node, body=node.orelse, orelse=node.body)


def _named(node: ast.Name, place: Place) -> Iterator[ast.AST]:
    if isinstance(node.ctx, ast.Load) and NEIGHBOURS.get(node.id) in place.names | BUILT_IN:
        yield _with(node, id=NEIGHBOURS[node.id])


def _belonging(node: ast.Attribute, _: Place) -> Iterator[ast.AST]:
    of_arrays = node.attr in ("mean", "median") and not (isinstance(node.value, ast.Name) and node.value.id == "np")
    if isinstance(node.ctx, ast.Load) and node.attr in NEIGHBOURS and not of_arrays:
        yield _with(node, attr=NEIGHBOURS[node.attr])


def _called(node: ast.Call, _: Place) -> Iterator[ast.AST]:
    name = getattr(node.func, "attr", getattr(node.func, "id", ""))
    if name in ("abs", "sqrt") and len(node.args) == 1:
        yield node.args[0]


def _broken(_: ast.Break, __: Place) -> Iterator[ast.AST]:
    yield ast.Continue()


def _continued(_: ast.Continue, __: Place) -> Iterator[ast.AST]:
    yield ast.Break()


CHANGES: dict[type[ast.AST], Callable[..., Iterator[ast.AST]]] = {
    ast.Constant: _constant,
    ast.Compare: _compare,
    ast.BoolOp: _either,
    ast.BinOp: _counted,
    ast.UnaryOp: _turned,
    ast.IfExp: _chosen,
    ast.Name: _named,
    ast.Attribute: _belonging,
    ast.Call: _called,
    ast.Break: _broken,
    ast.Continue: _continued,
}


def _with(node: ast.AST, **fields: object) -> ast.AST:
    new = copy.copy(node)
    for name, value in fields.items():
        setattr(new, name, value)
    return new
