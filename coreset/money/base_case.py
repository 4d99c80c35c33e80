"""The base case: the chosen set with every input at one fixed value, the mean of its range. In: runs. Out: all figures.

Headline, cash flow, working, sensitivity and workbook show this case; ranges and chances come from the runs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case import Money
from coreset.figures import Size, evaluate
from coreset.figures.arrays import given
from coreset.money.cash_flow import size_of
from coreset.money.figures import MODEL
from coreset.money.option_inputs import OF_THE_SETTER, option_inputs
from coreset.money.simulation_inputs import MASK, OF_PLANT, PER_PATTERN, Sample
from coreset.money.year_plan import Plan, Way, rate_name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BaseCase:
    """Fixed values of every input and figure.

    `inputs` as they were handed to the model; `values` by key, (patterns or 1, years or 1, 1), of figures on the
    timeline one longer, now first. `ends`: low, middle and high of the runs of an uncertain input, by key and pattern
    ('' for the plant).
    """

    patterns: tuple[str, ...]
    years: int
    size: Size
    inputs: Mapping[str, ArrayLike]
    values: Mapping[str, NDArray[np.float64]]
    ends: Mapping[tuple[str, str], tuple[float, float, float]]

    def number(self, key: str, pattern: int = 0, year: int = 1) -> float:
        """Value of a key for a pattern and a year; year 0, now, on the timeline only."""
        array, place = self.values[key], year if "t" in MODEL.axes[key] else year - 1
        return float(array[min(pattern, array.shape[0] - 1), min(place, array.shape[1] - 1), 0])

    def flow(self, key: str = "project_flow") -> NDArray[np.float64]:
        """A figure by year, (years,) or, on the timeline, (years + 1,)."""
        length = self.years + ("t" in MODEL.axes[key])
        return np.broadcast_to(self.values[key][0, :, 0], length)


def base_case(sample: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[np.float64]) -> BaseCase:
    """All figures of one option at the mean of every input.

    Parameters
    ----------
    sample, plan, way, money
        As for :func:`coreset.money.cash_flow.cash_flow`.
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over.
    """
    inputs, size = option_inputs(sample.centre(), plan, way, money, chosen), size_of(plan, money, 1)
    values = given(MODEL, inputs, size) | evaluate(MODEL, inputs, size, keep=MODEL.figures)
    names = _names(sample, plan, way)
    uncertain = {place: name for place, name in names.items() if np.ndim(sample[name])}
    spreads = {name: sample.spread(name) for name in set(uncertain.values())}
    ends = {place: spreads[name] for place, name in uncertain.items()}
    return BaseCase(
        patterns=plan.patterns,
        years=money.years,
        size=size,
        inputs=inputs,
        values=values,
        ends=ends,
    )


def _names(sample: Sample, plan: Plan, way: Way) -> dict[tuple[str, str], str]:
    """Names of the simulation's inputs by key and pattern ('' for the plant), where the option reads them."""
    unread = {*(key for key, value in way.inputs.items() if not isinstance(value, str))}
    unread |= set() if way.mechanised else {"setter_price", *OF_THE_SETTER}
    named: dict[str, Any] = {key: key for key in OF_PLANT} | {
        key: name for key, name in way.inputs.items() if isinstance(name, str)
    }
    found = {(key, ""): name for key, name in named.items() if key not in unread and key != MASK}
    for code in plan.patterns:
        named = {key: f"{key}.{code}" for key in PER_PATTERN} | {"runs_per_year": f"runs.{code}"}
        named |= {"rate_today": rate_name(code, plan.baseline), "rate_proposed": rate_name(code, way.method)}
        if way.mechanised:
            named |= {"holds": f"held.{code}", "mask_cost": way.inputs.get(MASK, f"{MASK}.{code}")}
        if way.method == plan.candidate:
            named["scrap_saved"] = f"scrap.{code}"
        found |= {(key, code): name for key, name in named.items() if name in sample.values}
        if way.mechanised:
            found.setdefault(("mask_cost", code), MASK)
    return found
