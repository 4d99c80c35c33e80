"""A formula of a model as a spreadsheet has it, for one pattern and one time."""

from __future__ import annotations

import ast
from dataclasses import dataclass, replace

from coreset.figures.functions import WHOLE
from coreset.figures.grammar import names
from coreset.figures.layout import FIRST_TIME, Layout, letters

OPERATORS = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
COMPARISONS = {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "=", ast.NotEq: "<>"}
NO_RATE = '"none"'
USUAL_GUESS, LOW_GUESS = "0.1", "-0.3"
"""First guesses of IRR() for flows that add up to more than 0 and to less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _At:
    """Where a formula stands: pattern and time; `ranges` is the axis that is written as ranges inside a sum."""

    plan: Layout
    home: str
    pattern: int
    time: int
    ranges: str = ""

    def moved(self, time: int) -> _At:
        return replace(self, time=time)


def formula(plan: Layout, key: str, pattern: int, time: int) -> str:
    """The formula of one cell, without the equals sign.

    Parameters
    ----------
    plan : Layout
        Where the keys stand.
    key : str
        Key of a figure.
    pattern, time : int
        Place of the pattern, and year: 0 is now.
    """
    at = _At(plan=plan, home=plan.places[key].sheet, pattern=pattern, time=time)
    text = _text(plan.model.trees[key], at)
    return text[1:-1] if _wrapped(text) else text


def _wrapped(text: str) -> bool:
    """Whether one pair of brackets is around the whole of it."""
    depth = 0
    for place, sign in enumerate(text):
        depth += (sign == "(") - (sign == ")")
        if depth == 0:
            return text.startswith("(") and place == len(text) - 1
    return False


def _text(node: ast.expr, at: _At) -> str:
    if isinstance(node, ast.Constant):
        return repr(node.value)
    if isinstance(node, ast.Name):
        return _name(node.id, at)
    if isinstance(node, ast.UnaryOp):
        return f"(-{_text(node.operand, at)})"
    if isinstance(node, ast.BinOp):
        left, right = _text(node.left, at), _text(node.right, at)
        if isinstance(node.op, ast.Pow):
            return f"POWER({left},{right})"
        return f"({left}{OPERATORS[type(node.op)]}{right})"
    if isinstance(node, ast.Compare):
        left, right = _text(node.left, at), _text(node.comparators[0], at)
        return f"({left}{COMPARISONS[type(node.ops[0])]}{right})"
    if isinstance(node, ast.IfExp):
        return f"IF({','.join(_text(part, at) for part in (node.test, node.body, node.orelse))})"
    if isinstance(node, ast.BoolOp):
        word = "AND" if isinstance(node.op, ast.And) else "OR"
        return f"{word}({','.join(_text(part, at) for part in node.values)})"
    return _CALLS[node.func.id](node, at)


def _name(key: str, at: _At) -> str:
    plan = at.plan
    if key == "never":
        return '"never"'
    if key in {"year", "period"}:
        row, prefix = plan.places[key].row + 1, plan.on(plan.places[key].sheet, at.home)
        if at.ranges == "y":
            first, last = letters(FIRST_TIME + 1), letters(FIRST_TIME + plan.years)
            return f"{prefix}${first}${row}:${last}${row}"
        return f"{prefix}{letters(FIRST_TIME + at.time)}${row}"
    axes = plan.axes(key)
    if at.ranges == "p" and "p" in axes:
        return plan.down(key, at.time, home=at.home)
    if at.ranges == "y" and axes & frozenset("yt"):
        return plan.along(key, at.pattern, 0 if "t" in axes else 1, plan.years, home=at.home)
    return plan.cell(key, at.pattern, at.time, home=at.home)


def _arguments(word: str):
    return lambda node, at: f"{word}({','.join(_text(part, at) for part in node.args)})"


def _sum(axis: str):
    def text(node: ast.Call, at: _At) -> str:
        inner = _text(node.args[0], replace(at, ranges=axis))
        return f"SUM({inner})" if isinstance(node.args[0], ast.Name) else f"SUMPRODUCT({inner})"

    return text


def _first(node: ast.Call, at: _At) -> int:
    """First time of a function's argument: 0 on the timeline, else 1."""
    return 0 if any("t" in at.plan.axes(name) for name in names(node.args[0])) else 1


