"""A formula as a reader redoes it: with names, and with the numbers put in, for one pattern and one year.

Signs are those of print: `·` for times, `−` for minus, `^` for powers. Of a choice only the branch taken is printed.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.figures.grammar import call, comparison, function_name, literal, name_of, names
from coreset.figures.model import Model
from coreset.figures.words import ATOM, NEGATED, joined, number, words

Values = Mapping[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLine:
    """One figure: its formula in names, the same in numbers, and the value it comes to."""

    key: str
    formula: str
    numbers: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """What is printed: a model with its values, for one pattern and one time (0 is now, on the timeline only)."""

    model: Model
    values: Values
    codes: Sequence[str]
    years: int
    pattern: int
    time: int

    def number(self, key: str) -> float:
        """Value of one name here; 0 before the first year."""
        array = self.values[key]
        place = self.time if key == "period" or "t" in self.model.axes[key] else self.time - 1
        if place < 0:
            return 0.0
        return float(array[min(self.pattern, array.shape[0] - 1), min(place, array.shape[1] - 1), 0])


def line(
    model: Model, key: str, values: Values, *, codes: Sequence[str], years: int, pattern: int = 0, year: int = 1
) -> PrintedLine:
    """The printed line of one figure.

    Parameters
    ----------
    model : Model
        The declarations.
    key : str
        Key of a figure.
    values : mapping of str to ndarray, shape (patterns or 1, years or 1, 1)
        Every input and figure at fixed values.
    codes : sequence of str
        Codes of the patterns, for the terms of sums.
    years : int
        Number of years.
    pattern, year : int
        Place of the pattern; year, 0 is now.

    Returns
    -------
    PrintedLine
    """
    spot = _Spot(model=model, values=values, codes=codes, years=years, pattern=pattern, time=year)
    tree = model.trees[key]
    return PrintedLine(key=key, formula=words(tree)[0], numbers=_numbers(tree, spot)[0], value=spot.number(key))


def _numbers(node: ast.expr, spot: _Spot) -> tuple[str, int]:
    """A formula in numbers, and how tightly it holds together."""
    if isinstance(node, ast.Name):
        text = number(spot.number(node.id))
        return text, NEGATED if text.startswith("−") else ATOM
    if isinstance(node, ast.Constant):
        return number(literal(node)), ATOM
    if isinstance(node, ast.BinOp):
        return joined(node.op, _numbers(node.left, spot), _numbers(node.right, spot))
    if isinstance(node, ast.UnaryOp):
        text, rank = _numbers(node.operand, spot)
        return (f"−{text}" if rank > 1 and not text.startswith("−") else f"−({text})"), NEGATED
    if isinstance(node, ast.Compare):
        return ("1" if truth(node, spot) else "0"), ATOM
    if isinstance(node, ast.IfExp):
        return _numbers(node.body if truth(node.test, spot) else node.orelse, spot)
    node = call(node)
    return _CALLS.get(function_name(node), _plain_call)(node, spot)


def value(node: ast.expr, spot: _Spot) -> float:
    """What arithmetic without functions comes to, at full precision; used to choose the branch that is printed."""
    if isinstance(node, ast.Name):
        return spot.number(node.id)
    if isinstance(node, ast.Constant):
        return float(literal(node))
    if isinstance(node, ast.UnaryOp):
        return -value(node.operand, spot)
    if isinstance(node, ast.BinOp):
        left, right = value(node.left, spot), value(node.right, spot)
        return {
            ast.Add: lambda: left + right,
            ast.Sub: lambda: left - right,
            ast.Mult: lambda: left * right,
            ast.Div: lambda: left / right,
            ast.Pow: lambda: left**right,
        }[type(node.op)]()
    if isinstance(node, ast.Call) and function_name(node) == "before":
        return value(node.args[0], replace(spot, time=spot.time - 1))
    if isinstance(node, ast.Call) and function_name(node) == "last":
        return value(node.args[0], replace(spot, time=spot.years))
    if isinstance(node, ast.Call) and function_name(node) == "over_patterns":
        return sum(value(node.args[0], replace(spot, pattern=i)) for i in range(len(spot.codes)))
    return float(truth(node, spot))


def truth(node: ast.expr, spot: _Spot) -> bool:
    """Whether a condition holds here."""
    if isinstance(node, ast.BoolOp):
        held = [truth(each, spot) for each in node.values]
        return all(held) if isinstance(node.op, ast.And) else any(held)
    compared = comparison(node)
    left, right = value(compared.left, spot), value(compared.comparators[0], spot)
    return {
        ast.Lt: left < right,
        ast.LtE: left <= right,
        ast.Gt: left > right,
        ast.GtE: left >= right,
        ast.Eq: left == right,
        ast.NotEq: left != right,
    }[type(compared.ops[0])]


def _terms(terms: Sequence[tuple[str, int]], labels: Sequence[str] = ()) -> tuple[str, int]:
    """Terms of a sum, each with its label; a sum that stands alone needs no brackets."""
    if not terms:
        return "0", ATOM
    texts = [f"({text})" if rank <= 1 or text.startswith("−") else text for text, rank in terms]
    labelled = [f"{label} {text}" for label, text in zip(labels, texts, strict=True)] if labels else texts
    return " + ".join(labelled), 1 if len(terms) > 1 else 2


def _plain_call(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    return f"{function_name(node)}({'; '.join(_numbers(part, spot)[0] for part in node.args)})", ATOM


def _over_patterns(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    places = range(len(spot.codes))
    return _terms([_numbers(node.args[0], replace(spot, pattern=i)) for i in places], spot.codes)


def _times(node: ast.Call, spot: _Spot) -> range:
    """Times of a function's argument: from now on the timeline, else from year 1."""
    on_timeline = any("t" in spot.model.axes[name] for name in names(node.args[-1]))
    return range(0 if on_timeline else 1, spot.years + 1)


