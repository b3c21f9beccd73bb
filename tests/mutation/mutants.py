"""Small slips, one at a time, in the code of the lower floors: what a slip of the hand would do.

A slip is a comparison, a sign, a number, a truth or a condition that is other than it was. Text,
annotations and docstrings are left alone: changing them is no fault that a test should find. So
is the -1 of ``reshape(-1, 2)``: numpy reads -2 there as it reads -1, so that nothing would change;
and so are ``assert`` and the ``strict`` of zip, which never speak up in code that is right.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass
from pathlib import Path

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE,
}  # fmt: skip
_COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
_NAMES = {
    "min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil",
    "minimum": "maximum", "maximum": "minimum", "argmin": "argmax", "argmax": "argmin",
    "cos": "sin", "sin": "cos",
}  # fmt: skip


@dataclass(frozen=True)
class Slip:
    """One slip: the file, which node of its syntax tree, which of the ways, and where it is."""

    path: Path
    node: int
    way: int
    line: int
    what: str

    @property
    def module(self) -> str:
        """``"quiltpath.routing.euler_trail"``."""
        parts = self.path.with_suffix("").parts
        inside = parts[len(parts) - 1 - parts[::-1].index("quiltpath") :]
        return ".".join(part for part in inside if part != "__init__")

    def source(self) -> str:
        """The whole text of the file with the slip in it."""
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        slipping = _Slipping(self.node, self.way)
        return ast.unparse(ast.fix_missing_locations(slipping.visit(tree)))


def slips(path: Path) -> list[Slip]:
    """Every slip that there is in one file, in the order of the tree."""
    looking = _Slipping(-1, 0)
    looking.visit(ast.parse(path.read_text(encoding="utf-8")))
    return [Slip(path, *found) for found in looking.found]


class _Slipping(ast.NodeTransformer):
    """Numbers the nodes that can slip and changes the one that is asked for."""

    def __init__(self, node: int, way: int) -> None:
        self.node, self.way = node, way
        self.number = 0
        self.alike: set[int] = set()
        self.found: list[tuple[int, int, int, str]] = []

    def visit(self, node: ast.AST) -> ast.AST:
        if isinstance(node, ast.AnnAssign):
            # The annotation is left alone, the value is not.
            node.value = self.visit(node.value) if node.value else None
            return node
        if isinstance(node, ast.arguments):
            node.defaults = [self.visit(default) for default in node.defaults]
            node.kw_defaults = [default and self.visit(default) for default in node.kw_defaults]
            return node
        if isinstance(node, ast.FunctionDef):
            node.args = self.visit(node.args)
            node.body = [self.visit(statement) for statement in node.body]
            return node
        if _is_text(node) or id(node) in self.alike:
            return node
        self.alike |= {id(one) for one in _rest_of_shape(node)}
        node = self.generic_visit(node)
        ways = _ways(node)
        for way, (what, _) in enumerate(ways):
            self.found.append((self.number, way, getattr(node, "lineno", 0), what))
        self.number += 1
        return ways[self.way][1] if self.number - 1 == self.node else node


def _is_text(node: ast.AST) -> bool:
    """Docstrings, written text, names of types and what only a type checker reads."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name):
        return node.value.id in {"Literal", "Annotated", "NDArray", "Mapping", "Sequence"}
    if isinstance(node, ast.keyword) and node.arg == "strict":
        return True
    return isinstance(node, ast.Raise | ast.Assert | ast.ImportFrom | ast.JoinedStr)


def _rest_of_shape(node: ast.AST) -> list[ast.expr]:
    """The 1 of each -1 in a call of reshape; without its sign it still is a slip."""
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
        return []
    if node.func.attr != "reshape":
        return []
    return [each.operand for each in node.args if isinstance(each, ast.UnaryOp)]


def _ways(node: ast.AST) -> list[tuple[str, ast.AST]]:
    """What a node can turn into, with words for each."""
    if isinstance(node, ast.Compare):
        return _compared(node)
    if isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in _COUNTED:
        other = _COUNTED[type(node.op)]()
        return [(f"{_word(node.op)} to {_word(other)}", _with(node, op=other))]
    if isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        return [(f"{_word(node.op)} to {_word(other)}", _with(node, op=other))]
    if isinstance(node, ast.UnaryOp):
        return [(f"without {_word(node.op)}", node.operand)]
    if isinstance(node, ast.IfExp):
        return [("branches swapped", _with(node, body=node.orelse, orelse=node.body))]
    if isinstance(node, ast.If | ast.While) and not isinstance(node.test, ast.Compare):
        return [("condition denied", _with(node, test=ast.UnaryOp(ast.Not(), node.test)))]
    if isinstance(node, ast.Constant):
        return _constant(node)
    return _named(node)


def _compared(node: ast.Compare) -> list[tuple[str, ast.AST]]:
    operator = node.ops[0]
    found = []
    for table in (_COMPARED, _REVERSED):
        if type(operator) in table:
            other = table[type(operator)]()
            words = f"{_word(operator)} to {_word(other)}"
            found.append((words, _with(node, ops=[other, *node.ops[1:]])))
    return found


def _constant(node: ast.Constant) -> list[tuple[str, ast.AST]]:
    if isinstance(node.value, bool):
        return [(f"{node.value} to {not node.value}", ast.Constant(not node.value))]
    if isinstance(node.value, int | float):
        return [(f"{node.value} to {node.value + 1}", ast.Constant(node.value + 1))]
    return []


def _named(node: ast.AST) -> list[tuple[str, ast.AST]]:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute):
        function = node.func
        name = function.id if isinstance(function, ast.Name) else function.attr
        if name in _NAMES:
            field = "id" if isinstance(function, ast.Name) else "attr"
            other = _with(function, **{field: _NAMES[name]})
            return [(f"{name} to {_NAMES[name]}", _with(node, func=other))]
    return []


def _with(node: ast.AST, **changes: object) -> ast.AST:
    fields = {name: getattr(node, name) for name in node._fields}
    return ast.copy_location(type(node)(**{**fields, **changes}), node)


def _word(operator: ast.AST) -> str:
    return type(operator).__name__
