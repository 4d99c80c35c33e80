"""Every input and figure of the base case as rows, and each figure as a line of working, all from the declarations."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any

from coreset.case import Case, Range
from coreset.case.growth import GROWING, as_ranges, growth_input
from coreset.figures.printed import line
from coreset.money.base_case import BaseCase
from coreset.money.cash_flow import FIRST_ITEMS, YEARLY_ITEMS
from coreset.money.decision import Decision
from coreset.money.figures import MODEL
from coreset.money.report.names import item_name
from coreset.money.report.sentences import about
from coreset.report.numbers import listed
from coreset.sources import used
from coreset.text import message, say
from coreset.working import Working

WORD = re.compile(r"[A-Za-z]+")
CONSTANTS = {"0", "1"}
"""What is printed of a choice whose branch taken is no formula: then no publication is used."""
MAIN = ("first_cost", "labour_now", "operating_total", "npv")
"""Figures whose working stands in the brief."""
GROWTH_INPUTS = {growth_input(item) for item in GROWING}
"""Those that rest on nothing where the case states none: the item then grows with its kind."""
NAMED = 0.1
"""Share of the gap from which on an item is named."""
STATUSES = ("definition", "sourced", "calculated", "no_source")
"""What an input rests on, the weakest last; a figure has that of its weakest input."""


def inputs(case: Case, d: Decision) -> list[dict[str, Any]]:
    """Each input that the base case rests on: low, likely and high as entered or simulated, the value used, its source.

    Parameters
    ----------
    case : Case
        Where ranges and sources were entered.
    d : Decision
        Its base case.

    Returns
    -------
    list of dict
        Keys: key, pattern (None for the plant), label, unit, low, likely, high, value, source, status.
    """
    base, found = d.base, []
    for key, one in MODEL.inputs.items():
        if key not in base.values or one.axes not in {"", "p"}:
            continue
        for place in range(len(base.patterns)) if one.axes else (None,):
            code = None if place is None else base.patterns[place]
            value = base.number(key, place or 0)
            low, likely, high = base.ends.get((key, code or ""), (value,) * 3)
            if entered := _entered(case, key, code):
                low, likely, high = entered.low, entered.likely, entered.high
            source = entered.source if entered else ""
            row: dict[str, Any] = {"key": key, "pattern": code, "label": message(one.label), "unit": one.unit}
            row |= {"low": low, "likely": likely, "high": high, "value": value, "source": source}
            found.append(row | {"status": _status(key, source, stated=entered is not None)})
    return found


def _entered(case: Case, key: str, code: str | None) -> Range | None:
    """The range that was entered for an input, the pattern's own first."""
    pattern = next((p for p in case.patterns if p.pattern == code), None)
    for holder in (pattern, case.money):
        if isinstance(value := getattr(holder, key, None), Range):
            return value
    return as_ranges(case.growth).get(key)


def _status(key: str, source: str, *, stated: bool) -> str:
    one = MODEL.inputs[key]
    if one.constant or (key in GROWTH_INPUTS and not stated):
        return "definition"
    if source:
        return "sourced"
    return "calculated" if one.carried or key == "moved" else "no_source"


def figures(case: Case, d: Decision) -> list[dict[str, Any]]:
    """Each figure of the base case.

    Returns
    -------
    list of dict
        Keys: key, label, unit, value (a number; by pattern an object, by year a list, now first on the timeline),
        formula, inputs (keys), source (of the formula), status (of the weakest input).
    """
    weakest: dict[str, str] = {}
    for row in inputs(case, d):
        weakest[row["key"]] = max(weakest.get(row["key"], STATUSES[0]), row["status"], key=STATUSES.index)
    found = []
    for key, figure in MODEL.figures.items():
        behind = MODEL.behind(key)
        status = max((weakest.get(name, STATUSES[0]) for name in behind), default=STATUSES[0], key=STATUSES.index)
        row = {"key": key, "label": message(figure.label), "unit": figure.unit, "value": _value(d.base, key)}
        found.append(row | {"formula": figure.formula, "inputs": behind, "source": figure.source, "status": status})
    return found