def _cumulative(node: ast.Call, at: _At) -> str:
    argument, first = node.args[0], _first(node, at)
    if isinstance(argument, ast.Name):
        return f"SUM({at.plan.along(argument.id, at.pattern, first, at.time, home=at.home)})"
    return "(" + "+".join(_text(argument, at.moved(time)) for time in range(first, at.time + 1)) + ")"


def _before(node: ast.Call, at: _At) -> str:
    return "0" if at.time <= _first(node, at) else _text(node.args[0], at.moved(at.time - 1))


def _last(node: ast.Call, at: _At) -> str:
    return _text(node.args[0], at.moved(at.plan.years))


def _highest(node: ast.Call, at: _At) -> str:
    return f"MAX({_text(node.args[0], replace(at, ranges='y'))})"


def _renewed(node: ast.Call, at: _At) -> str:
    life = _text(node.args[1], at)

    def by(time: int) -> str:
        made = at.plan.along(node.args[0].id, at.pattern, 1, time, home=at.home)
        return f"MAX(-INT(-SUM({made})/{life}*{WHOLE!r})-1,0)"

    before = f"-{by(at.time - 1)}" if at.time > 1 else ""
    return f"IF({life}>0,{by(at.time)}{before},0)"


def _ahead(node: ast.Call, at: _At) -> str:
    x, by = (at.plan.down(part.id, at.time, home=at.home) for part in node.args)
    own = at.plan.cell(node.args[1].id, at.pattern, at.time, home=at.home)
    return f"SUMPRODUCT((({by}>{own})+({by}={own})*(ROW({by})<ROW({own})))*{x})"


def _met(node: ast.Call, at: _At) -> str:
    pairs = at.plan.down(node.args[0].id, 0, home=at.home, pattern=at.pattern)
    x, scale = (_text(part, replace(at, ranges="p")) for part in node.args[1:])
    own = _text(node.args[2], at)
    return f"SUMPRODUCT({pairs}*{x}*(({scale}<{own})*{scale}+({scale}>={own})*{own}))"


def _later_shares(node: ast.Call, at: _At) -> str:
    terms = [
        f"{_text(node.args[0], at.moved(u))}*{_text(node.args[1], at.moved(at.time - u + 1))}"
        for u in range(1, at.time + 1)
    ]
    return "(" + "+".join(terms) + ")"


def _timeline(node: ast.Call, at: _At) -> str:
    return _text(node.args[at.time > 0], at)


def _npv(node: ast.Call, at: _At) -> str:
    rate, flow = _text(node.args[0], at), node.args[1].id
    later = at.plan.along(flow, at.pattern, 1, at.plan.years, home=at.home)
    return f"({at.plan.cell(flow, at.pattern, 0, home=at.home)}+NPV({rate},{later}))"


def _irr(node: ast.Call, at: _At) -> str:
    flow = at.plan.along(node.args[0].id, at.pattern, 0, at.plan.years, home=at.home)
    rate = f"IRR({flow},IF(SUM({flow})>0,{USUAL_GUESS},{LOW_GUESS}))"
    return f"IFERROR(IF({rate}>-1,{rate},{NO_RATE}),{NO_RATE})"


_CALLS = {
    "min": _arguments("MIN"),
    "max": _arguments("MAX"),
    "exp": _arguments("EXP"),
    "log": _arguments("LN"),
    "ceil": lambda node, at: f"(-INT(-{_text(node.args[0], at)}))",
    "over_patterns": _sum("p"),
    "over_years": _sum("y"),
    "cumulative": _cumulative,
    "before": _before,
    "last": _last,
    "highest": _highest,
    "renewed": _renewed,
    "ahead": _ahead,
    "met": _met,
    "later_shares": _later_shares,
    "timeline": _timeline,
    "npv": _npv,
    "irr": _irr,
}
