"""Rows of the tables that only the long form has: mold cycles, elements of a study, items by year, worth of knowing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.brief.tables import Rows
from coreset.money.report.financing import flows
from coreset.money.report.names import input_name, item_name
from coreset.report.numbers import NONE, borne, ends, number, rough
from coreset.text import say

YEARS_A_TABLE = 11
THOUSAND = 1000.0


def mold_cycles(assessment: Any) -> Rows:
    """Mold cycle of each pattern and method with its interval, and the steps of the loop that sets it."""
    return [
        [
            row.pattern,
            row.method,
            borne(row.mean_s, row.low_s, row.high_s, most=1),
            ends(row.low_s, row.high_s),
            number(row.p90_s, 1),
            ", ".join(row.critical),
        ]
        for row in assessment.mold_cycles
    ]


def element(item: Any) -> tuple[str, ...]:
    """One element of a study: readings, mean and scatter, rating, allowance, the times that follow."""
    return (
        item.element,
        item.kind,
        str(item.readings) if item.readings else NONE,
        _number(item.mean_s, 2),
        _number(item.sd_s, 2),
        _number(item.per_mold, 3),
        _number(item.observed_s, 2),
        _number(item.rating_pct, 0),
        _number(item.normal_s, 2),
        _number(item.allowance_pct, 1),
        _number(item.standard_s, 2),
    )


def _number(value: float | None, digits: int) -> str:
    return NONE if value is None or not math.isfinite(value) else number(value, digits)


def items(assessment: Any) -> Iterator[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """Every item of the cash flow by year, in thousands; heads and rows, in so many tables as the years need."""
    flow = assessment.money.cash_flow
    names = list(dict.fromkeys(name for year in flow for name in year.parts))
    lines = {item_name(name): [year.parts.get(name, 0.0) for year in flow] for name in names}
    return _by_year(lines | {say("brief.total"): [year.total for year in flow]})


def own_money(assessment: Any) -> Iterator[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """From the flow of the project to that of the plant's own money, where there is a loan or a grant."""
    return _by_year(flows(assessment.money))


def _by_year(
    lines: Mapping[str, Sequence[float] | NDArray[np.float64]],
) -> Iterator[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """Lines by year, now first, in thousands, in so many tables as the years need."""
    count = max(map(len, lines.values()), default=0)
    for start in range(0, count, YEARS_A_TABLE):
        years = range(start, min(start + YEARS_A_TABLE, count))
        rows = [(name, *(number(line[t] / THOUSAND, 1) for t in years)) for name, line in lines.items()]
        yield (say("brief.item"), *map(str, years)), rows


def knowing(assessment: Any) -> Rows:
    """What knowing one input exactly would be worth, where chance alone would not show as much."""
    return [
        [input_name(row.name), rough(row.worth)]
        for row in sorted(assessment.money.knowing, key=lambda row: -row.worth)
        if row.above_noise
    ]
