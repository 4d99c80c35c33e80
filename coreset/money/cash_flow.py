"""Cash flow by year, nominal, against the current method. In: runs, an option, the chosen patterns. Out: flows, items.

All of it is worked out from the declared figures; prices and wages are entered as of today and grow to the end of each
year, the residual value is in money of its day.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.figures import Size, evaluate
from coreset.money.figures import MODEL
from coreset.money.option_inputs import option_inputs
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

Vector = NDArray[np.float64]
VECTORS = {
    "first_cost": "first_cost",
    "yearly": "saving_now",
    "way_hours": "setter_hours_with_changes",
    "way_hours_most": "setter_hours_with_changes",
    "line_hours": "hours_occupied_proposed",
    "hours_saved": "hours_saved",
    "molds_sold": "molds_sold_more",
}
"""Parts of a `Flow` that have one value a run, and the figures behind them."""
FULLEST = ("line_hours", "way_hours_most")
"""Those that are of the fullest year; of all others it is the mean of the years."""
YEARLY_ITEMS = (*MODEL.kinds["operating"], *MODEL.kinds["occasional"], "sale", "capital_released", "tax")
FIRST_ITEMS = (*MODEL.kinds["capital"], *MODEL.kinds["expensed"], *MODEL.kinds["tied_up"])
NAMES = {"setter_installation": "installation", "crew_training": "training", "sale": "residual"}
"""Names of items where they differ from the key of the figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Cash flows of an option against the current method.

    `total` (n, years + 1) after tax; `means` is the mean of each item by year (years + 1,), which add up to the mean
    of the total; `first_cost` (n,); `yearly` (n,) is the saving of a year at today's prices without tax; hours (n,) of
    the line a year, `way_hours` of the setter with its mask changes. What changes from year to year is the mean of the
    years, `line_hours` and `way_hours_most` those of the fullest one.
    """

    total: Vector
    means: dict[str, Vector]
    first_cost: Vector
    yearly: Vector
    way_hours: Vector
    way_hours_most: Vector
    line_hours: Vector
    hours_saved: Vector
    molds_sold: Vector


def size_of(plan: Plan, money: Money, runs: int) -> Size:
    """Patterns, years and runs of an evaluation, the order in which freed hours are sold included.

    Parameters
    ----------
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    money : Money
        Prices, years, rates and limits.
    runs : int
        Number of runs.
    """
    order = {"margin_per_h": np.array(plan.order)}
    return Size(patterns=len(plan.patterns), years=money.years, runs=runs, order=order)


def cash_flow(
    sample: Sample,
    plan: Plan,
    way: Way,
    money: Money,
    chosen: Vector,
    *,
    progress: Callable[[int], None] | None = None,
) -> Flow:
    """Cash flow of one option for the chosen patterns, over all runs.

    Parameters
    ----------
    sample, plan, way : Sample, Plan, Way
        Runs, what does not vary, and the option.
    money : Money
        Years and rule of depreciation.
    chosen : ndarray, shape (patterns, 1) or (patterns, n)
        1 where a pattern goes over.
    progress : callable
        Told the number of runs of each block when it is done.

    Returns
    -------
    Flow
    """
    found = evaluate(
        MODEL,
        option_inputs(sample, plan, way, money, chosen),
        size_of(plan, money, sample.n),
        keep=list(dict.fromkeys(["project_flow", *VECTORS.values()])),
        mean=[key for key in (*YEARLY_ITEMS, *FIRST_ITEMS) if key not in VECTORS.values()],
        progress=progress,
    )
    return Flow(
        total=np.broadcast_to(found["project_flow"][0], (money.years + 1, sample.n)).T,
        means=_items(found, money.years),
        **{name: np.broadcast_to(_of_years(name, found[key][0]), sample.n) for name, key in VECTORS.items()},
    )


def flows(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector) -> Vector:
    """Project flow of one option by run and year, (n, years + 1), without its items; arguments as `cash_flow`.

    Parameters
    ----------
    sample : Sample
        Runs of every input, n of them.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    money : Money
        Prices, years, rates and limits.
    chosen : ndarray, shape (patterns, 1) or (patterns, n)
        1 where a pattern goes over.
    """
    inputs, size = option_inputs(sample, plan, way, money, chosen), size_of(plan, money, sample.n)
    found = evaluate(MODEL, inputs, size, keep=["project_flow"])["project_flow"]
    return np.broadcast_to(found[0], (money.years + 1, sample.n)).T


def _of_years(name: str, values: Vector) -> Vector:
    """One value a run from values by year, (years or 1, n)."""
    if len(values) == 1:
        return values[0]
    return values.max(axis=0) if name in FULLEST else values.mean(axis=0)


def _items(found: dict[str, Vector], years: int) -> dict[str, Vector]:
    """Mean of each item by year, now first; items that are 0 throughout left out."""
    items = {}
    for key in (*YEARLY_ITEMS, *FIRST_ITEMS):
        by_year, value = np.zeros(years + 1), found[key][0, :, 0]
        if key in FIRST_ITEMS:
            by_year[0] = -value[0]
        else:
            by_year[1:] = value
        if by_year.any():
            items[NAMES.get(key, key)] = by_year
    return items
