"""What a decision promises, as rows that are stored at its approval, and back. In: a decision. Out: `Promised`.

The post-audit compares with these rows, whatever is changed in the case or in the program afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case.promise import FIGURES, Promise
from coreset.money.base_case import BaseCase
from coreset.money.chances import Spread
from coreset.money.cumulative_cash import ROUNDING
from coreset.money.decision import Decision, FlowYear

UNSTORED = frozenset(("follow", "runs_counted"))
"""Inputs that follow from the order of the runs: what they change is left to the reason `other`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedInputs:
    """Inputs of the base case as they were promised, by key: one number, (years,), or (patterns, years or 1, 1)."""

    patterns: tuple[str, ...]
    inputs: Mapping[str, ArrayLike]


@dataclass(frozen=True, slots=True, kw_only=True)
class Promised:
    """The part of a `Decision` that a post-audit compares with, each field as there; by whom and when approved."""

    years: int
    cash_flow: tuple[FlowYear, ...]
    yearly_saving: Spread
    npv_spread: Spread
    payback_spread: Spread
    hours_saved: float
    molds_sold: float
    base: PromisedInputs
    who: str
    day: str

    @property
    def npv_at_means(self) -> float:
        """Net present value of the base case. [currency]"""
        return self.npv_spread.mean

    @property
    def saving_at_means(self) -> float:
        """Yearly saving of the base case. [currency/year]"""
        return self.yearly_saving.mean

    @property
    def payback_years(self) -> float:
        """Payback of the base case, infinite where it is never paid back. [years]"""
        return self.payback_spread.mean


def promise_rows(d: Decision, who: str, day: str) -> tuple[Promise, ...]:
    """The rows that are stored when a decision is approved.

    Parameters
    ----------
    d : Decision
    who : str
        Code of the person who approves it.
    day : str
        As 2026-03-31.

    Returns
    -------
    tuple of Promise
        Figures with their ranges, items of the cash flow by year, inputs of the base case.
    """
    alone = {"hours": d.hours_saved, "molds": d.molds_sold}
    spreads = {"saving": d.yearly_saving, "npv": d.npv_spread, "payback": d.payback_spread}
    means = {"saving": d.saving_at_means, "npv": d.npv_at_means, "payback": d.payback_years} | alone
    found = [
        Promise(kind="figure", item=name, amount=_finite(means[name]), who=who, day=day, **_ends(spreads.get(name)))
        for name in FIGURES
    ]
    for flow in d.cash_flow:
        found += [Promise(kind="item", item=key, year=flow.year, amount=value) for key, value in flow.parts.items()]
    return (*found, *_input_rows(d.base))


def _finite(value: float) -> float | None:
    if not math.isfinite(value):
        return None
    return value if abs(value) > ROUNDING else 0.0


def _ends(one: Spread | None) -> dict[str, Any]:
    return {} if one is None else {name: _finite(getattr(one, name)) for name in ("low", "middle", "high")}


def _input_rows(base: BaseCase) -> Iterable[Promise]:
    for key, value in base.inputs.items():
        array = np.asarray(value, dtype=float)
        if key in UNSTORED:
            continue
        if array.ndim < 2:
            years = [None] if array.ndim == 0 else range(1, array.size + 1)
            for year, one in zip(years, array.ravel(), strict=True):
                yield Promise(kind="input", item=key, year=year, amount=float(one))
            continue
        rows, columns = array.shape[:2]
        for p, y in product(range(rows), range(columns)):
            pattern = base.patterns[p] if rows == len(base.patterns) else ""
            yield Promise(
                kind="input",
                item=key,
                pattern=pattern,
                year=y + 1 if columns > 1 else None,
                amount=float(array[p, y, 0]),
            )


def promised(rows: Iterable[Promise]) -> Promised | None:
    """What was promised, from the stored rows; None where there are none."""
    rows = tuple(rows)
    figures = {row.item: row for row in rows if row.kind == "figure"}
    if not figures:
        return None
    years = max((row.year or 0 for row in rows if row.kind == "item"), default=0)
    parts: list[dict[str, float]] = [{} for _ in range(years + 1)]
    for row in rows:
        if row.kind == "item":
            parts[row.year or 0][row.item] = row.amount or 0.0
    first = next(iter(figures.values()))
    return Promised(
        years=years,
        cash_flow=tuple(_flow_year(year, of_year) for year, of_year in enumerate(parts)),
        yearly_saving=_spread(figures["saving"]),
        npv_spread=_spread(figures["npv"]),
        payback_spread=_spread(figures["payback"]),
        hours_saved=figures["hours"].amount or 0.0,
        molds_sold=figures["molds"].amount or 0.0,
        base=_inputs([row for row in rows if row.kind == "input"]),
        who=first.who,
        day=first.day,
    )


def _flow_year(year: int, parts: dict[str, float]) -> FlowYear:
    nothing = math.nan
    return FlowYear(
        year=year, parts=parts, total=sum(parts.values()), cumulative=nothing, discounted_cumulative=nothing
    )


def _spread(row: Promise) -> Spread:
    ends = {name: math.inf if getattr(row, name) is None else getattr(row, name) for name in ("low", "middle", "high")}
    return Spread(mean=math.inf if row.amount is None else row.amount, **ends)


def _inputs(rows: list[Promise]) -> PromisedInputs:
    patterns = tuple(dict.fromkeys(row.pattern for row in rows if row.pattern))
    by_key: dict[str, list[Promise]] = {}
    for row in rows:
        by_key.setdefault(row.item, []).append(row)
    return PromisedInputs(patterns=patterns, inputs={key: _array(of_key) for key, of_key in by_key.items()})


def _array(rows: list[Promise]) -> float | NDArray[np.float64]:
    """One input in the form in which it was stored: its rows stand pattern by pattern, year by year."""
    values = np.array([row.amount or 0.0 for row in rows])
    if rows[0].pattern:
        return values.reshape(len({row.pattern for row in rows}), -1, 1)
    return values if rows[0].year is not None else float(values[0])
