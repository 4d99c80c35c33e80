"""Faults of a module: operators turned, comparisons moved by their border, numbers one more."""

import ast
import copy
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
SWAPS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Lt: ast.LtE, ast.LtE: ast.Lt,
    ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
BODIES = ("body", "orelse", "finalbody", "handlers", "cases")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One change to one module: where it stands, the lines of its statement, what was done."""

    module: str
    index: int
    line: int
    lines: frozenset
    words: str

    @property
    def file(self):
        """Where the module lies."""
        return str(ROOT / self.module)

    def before(self):
        """The module as it is, compiled."""
        return compile(_tree(self.module), self.file, "exec")

    def after(self):
        """The changed module, compiled."""
        return compile(_changed(_tree(self.module), self.index)[0], self.file, "exec")


@cache
def _tree(module):
    return ast.parse((ROOT / module).read_text(encoding="utf-8"))


def faults(module):
    """Every fault of a module, in the order of its lines."""
    tree = _tree(module)
    nodes, lines = list(ast.walk(tree)), _statements(tree)
    found = []
    for index in places(tree):
        _, line, words = _changed(tree, index)
        found.append(Fault(module=module, index=index, line=line, lines=lines[id(nodes[index])], words=words))
    return sorted(found, key=lambda fault: (fault.line, fault.index))


def _statements(tree):
    """Lines of the statement that each node belongs to; of its head, where it has a body."""
    lines = {}
    for statement in (node for node in ast.walk(tree) if isinstance(node, ast.stmt)):  # outer ones first
        body = getattr(statement, "body", None)
        last = max(statement.lineno, body[0].lineno - 1) if body else statement.end_lineno
        span = frozenset(range(statement.lineno, last + 1))
        lines |= {id(node): span for part in _head(statement) for node in ast.walk(part)} | {id(statement): span}
    return lines


def _head(statement):
    parts = (part for name, part in ast.iter_fields(statement) if name not in BODIES)
    flat = (node for part in parts for node in (part if isinstance(part, list) else [part]))
    return [node for node in flat if isinstance(node, ast.AST)]


def places(tree):
    """Nodes that can be changed."""
    annotations = {id(inner) for node in ast.walk(tree) for part in _hints(node) for inner in ast.walk(part)}
    for index, node in enumerate(ast.walk(tree)):
        if id(node) in annotations:
            continue
        operator = getattr(node, "op", None) or (getattr(node, "ops", None) or [None])[0]
        number = isinstance(node, ast.Constant) and type(node.value) in (int, float)
        if type(operator) in SWAPS or number:
            yield index


def _hints(node):
    parts = (getattr(node, "annotation", None), getattr(node, "returns", None))
    return [part for part in parts if part is not None]


def _changed(tree, index):
    """The tree with the node at that place changed, its line, and what was done."""
    tree = copy.deepcopy(tree)
    node = list(ast.walk(tree))[index]
    before = ast.unparse(node)
    if isinstance(node, ast.Constant):
        node.value = node.value + 1
    elif isinstance(node, ast.Compare):
        node.ops[0] = SWAPS[type(node.ops[0])]()
    else:
        node.op = SWAPS[type(node.op)]()
    return tree, node.lineno, f"{before}  ->  {ast.unparse(node)}"