def _value(base: BaseCase, key: str) -> Any:
    axes = MODEL.axes[key]
    times = range(0 if "t" in axes else 1, base.years + 1)

    def along(place: int) -> Any:
        return [base.number(key, place, t) for t in times] if axes & {"y", "t"} else base.number(key, place)

    return {code: along(i) for i, code in enumerate(base.patterns)} if "p" in axes else along(0)


def lines(d: Decision, year: int = 1) -> list[Working]:
    """Every figure behind the cash flow of one year and the initial investment, one line each, down to the inputs.

    A figure by pattern has a line for each pattern. Numbers have six significant digits.
    """
    return [each for key in _printed() for each in _lines(d.base, key, d.currency, year)]


def cited_lines(d: Decision) -> list[Working]:
    """The lines of the first year whose figure cites a publication; the others are not written."""
    cited = [key for key in _printed() if MODEL.figures[key].source]
    return [each for key in cited for each in _lines(d.base, key, d.currency, 1)]


def _printed() -> list[str]:
    targets = (*YEARLY_ITEMS, *FIRST_ITEMS, "first_cost", "net", "npv", "payback_years", "discounted_payback_years")
    needed = set(MODEL.needed(targets))
    return [key for key in MODEL.figures if key in needed]


def _lines(base: BaseCase, key: str, currency: str, year: int) -> Iterator[Working]:
    figure = MODEL.figures[key]
    by_pattern = "p" in MODEL.axes[key]
    for place in range(len(base.patterns)) if by_pattern else (0,):
        made = line(MODEL, key, base.values, codes=base.patterns, years=base.years, pattern=place, year=year)
        yield Working(
            what=f"{message(figure.label)}: {base.patterns[place]}" if by_pattern else message(figure.label),
            symbol=key,
            formula=made.formula,
            numbers=made.numbers,
            value=made.value,
            unit=shown_unit(figure.unit, currency),
            **(used(figure.source, figure.rule) if figure.source and made.numbers not in CONSTANTS else {}),
        )


def shown_unit(unit: str, currency: str) -> str:
    """A declared unit as it is printed.

    Examples
    --------
    >>> shown_unit("currency/hour/person", "USD"), shown_unit("1", "USD"), shown_unit("L/m**3", "USD")
    ('USD/(hour·person)', '', 'L/m³')
    """
    unit = "" if unit == "1" else WORD.sub(lambda word: message(word.group()), unit.replace("currency", currency))
    unit = unit.replace("**3", "³").replace("*", "·")
    over, *under = unit.split("/")
    return f"{over}/({'·'.join(under)})" if len(under) > 1 else unit


def baseline(d: Decision) -> str:
    """Base case beside the mean of the runs: their difference, the items that make it, and why."""
    apart = d.npv - d.npv_at_means
    most = [name for name, value in d.gap.items() if value > NAMED * apart > 0 or value < NAMED * apart < 0][:2]
    blanks = {"base": base_npv(d), "mean": about(d.npv, d.currency, 3)}
    if not most or blanks["mean"] == blanks["base"]:
        return say("money.base.same", **blanks)
    parts = [f"{item_name(name)} {about(d.gap[name], d.currency)}" for name in most]
    return say("money.base.apart", apart=about(apart, d.currency), parts=listed(parts), **blanks)


def base_npv(d: Decision) -> str:
    """Net present value of the base case, as every output rounds it."""
    return about(d.npv_at_means, d.currency, 3)


def highest_prices(d: Decision) -> tuple[str, ...]:
    """The highest price of the setter under each limit that is set; nothing for an option without a price."""
    if d.highest_price is None:
        return ()
    found = {
        "npv": d.highest_price.for_npv,
        "payback": d.highest_price.for_payback,
        "budget": d.highest_price.for_budget,
    }
    parts = [
        say(f"money.base.price_{limit}", price=about(value, d.currency, 3))
        for limit, value in found.items()
        if math.isfinite(value)
    ]
    parts += [say(f"money.base.no_price_{limit}") for limit in d.highest_price.unmet]
    return (say("money.base.price", parts=listed(parts or [say("money.base.no_price")])),)
