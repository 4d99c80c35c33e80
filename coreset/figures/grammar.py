"""The language of formulas: a small subset of Python, read into a syntax tree. Everything else is rejected by name.

Numbers, names, ``+ - * / **``, one comparison, ``a if c else b``, ``and``, ``or`` and the functions of `FUNCTIONS`.
"""

from __future__ import annotations

import ast
import keyword
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from coreset.errors import CoresetError

ELEMENTWISE = {"min": 0, "max": 0, "ceil": 1, "exp": 1, "log": 1}
"""Functions of single numbers with their count of arguments; 0 is two or more."""
SUMS = {"over_patterns": 1, "over_years": 1}
OVER_AXES = {
    "cumulative": 1,
    "before": 1,
    "last": 1,
    "highest": 1,
    "renewed": 2,
    "ahead": 2,
    "met": 3,
    "later_shares": 2,
    "timeline": 2,
    "npv": 2,
    "irr": 1,
}
FUNCTIONS = ELEMENTWISE | SUMS | OVER_AXES
BUILT_IN = {"year": "y", "period": "t", "years": "", "never": ""}
"""Names that every model has, with what they vary by: year 1 to N, timeline 0 to N, N, and a payback of never."""
PLAIN_NUMBERS = (0, 1, 2)
KEY = re.compile(r"[a-z][a-z0-9_]*")
LIKE_A_CELL = re.compile(r"[a-z]{1,3}[0-9]+|r|c|r[0-9]+c[0-9]+")
RESERVED = frozenset(FUNCTIONS) - {"npv", "irr"} | {"true", "false", "every"} | frozenset(BUILT_IN)
OPERATORS = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow)
COMPARISONS = (ast.Lt, ast.LtE, ast.Gt, ast.GtE, ast.Eq, ast.NotEq)


class FormulaError(CoresetError):
    """A declaration that cannot be used; the text begins with the key of the figure."""


def check_key(key: str) -> None:
    """Reject a key that is no plain name, looks like a cell of a sheet, or is a word of the language.

    Raises
    ------
    FormulaError
        With the key and what was expected.
    """
    if not KEY.fullmatch(key) or LIKE_A_CELL.fullmatch(key) or key in RESERVED or keyword.iskeyword(key):
        raise FormulaError(f"{key}: a key must be lower case, unlike a cell and no word of the language")


def parse(key: str, formula: str, kinds: Mapping[str, Sequence[str]], numbers: Sequence[float] = ()) -> ast.expr:
    """Read one formula.

    Parameters
    ----------
    key : str
        Key of the figure, for messages.
    formula : str
        The formula.
    kinds : mapping of str to sequence of str
        Keys of the figures of each kind, which `every("kind")` adds up.
    numbers : sequence of float
        Literals beside 0, 1 and 2 that the formula may hold.

    Returns
    -------
    ast.expr
        The tree, with `every` written out.

    Raises
    ------
    FormulaError
        If the formula holds anything that the language does not have.
    """
    try:
        tree = ast.parse(formula, mode="eval").body
    except SyntaxError as error:
        raise FormulaError(f"{key}: formula must be one expression, got {formula!r}") from error
    tree = _Every(key, kinds).visit(tree)
    _check(key, tree, (*PLAIN_NUMBERS, *numbers), inside_sum=False)
    return tree


class _Every(ast.NodeTransformer):
    """Writes `every("kind")` out as the sum of the figures of that kind, in order of declaration."""

    def __init__(self, key: str, kinds: Mapping[str, Sequence[str]]) -> None:
        self.key, self.kinds = key, kinds

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        if not (isinstance(node.func, ast.Name) and node.func.id == "every"):
            return node
        kind = node.args[0].value if len(node.args) == 1 and isinstance(node.args[0], ast.Constant) else None
        if not isinstance(kind, str) or kind not in self.kinds:
            raise FormulaError(f"{self.key}: every must name a kind of figure, got {ast.unparse(node)}")
        names = [ast.Name(id=name) for name in self.kinds[kind]]
        total: ast.expr = names[0]
        for name in names[1:]:
            total = ast.BinOp(left=total, op=ast.Add(), right=name)
        return total


def _check(key: str, node: ast.AST, numbers: Sequence[float], *, inside_sum: bool) -> None:
    """Walk the tree and reject what the language does not have."""
    allowed: dict[type, Callable[[Any], bool]] = {
        ast.Name: lambda n: True,
        ast.Constant: lambda n: type(n.value) in {int, float} and n.value in numbers,
        ast.BinOp: lambda n: isinstance(n.op, OPERATORS),
        ast.UnaryOp: lambda n: isinstance(n.op, ast.USub),
        ast.Compare: lambda n: len(n.ops) == 1 and isinstance(n.ops[0], COMPARISONS),
        ast.IfExp: lambda n: not inside_sum,
        ast.BoolOp: lambda n: not inside_sum,
        ast.Call: lambda n: not inside_sum and _known_call(n),
    }
    rule = allowed.get(type(node))
    if rule is None or not rule(node):
        where = " inside a sum" if inside_sum else ""
        raise FormulaError(f"{key}: the language of formulas has no {ast.unparse(node)!r}{where}")
    for child in parts(node):
        within = inside_sum or (isinstance(node, ast.Call) and function_name(node) in SUMS)
        _check(key, child, numbers, inside_sum=within)


def _known_call(node: ast.Call) -> bool:
    if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS or node.keywords:
        return False
    count = FUNCTIONS[node.func.id]
    return len(node.args) == count if count else len(node.args) >= 2


def function_name(node: ast.Call) -> str:
    """Name of the function that a call in a checked formula calls."""
    if not isinstance(node.func, ast.Name):
        raise FormulaError(f"the language of formulas has no {ast.unparse(node)!r}")
    return node.func.id


def name_of(node: ast.expr) -> str:
    """The key that an argument is, where only a single key can stand."""
    if not isinstance(node, ast.Name):
        raise FormulaError(f"a single key must stand here, got {ast.unparse(node)!r}")
    return node.id


def literal(node: ast.Constant) -> float:
    """The number that a literal in a checked formula is."""
    if not isinstance(node.value, int | float):
        raise FormulaError(f"a literal must be a number, got {node.value!r}")
    return node.value


def call(node: ast.expr) -> ast.Call:
    """The node as a call, which every expression without another form of its own is in a checked formula."""
    if not isinstance(node, ast.Call):
        raise FormulaError(f"the language of formulas has no {ast.unparse(node)!r}")
    return node


def comparison(node: ast.expr) -> ast.Compare:
    """The node as a comparison, which a condition without `and` or `or` is in a checked formula."""
    if not isinstance(node, ast.Compare):
        raise FormulaError(f"a condition must be a comparison, got {ast.unparse(node)!r}")
    return node


def parts(node: ast.AST) -> list[ast.expr]:
    """The expressions directly within an expression, a function's name left out."""
    if isinstance(node, ast.Call):
        return list(node.args)
    return [child for child in ast.iter_child_nodes(node) if isinstance(child, ast.expr)]


def names(node: ast.AST) -> list[str]:
    """Keys that a formula mentions, each once, in order of mention."""
    found = {node.id: None} if isinstance(node, ast.Name) else {}
    for child in parts(node):
        found |= dict.fromkeys(names(child))
    return list(found)
