"""The course of the money over the years: flow by year, its fan over the draws, the chance of being back by a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coreset.money.cash_flow import Flow
from coreset.money.decision import FanYear, FlowYear
from coreset.money.discount import factors
from coreset.money.simulation_inputs import HIGH, LOW

FAN_DRAWS = 20_000
STEP = 0.25
"""Years between two points of the payback curve."""


ROUNDING = 1e-9
"""Parts of a flow below it are what is left of a difference that is nothing. [currency]"""


def flow_table(flow: Flow, rate: float) -> tuple[FlowYear, ...]:
    """Mean flow by year of one run or more, with its parts, cumulated plain and discounted. [currency]"""
    total = flow.total.mean(axis=0)
    plain, discounted = np.cumsum(total), np.cumsum(total * factors(rate, total.size - 1))
    return tuple(
        FlowYear(
            year=t,
            parts={name: float(values[t]) for name, values in flow.means.items() if abs(values[t]) > ROUNDING},
            total=float(total[t]),
            cumulative=float(plain[t]),
            discounted_cumulative=float(discounted[t]),
        )
        for t in range(total.size)
    )


def fan(flow: Flow, rate: float) -> tuple[FanYear, ...]:
    """Discounted money cumulated to each year's end: low, middle, high over the draws. [currency]"""
    part = flow.total[:FAN_DRAWS]
    total = np.cumsum(part * factors(rate, part.shape[1] - 1), axis=1)
    edges = np.quantile(total, [LOW, 0.5, HIGH], axis=0).T
    return tuple(FanYear(year=t, low=float(a), middle=float(b), high=float(c)) for t, (a, b, c) in enumerate(edges))


def payback_curve(back: NDArray[np.float64], years: int) -> tuple[tuple[float, float], ...]:
    """Years in steps of a quarter, and the share of paybacks, (n,), that are not longer. [years, -]"""
    steps = np.arange(0.0, years + STEP, STEP)
    shares = np.searchsorted(np.sort(back), steps, side="right") / back.size
    return tuple(zip(steps.tolist(), shares.tolist(), strict=True))
