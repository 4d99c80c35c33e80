"""Formulas as one straight-line function of numpy arrays, made from the syntax trees of a model."""

from __future__ import annotations

import ast
from collections.abc import Callable, Collection, Sequence
from functools import lru_cache
from types import CodeType, FunctionType

import numpy as np
from numpy.typing import NDArray

from coreset.figures import functions
from coreset.figures.grammar import OVER_AXES, SUMS, function_name, name_of, names
from coreset.figures.model import Model

Array = NDArray[np.float64]
OF_ZERO: dict[str, tuple[int, ...]] = dict.fromkeys(
    ("over_patterns", "over_years", "cumulative", "before", "last", "highest", "ahead"), (0,)
)
OF_ZERO |= dict.fromkeys(("renewed", "met", "later_shares"), (0, 1))
"""Functions that are 0 where one of these arguments is, counted from 0."""
ZERO = "f_zero"
WITH_LENGTH = {"over_years", "cumulative", "before", "renewed", "later_shares", "timeline"}
NAMED = {"min": "minimum", "max": "maximum", "ceil": "ceil", "exp": "exp", "log": "log"}
GLOBALS = {f"np_{name}": getattr(np, name) for name in (*NAMED.values(), "where")}
GLOBALS |= {f"f_{name}": getattr(functions, name) for name in (*SUMS, *OVER_AXES)}
GLOBALS[ZERO] = np.zeros((1, 1, 1))


class _Zeros(ast.NodeTransformer):
    """Leaves out of a formula what is 0 because names in it are."""

    def __init__(self, zero: Collection[str]) -> None:
        self.zero = zero

    def visit_Name(self, node: ast.Name) -> ast.AST:
        return ast.Name(id=ZERO) if node.id in self.zero else node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        return node.operand if _is_zero(node.operand) else node

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        return node.body if _is_zero(node.body) and _is_zero(node.orelse) else node

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        left, right = _is_zero(node.left), _is_zero(node.right)
        if isinstance(node.op, ast.Mult) and (left or right) or isinstance(node.op, ast.Div) and left:
            return ast.Name(id=ZERO)
        if isinstance(node.op, ast.Add | ast.Sub) and right:
            return node.left
        if isinstance(node.op, ast.Add) and left:
            return node.right
        return ast.UnaryOp(op=ast.USub(), operand=node.right) if isinstance(node.op, ast.Sub) and left else node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        ranked = node.args[1:] if function_name(node) == "ahead" else []
        node.args = [self.visit(each) for each in node.args[: len(node.args) - len(ranked)]] + ranked
        return ast.Name(id=ZERO) if any(_is_zero(node.args[k]) for k in OF_ZERO.get(function_name(node), ())) else node


