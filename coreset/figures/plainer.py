"""Formulas made plainer before they run: without what is 0, factors that are 1 and growth item by item.

In: syntax trees of a model, names of what is known. Out: syntax trees.
"""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from coreset.figures.grammar import function_name, names
from coreset.figures.model import Model

OF_ZERO: dict[str, tuple[int, ...]] = dict.fromkeys(
    ("over_patterns", "over_years", "cumulative", "before", "last", "highest", "ahead"), (0,)
)
OF_ZERO |= dict.fromkeys(("renewed", "met", "later_shares"), (0, 1))
"""Functions that are 0 where one of these arguments is, counted from 0."""
ZERO, ONE = "f_zero", "f_one"
MEAN = "mean."
"""What the name of a mean over the runs begins with."""
LITERAL = (ZERO, ONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Names of what is known before the runs.

    `figures` whose values are given; what is `zero` or `one` for every pattern, year and run; `flat`, what does not
    vary from run to run.
    """

    figures: frozenset[str] = frozenset()
    zero: frozenset[str] = frozenset()
    one: frozenset[str] = frozenset()
    flat: frozenset[str] = frozenset()


NOTHING = Known()


class _Plainer(ast.NodeTransformer):
    """Leaves out of a formula what is 0 because names in it are, and factors that are 1."""

    def __init__(self, zero: Collection[str], one: Collection[str]) -> None:
        self.zero, self.one = zero, one

    def visit_Name(self, node: ast.Name) -> ast.AST:
        return ast.Name(id=ZERO if node.id in self.zero else ONE if node.id in self.one else node.id)

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
        if (found := _without_one(node)) is not None:
            return found
        return ast.UnaryOp(op=ast.USub(), operand=node.right) if isinstance(node.op, ast.Sub) and left else node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        ranked = node.args[1:] if function_name(node) == "ahead" else []
        node.args = [self.visit(each) for each in node.args[: len(node.args) - len(ranked)]] + ranked
        return ast.Name(id=ZERO) if any(_is_zero(node.args[k]) for k in OF_ZERO.get(function_name(node), ())) else node


def _without_one(node: ast.BinOp) -> ast.AST | None:
    """A product, quotient or power without its factor 1, and 0 for 1 less 1; None for anything else."""
    left, right = _is_one(node.left), _is_one(node.right)
    if isinstance(node.op, ast.Sub):
        return ast.Name(id=ZERO) if left and right else None
    if isinstance(node.op, ast.Pow) and left:
        return ast.Name(id=ONE)
    if isinstance(node.op, ast.Mult) and left:
        return None if isinstance(node.right, ast.Compare | ast.BoolOp) else node.right
    without = isinstance(node.op, ast.Mult | ast.Div | ast.Pow) and right
    return node.left if without and not isinstance(node.left, ast.Compare | ast.BoolOp) else None


def _is_one(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value == 1 or isinstance(node, ast.Name) and node.id == ONE


def _is_zero(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value == 0 or isinstance(node, ast.Name) and node.id == ZERO


def simplified(model: Model, figures: Sequence[str], known: Known) -> dict[str, ast.expr]:
    """Formulas without what is 0 and factors that are 1, in order.

    Parameters
    ----------
    model : Model
        The declarations.
    figures : sequence of str
        Keys of the figures, each after those that it rests on.
    known : Known
        What is known before the runs.
    """
    zero, one, trees = set(known.zero), set(known.one), {}
    for key in figures:
        copy = ast.parse(ast.unparse(model.trees[key]), mode="eval").body
        trees[key] = _Plainer(zero, one).visit(copy)
        if _is_zero(trees[key]):
            zero.add(key)
        elif _is_one(trees[key]):
            one.add(key)
    return trees


def live(trees: Mapping[str, ast.expr], result: Iterable[ast.expr]) -> dict[str, ast.expr]:
    """Those that the result still rests on, in order."""
    live = {name for tree in result for name in names(tree)}
    for key in reversed(list(trees)):
        if key in live:
            live |= set(names(trees[key]))
    return {key: tree for key, tree in trees.items() if key in live}


def _growing(tree: ast.expr | None, flat: Collection[str]) -> ast.BinOp | None:
    """A formula that is a figure times what is the same in all runs; None for any other."""
    if not (isinstance(tree, ast.BinOp) and isinstance(tree.op, ast.Mult) and isinstance(tree.left, ast.Name)):
        return None
    return tree if tree.left.id not in flat and set(names(tree.right)) <= set(flat) else None


def mean_of(trees: Mapping[str, ast.expr], key: str, flat: Collection[str]) -> ast.expr:
    """The mean of a figure over the runs, taken before it grows.

    Parameters
    ----------
    trees : mapping of str to ast.expr
        Formulas that are worked out.
    key : str
        The figure.
    flat : collection of str
        Names of what does not vary from run to run.
    """
    if (grown := _growing(trees.get(key), flat)) is None:
        return ast.Call(func=ast.Name(id="mean"), args=[ast.Name(id=key)], keywords=[])
    inner = ast.Call(func=ast.Name(id="mean"), args=[grown.left], keywords=[])
    return ast.BinOp(left=inner, op=ast.Mult(), right=grown.right)


def grouped(trees: dict[str, ast.expr], flat: Collection[str], kept: Collection[str]) -> dict[str, ast.expr]:
    """Sums in which figures of one growth are added before they grow; those that are kept are there anyway.

    Parameters
    ----------
    trees : dict of str to ast.expr
        Formulas that are worked out.
    flat : collection of str
        Names of what does not vary from run to run.
    kept : collection of str
        Figures whose values are asked for.
    """
    grown = {key: found for key, tree in trees.items() if key not in kept and (found := _growing(tree, flat))}
    return {key: _Sums(grown).visit(tree) for key, tree in trees.items()}


class _Sums(ast.NodeTransformer):
    """Adds the terms of a sum that have one factor in common before they are multiplied by it."""

    def __init__(self, grown: Mapping[str, ast.BinOp]) -> None:
        self.grown = grown

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        if not isinstance(node.op, ast.Add):
            return self.generic_visit(node)
        terms = [self.visit(term) if not isinstance(term, ast.Name) else term for term in _terms(node)]
        groups: dict[str, list[ast.expr]] = {}
        for place, term in enumerate(terms):
            grown = self.grown.get(term.id) if isinstance(term, ast.Name) else None
            groups.setdefault(ast.unparse(grown.right) if grown else f"#{place}", []).append(term)
        return _sum([self._together(group) for group in groups.values()])

    def _together(self, group: list[ast.expr]) -> ast.expr:
        if len(group) == 1:
            return group[0]
        found = [self.grown[term.id] for term in group if isinstance(term, ast.Name)]
        return ast.BinOp(left=_sum([each.left for each in found]), op=ast.Mult(), right=found[0].right)


def _terms(node: ast.expr) -> list[ast.expr]:
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        return [*_terms(node.left), *_terms(node.right)]
    return [node]


def _sum(terms: Sequence[ast.expr]) -> ast.expr:
    total = terms[0]
    for term in terms[1:]:
        total = ast.BinOp(left=total, op=ast.Add(), right=term)
    return total
