"""What a pattern's going over saves a year, its own mask paid, and the run and the volume from which it does."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.figures.functions import WHOLE
from coreset.money.discount import annuity_factor
from coreset.money.first_gain import Places, first_gain
from coreset.money.marginal_saving import ChosenSet, saved
from coreset.money.simulation_inputs import MASK, Sample
from coreset.money.year_plan import Plan

FARTHEST = 50.0
LEAST_VOLUME = 1e-6
"""Volume that stands for none, so that a share of it is defined. [molds/year]"""
Vector = NDArray[np.float64]


def mask_cost(sample: Sample, plan: Plan, i: int) -> Vector | float:
    """Cost of the masks of one pattern, spares included, (n,) or ().

    Parameters
    ----------
    sample : Sample
        Drawn price of a mask, by pattern where it has its own. [currency]
    plan : Plan
        Patterns and spares.
    i : int
        Place of the pattern in the plan.
    """
    return np.asarray(sample.values.get(f"{MASK}.{plan.patterns[i]}", sample[MASK])) * masks_each(plan)


def masks_each(plan: Plan) -> float:
    """Masks of one pattern, spares included."""
    return plan.figure("masks_each")


def masks(of: ChosenSet, money: Money, rows: Sequence[int] | Places, volume: Vector) -> Vector:
    """What the patterns' masks cost a year, (rows, n): the first by annuity, later ones evenly, and repair.

    Parameters
    ----------
    of : ChosenSet
        The set, with the inputs of n runs.
    money : Money
        Discount rate and years.
    rows : sequence of int
        Places of the patterns.
    volume : ndarray, shape (rows, n)
        Molds a year, by which masks wear. [molds/year]
    """
    if not of.way.mechanised:
        return np.zeros_like(volume)
    each, life = masks_each(of.plan), of.plan.stated["mask_life_molds"]
    first = each * np.broadcast_to(of.inputs["mask_cost"][:, 0], (of.size.patterns, of.size.runs))[list(rows)]
    worn = np.maximum(0.0, np.ceil(volume * money.years / life * WHOLE) - 1.0) if life else 0.0
    repair = each * np.asarray(of.sample["mask_repair_per_year"])
    return first / annuity_factor(money.discount_rate, money.years) + first / each * worn / money.years + repair


def net_saving(
    of: ChosenSet, money: Money, rows: Sequence[int] | Places, volume: Vector | None = None, runs: Vector | None = None
) -> Vector:
    """What each pattern's going over saves a year, its own mask paid, (rows, n). [currency/year]

    Parameters
    ----------
    of : ChosenSet
        The rest of the set, with the inputs of n runs.
    money : Money
        Prices, years, rates and limits.
    rows : sequence of int
        Places of the patterns.
    volume : ndarray, shape (rows, n), optional
        Molds a year in place of the patterns' own. [molds/year]
    runs : ndarray, shape (rows, n), optional
        Runs a year in place of their own. [1/year]
    """
    made = of.volume[list(rows)] if volume is None else volume
    return saved(of, rows, volume=made, runs=runs) - masks(of, money, rows, made)


def break_even_run(of: ChosenSet, money: Money, rows: Sequence[int] | Places) -> Vector:
    """Run length from which each pattern earns its changes and mask at the same yearly volume, (rows, n). [molds]

    Parameters
    ----------
    of : ChosenSet
        Drawn inputs, volumes and runs of the chosen set.
    money : Money
        Prices and terms.
    rows : sequence of int
        Places of the patterns.
    """
    volume, places = of.volume[list(rows)], np.asarray(rows)

    def saving(tried: Vector, some: Places, columns: Places) -> Vector:
        return net_saving(of.at(columns), money, places[some], volume[np.ix_(some, columns)], tried)

    most, one = np.maximum(volume, LEAST_VOLUME), np.minimum(1.0, np.maximum(volume, LEAST_VOLUME))
    runs = first_gain(saving, most, one)
    return np.where(np.isfinite(runs), np.maximum(1.0, volume / runs), np.inf)


def break_even_volume(of: ChosenSet, money: Money, rows: Sequence[int] | Places) -> Vector:
    """Yearly volume from which each pattern earns its mask at the same run length, (rows, n). [molds/year]

    Looked for between a fiftieth and fifty times of today's volume.

    Parameters
    ----------
    of : ChosenSet
        Drawn inputs, volumes and runs of the chosen set.
    money : Money
        Prices and terms.
    rows : sequence of int
        Places of the patterns.
    """
    volume = np.maximum(of.volume[list(rows)], LEAST_VOLUME)
    runs, places = of.runs[list(rows)], np.asarray(rows)

    def saving(made: Vector, some: Places, columns: Places) -> Vector:
        here = np.ix_(some, columns)
        return net_saving(of.at(columns), money, places[some], made, runs[here] * made / volume[here])

    return first_gain(saving, volume / FARTHEST, volume * FARTHEST)