def _over_years(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    return _terms([_numbers(node.args[0], replace(spot, time=t)) for t in _times(node, spot)])


def _cumulative(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    times = [t for t in _times(node, spot) if t <= spot.time]
    return _terms([_numbers(node.args[0], replace(spot, time=t)) for t in times])


def _before(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    earlier = spot.time - 1 in _times(node, spot)
    return _numbers(node.args[0], replace(spot, time=spot.time - 1)) if earlier else ("0", ATOM)


def _last(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    return _numbers(node.args[0], replace(spot, time=spot.years))


def _highest(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    every = [_numbers(node.args[0], replace(spot, time=t))[0] for t in _times(node, spot)]
    return f"max({'; '.join(every)})", ATOM


def _renewed(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    life = value(node.args[1], spot)
    if not life > 0:
        return "0", ATOM

    def by(time: int) -> str:
        made = sum(value(node.args[0], replace(spot, time=t)) for t in range(1, time + 1))
        return f"max(ceil({number(made)} / {number(life)}) − 1; 0)"

    return (f"{by(spot.time)} − {by(spot.time - 1)}" if spot.time > 1 else by(1)), 1


def _ahead(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    def rank(i: int) -> tuple[float, int]:
        return -value(node.args[1], replace(spot, pattern=i)), i

    first = [i for i in range(len(spot.codes)) if rank(i) < rank(spot.pattern)]
    return _terms([_numbers(node.args[0], replace(spot, pattern=i)) for i in first], [spot.codes[i] for i in first])


def _met(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    pairs = spot.values[name_of(node.args[0])][:, spot.pattern, 0]
    terms = []
    for i, pair in enumerate(pairs):
        text, rank = _numbers(node.args[1], replace(spot, pattern=i))
        scale = min(value(node.args[2], replace(spot, pattern=j)) for j in (i, spot.pattern))
        terms.append((f"{number(float(pair))} · {text if rank > 2 else f'({text})'} · {number(scale)}", 2))
    return _terms(terms, spot.codes)


def _later_shares(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    terms = []
    for u in range(1, spot.time + 1):
        bought = number(value(node.args[0], replace(spot, time=u)))
        share = number(value(node.args[1], replace(spot, time=spot.time - u + 1)))
        terms.append((f"({bought}) · {share}" if bought.startswith("−") else f"{bought} · {share}", 2))
    return _terms(terms)


def _timeline(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    return _numbers(node.args[spot.time > 0], spot)


def _npv(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    rate = joined(ast.Add(), ("1", ATOM), _numbers(node.args[0], spot))[0]
    terms = []
    for t in range(spot.years + 1):
        text, _ = _numbers(node.args[1], replace(spot, time=t))
        text = f"({text})" if text.startswith("−") else text
        terms.append((f"{text} / ({rate})^{t}" if t else text, 2))
    return _terms(terms)


def _irr(node: ast.Call, spot: _Spot) -> tuple[str, int]:
    return "rate at which the flow is worth 0", ATOM


_CALLS = {
    "over_patterns": _over_patterns,
    "over_years": _over_years,
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