def _is_zero(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value == 0 or isinstance(node, ast.Name) and node.id == ZERO


class _Numpy(ast.NodeTransformer):
    """Turns the tree of a formula into the tree of a numpy expression."""

    def __init__(self, model: Model) -> None:
        self.model = model

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        return _call("np_where", *(self.visit(part) for part in (node.test, node.body, node.orelse)))

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        operator = ast.BitAnd() if isinstance(node.op, ast.And) else ast.BitOr()
        found = self.visit(node.values[0])
        for value in node.values[1:]:
            found = ast.BinOp(left=found, op=operator, right=self.visit(value))
        return found

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        product = isinstance(node.op, ast.Mult)
        left, right = (self._number(side, product) for side in (node.left, node.right))
        return ast.BinOp(left=left, op=node.op, right=right)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        return ast.UnaryOp(op=node.op, operand=self._number(node.operand, False))

    def _number(self, node: ast.expr, product: bool) -> ast.expr:
        """A comparison counts as 1 or 0 where it is added, subtracted or raised."""
        found: ast.expr = self.visit(node)
        if isinstance(node, ast.Compare) and not product:
            return ast.BinOp(left=found, op=ast.Mult(), right=ast.Constant(1.0))
        return found

    def visit_Call(self, node: ast.Call) -> ast.AST:
        name = function_name(node)
        if name in NAMED:
            values = [self.visit(each) for each in node.args]
            found = values[0] if len(values) > 1 else _call(f"np_{NAMED[name]}", *values)
            for value in values[1:]:
                found = _call(f"np_{NAMED[name]}", found, value)
            return found
        if name == "ahead":
            order = ast.Subscript(value=ast.Name(id="_order"), slice=ast.Constant(name_of(node.args[1])))
            return _call("f_ahead", self.visit(node.args[0]), order)
        values = [self.visit(each) for each in node.args]
        if name == "over_patterns":
            values.append(ast.Name(id="_patterns"))
        if name in WITH_LENGTH:
            values.append(ast.Name(id="_times" if self._on_timeline(node) else "_years"))
        return _call(f"f_{name}", *values)

    def _on_timeline(self, node: ast.Call) -> bool:
        return function_name(node) != "timeline" and any(
            "t" in self.model.axes.get(name, ()) for name in names(node.args[0])
        )


def _call(name: str, *values: ast.expr) -> ast.Call:
    return ast.Call(func=ast.Name(id=name), args=list(values), keywords=[])


def source(model: Model, targets: Sequence[str], known: Collection[str] = (), zero: Collection[str] = ()) -> str:
    """The function of some targets as text: inputs and known figures by name in, targets by name out.

    Each figure is one assignment. What is 0 because inputs in `zero` are is left out, and what is not needed any more
    is dropped at once, which keeps memory small.

    Parameters
    ----------
    model : Model
        The declarations.
    targets : sequence of str
        Keys of the figures that are returned.
    known : collection of str
        Figures whose values are given.
    zero : collection of str
        Inputs that are 0 in every run.
    """
    trees = _simplified(model, model.needed(targets, known), zero, targets)
    mentioned = {key: sorted(names(tree)) for key, tree in trees.items()}
    last_use = {name: key for key, each in mentioned.items() for name in each}
    used = sorted({name for each in mentioned.values() for name in each} | set(targets))
    used = [name for name in used if name != ZERO]
    lines = [f"    {name} = _inputs[{name!r}]" for name in used if name not in trees]
    for key, tree in trees.items():
        found = _Numpy(model).visit(tree)
        lines.append(f"    {key} = {ast.unparse(ast.fix_missing_locations(found))}")
        done = [n for n in mentioned[key] if last_use[n] == key and n not in (*targets, ZERO)]
        lines += [f"    del {', '.join(done)}"] if done else []
    result = ", ".join(f"{name!r}: {name}" for name in targets)
    return "\n".join(
        ["def formulas(_inputs, _patterns, _years, _times, _order):", *lines, f"    return {{{result}}}", ""]
    )


def _simplified(
    model: Model, figures: Sequence[str], zero: Collection[str], targets: Sequence[str]
) -> dict[str, ast.expr]:
    """Formulas without what is 0, and only those that the targets still rest on, in order."""
    zero, trees = set(zero), {}
    for key in figures:
        copy = ast.parse(ast.unparse(model.trees[key]), mode="eval").body
        trees[key] = _Zeros(zero).visit(copy)
        if _is_zero(trees[key]):
            zero.add(key)
    live = set(targets)
    for key in reversed(figures):
        if key in live:
            live |= set(names(trees[key]))
    return {key: tree for key, tree in trees.items() if key in live}


@lru_cache(maxsize=256)
def compiled(
    model: Model, targets: tuple[str, ...], known: frozenset[str] = frozenset(), zero: frozenset[str] = frozenset()
) -> Callable[..., dict[str, Array]]:
    """The function of some targets, made once.

    Parameters
    ----------
    model : Model
        The declarations.
    targets : tuple of str
        Keys of the figures that are returned.
    known : frozenset of str
        Figures whose values are given.
    zero : frozenset of str
        Inputs that are 0 in every run.
    """
    code = compile(source(model, targets, known, zero), "<formulas>", "exec")
    function = next(each for each in code.co_consts if isinstance(each, CodeType))
    return FunctionType(function, GLOBALS)
