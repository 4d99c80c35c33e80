"""What a formula varies by, inferred from its inputs: pattern `p`, year `y`, timeline `t`, pairs of patterns `pq`."""

from __future__ import annotations

import ast
from collections.abc import Mapping

from coreset.figures.grammar import FormulaError, function_name, parts

TIME = frozenset("yt")
Axes = frozenset[str]


def axes_of(key: str, node: ast.expr, known: Mapping[str, Axes]) -> Axes:
    """Axes of one formula.

    Parameters
    ----------
    key : str
        Key of the figure, for messages.
    node : ast.expr
        Its tree.
    known : mapping of str to frozenset
        Axes of every name that it mentions.

    Returns
    -------
    frozenset of str

    Raises
    ------
    FormulaError
        If years and timeline are mixed, or a sum runs over an axis that its terms do not have.
    """
    if isinstance(node, ast.Name):
        return known[node.id]
    inner = [axes_of(key, child, known) for child in parts(node)]
    found = _of_call(key, node, inner) if isinstance(node, ast.Call) else frozenset().union(*inner)
    if found >= TIME:
        raise FormulaError(f"{key}: years and timeline meet in {ast.unparse(node)!r}; only timeline() joins them")
    if "q" in found:
        raise FormulaError(f"{key}: pairs of patterns may stand in met() only, got {ast.unparse(node)!r}")
    return found


NEEDS = {
    "over_patterns": ("terms by pattern", lambda a: "p" in a[0]),
    "ahead": ("an order by pattern", lambda a: "p" in a[1]),
    "met": ("pairs and terms by pattern", lambda a: a[0] == {"p", "q"} and "p" in a[1] and "p" in a[2]),
    "renewed": ("terms by year", lambda a: "y" in a[0] | a[1]),
    "later_shares": ("terms by year", lambda a: "y" in a[0] | a[1]),
    "timeline": ("a value of now and values by year", lambda a: not a[0] & TIME and "y" in a[1]),
    "npv": ("a flow on the timeline", lambda a: "t" in a[1]),
    "irr": ("a flow on the timeline", lambda a: "t" in a[0]),
} | dict.fromkeys(
    ("over_years", "last", "highest", "cumulative", "before"), ("terms by year", lambda a: bool(a[0] & TIME))
)
"""What the arguments of a function must vary by, in words and as a test of their axes."""
REDUCED = {
    "over_patterns": lambda a: a[0] - {"p"},
    "met": lambda a: a[1] | a[2],
    "timeline": lambda a: a[0] | a[1] - {"y"} | {"t"},
} | dict.fromkeys(("over_years", "last", "highest", "npv", "irr"), lambda a: frozenset().union(*a) - TIME)
"""Axes of a function's value from those of its arguments, where they are not simply all of them."""


def _of_call(key: str, node: ast.Call, inner: list[Axes]) -> Axes:
    name = function_name(node)
    what, holds = NEEDS.get(name, ("", lambda a: True))
    if not holds(inner):
        raise FormulaError(f"{key}: {name} needs {what}, got {ast.unparse(node)!r}")
    return REDUCED.get(name, lambda a: frozenset().union(*a))(inner)
