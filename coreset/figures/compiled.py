"""Formulas as one straight-line function of numpy arrays, made from the syntax trees of a model."""

from __future__ import annotations

import ast
from collections.abc import Callable, Sequence
from functools import lru_cache
from types import CodeType, FunctionType

import numpy as np
from numpy.typing import NDArray

from coreset.figures import functions
from coreset.figures.grammar import OVER_AXES, SUMS, function_name, name_of, names
from coreset.figures.model import Model
from coreset.figures.plainer import LITERAL, MEAN, NOTHING, ONE, ZERO, Known, grouped, live, mean_of, simplified

Array = NDArray[np.float64]
WITH_LENGTH = {"over_years", "cumulative", "before", "renewed", "later_shares", "timeline"}
NAMED = {"min": "minimum", "max": "maximum", "ceil": "ceil", "exp": "exp", "log": "log"}
GLOBALS = {f"np_{name}": getattr(np, name) for name in (*NAMED.values(), "where")}
GLOBALS |= {f"f_{name}": getattr(functions, name) for name in (*SUMS, *OVER_AXES, "mean", "alike")}
GLOBALS |= {ZERO: np.zeros((1, 1, 1)), ONE: np.ones((1, 1, 1))}


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


def source(model: Model, targets: Sequence[str], known: Known = NOTHING, means: Sequence[str] = ()) -> str:
    """The function of some targets as text: inputs and known figures by name in, targets by name out.

    Each figure is one assignment. What is 0, and factors that are 1, are left out; items of one growth are added before
    they grow, and of what grows alike in all runs the mean is taken first. What is not needed any more is dropped at
    once, which keeps memory small.

    Parameters
    ----------
    model : Model
        The declarations.
    targets : sequence of str
        Keys of the figures that are returned.
    known : Known
        What is known before the runs.
    means : sequence of str
        Keys of figures whose mean over the runs is returned, as `mean.<key>`.
    """
    figures = model.needed((*targets, *means), known.figures)
    trees = grouped(simplified(model, figures, known), known.flat | set(LITERAL), targets)
    result: dict[str, ast.expr] = {key: ast.Name(id=key) for key in targets}
    result |= {f"{MEAN}{key}": mean_of(trees, key, known.flat | set(LITERAL)) for key in means}
    trees = live(trees, result.values())
    mentioned = {key: sorted(names(tree)) for key, tree in trees.items()}
    last_use = {name: key for key, each in mentioned.items() for name in each}
    returned = {name for tree in result.values() for name in names(tree)}
    used = sorted({name for each in mentioned.values() for name in each} | returned)
    lines = [f"    {name} = _inputs[{name!r}]" for name in used if name not in trees and name not in LITERAL]
    for key, tree in trees.items():
        limit = isinstance(tree, ast.Call) and function_name(tree) == "min" and "y" in model.axes[key]
        lines.append(f"    {key} = {f'f_alike({_written(model, tree)})' if limit else _written(model, tree)}")
        done = [n for n in mentioned[key] if last_use[n] == key and n not in returned and n not in LITERAL]
        lines += [f"    del {', '.join(done)}"] if done else []
    found = ", ".join(f"{key!r}: {_written(model, tree)}" for key, tree in result.items())
    return "\n".join(
        ["def formulas(_inputs, _patterns, _years, _times, _order):", *lines, f"    return {{{found}}}", ""]
    )


def _written(model: Model, tree: ast.expr) -> str:
    return ast.unparse(ast.fix_missing_locations(_Numpy(model).visit(tree)))


@lru_cache(maxsize=256)
def compiled(
    model: Model, targets: tuple[str, ...], known: Known = NOTHING, means: tuple[str, ...] = ()
) -> Callable[..., dict[str, Array]]:
    """The function of some targets, made once; arguments as :func:`source`.

    Parameters
    ----------
    model : Model
        The declarations.
    targets, means : tuple of str
        Keys of the figures that are returned, and of those whose means are.
    known : Known
        What is known before the runs.
    """
    code = compile(source(model, targets, known, means), "<formulas>", "exec")
    function = next(each for each in code.co_consts if isinstance(each, CodeType))
    return FunctionType(function, GLOBALS)
