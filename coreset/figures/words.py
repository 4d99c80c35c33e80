"""A formula in names, and numbers as they are printed: `·` for times, `−` for minus, `^` for powers."""

from __future__ import annotations

import ast

import numpy as np

from coreset.figures.grammar import call, function_name, literal

DIGITS = 6
"""Significant digits printed, so that a line can be redone to 1e-4."""
SIGNS = {ast.Add: " + ", ast.Sub: " − ", ast.Mult: " · ", ast.Div: " / ", ast.Pow: "^"}
RANK = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}
NEGATED, ATOM = 3, 5
WORDS = {ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥", ast.Eq: "=", ast.NotEq: "≠"}


def number(value: float) -> str:
    """A number to six significant digits, whole numbers whole, with a comma between thousands.

    Examples
    --------
    >>> number(42005.60229), number(0.0154287136), number(3.0), number(-1234567.8)
    ('42,005.6', '0.0154287', '3', '−1,234,568')
    """
    if not np.isfinite(value):
        return "never"
    if value == round(value) and abs(value) < 10**15:
        return f"{value:,.0f}".replace("-", "−")
    digits = max(0, DIGITS - 1 - int(np.floor(np.log10(abs(value)))))
    text = f"{value:,.{digits}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−")


def joined(operator: ast.operator, left: tuple[str, int], right: tuple[str, int]) -> tuple[str, int]:
    """Two sides put together with the brackets that are needed.

    Parameters
    ----------
    operator : ast.operator
        Plus, minus, times, over or power.
    left, right : tuple of (str, int)
        Text of each side and its rank: how tightly it holds together.
    """
    rank = RANK[type(operator)]
    power = isinstance(operator, ast.Pow)
    first = left[0] if left[1] > rank or (left[1] == rank and not power) else f"({left[0]})"
    strict = isinstance(operator, ast.Sub | ast.Div)
    second = right[0] if right[1] > rank or (right[1] == rank and not strict and not power) else f"({right[0]})"
    second = f"({second})" if second.startswith("−") else second
    return f"{first}{SIGNS[type(operator)]}{second}", rank


def words(node: ast.expr) -> tuple[str, int]:
    """A formula in names, and how tightly it holds together."""
    if isinstance(node, ast.Name):
        return node.id.replace("_", " "), ATOM
    if isinstance(node, ast.Constant):
        return number(literal(node)), ATOM
    if isinstance(node, ast.BinOp):
        return joined(node.op, words(node.left), words(node.right))
    if isinstance(node, ast.UnaryOp):
        text, rank = words(node.operand)
        return (f"−{text}" if rank > 1 else f"−({text})"), NEGATED
    if isinstance(node, ast.Compare):
        return f"{words(node.left)[0]} {WORDS[type(node.ops[0])]} {words(node.comparators[0])[0]}", 0
    if isinstance(node, ast.BoolOp):
        word = " and " if isinstance(node.op, ast.And) else " or "
        return word.join(words(value)[0] for value in node.values), 0
    if isinstance(node, ast.IfExp):
        body, test, other = (words(part)[0] for part in (node.body, node.test, node.orelse))
        return f"{body} if {test}, else {other}", 0
    named = call(node)
    arguments = ", ".join(words(part)[0] for part in named.args)
    return f"{function_name(named).replace('_', ' ')}({arguments})", ATOM
