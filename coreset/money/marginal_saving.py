"""What one pattern's going over saves a year beside the rest of the chosen set, at any volume and number of runs.

In: runs of the inputs and the chosen set. Out: savings by pattern. Every pattern is tried with and without the setter,
as columns of one evaluation of the declared figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.figures import Size, evaluate
from coreset.figures.arrays import given
from coreset.money.cash_flow import size_of
from coreset.money.figures import MODEL
from coreset.money.option_inputs import option_inputs
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

CELLS = 1_000_000
"""Patterns times columns of one evaluation at most."""
FULL_YEAR = {"moved_from": 1.0, "volume_share": 1.0, "delivery_months": 0.0, "warranty_years": 0.0}
"""Inputs of a year of today's volumes with the whole set gone over and nothing paid by the vendor."""
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSet:
    """The chosen set, (patterns, 1), of an option, with the inputs of all runs as arrays."""

    sample: Sample
    plan: Plan
    way: Way
    inputs: dict[str, Vector]
    size: Size
    columns: dict[int, dict[str, Vector]] = field(default_factory=dict, compare=False, repr=False)
    """Inputs repeated so many times side by side, once made."""

    def at(self, places: NDArray[np.int64]) -> ChosenSet:
        """The same on some of the runs, in order of their places."""
        if len(places) == self.size.runs:
            return self
        inputs = {key: value[:, :, places] if value.shape[2] > 1 else value for key, value in self.inputs.items()}
        values = {n: np.asarray(v)[places] if np.ndim(v) else v for n, v in self.sample.values.items()}
        size = replace(self.size, runs=len(places))
        return replace(self, sample=Sample(n=len(places), values=values), inputs=inputs, size=size, columns={})

    @property
    def volume(self) -> Vector:
        """Molds a year of each pattern, (patterns, n)."""
        return np.broadcast_to(self.inputs["molds_per_year"][:, 0], (self.size.patterns, self.size.runs))

    @property
    def runs(self) -> Vector:
        """Runs a year of each pattern, (patterns, n)."""
        return np.broadcast_to(self.inputs["runs_per_year"][:, 0], (self.size.patterns, self.size.runs))


def chosen_set(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector) -> ChosenSet:
    """The set with its inputs, in a year of today's volumes with all of it gone over; `chosen` is (patterns, 1).

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
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over.
    """
    size = size_of(plan, money, sample.n)
    made = option_inputs(sample, plan, way, money, chosen) | FULL_YEAR
    inputs = given(MODEL, made, size)
    inputs = {key: value for key, value in inputs.items() if key in MODEL.inputs}
    return ChosenSet(sample=sample, plan=plan, way=way, inputs=inputs, size=size)


def saved(
    of: ChosenSet, rows: Sequence[int] | NDArray[np.int64], *, volume: Vector | None = None, runs: Vector | None = None
) -> NDArray[np.float64]:
    """What each pattern's going over saves a year beside the rest, before its mask and mask repair, (rows, n).

    What the setter costs however many patterns use it drops out, unless no other pattern uses it. [currency/year]

    Parameters
    ----------
    of : ChosenSet
        The rest of the set.
    rows : sequence of int
        Places of the patterns.
    volume, runs : ndarray, shape (rows, n), optional
        Molds and runs a year of those patterns in place of their own.
    """
    volume = of.volume[list(rows)] if volume is None else volume
    runs = of.runs[list(rows)] if runs is None else runs
    found = np.empty((len(rows), of.size.runs))
    for part in _parts(len(rows), of.size):
        found[part] = _difference(of, np.asarray(rows)[part], volume[part], runs[part])
    return found


def _parts(count: int, size: Size) -> Iterator[slice]:
    """Rows that fit into one evaluation together."""
    step = max(1, CELLS // (2 * size.patterns * size.runs))
    return (slice(start, start + step) for start in range(0, count, step))


def _repeated(inputs: dict[str, Vector], times: int) -> dict[str, Vector]:
    return {key: np.tile(value, times) if value.shape[2] > 1 else value for key, value in inputs.items()}


def _difference(of: ChosenSet, rows: NDArray[np.int64], volume: Vector, runs: Vector) -> Vector:
    """Saving with each pattern over less saving with it left, columns ordered by pattern, with and without, run."""
    n, times = of.size.runs, 2 * len(rows)
    inputs = dict(of.columns.get(times) or of.columns.setdefault(times, _repeated(of.inputs, times)))
    for key, values in (("moved", None), ("molds_per_year", volume), ("runs_per_year", runs)):
        array = np.broadcast_to(inputs[key], (of.size.patterns, 1, times * n)).copy()
        view = array.reshape(of.size.patterns, len(rows), 2, n)
        for k, row in enumerate(rows):
            view[row, k] = np.array([[1.0], [0.0]]) if values is None else values[k]
        inputs[key] = array
    size = Size(patterns=of.size.patterns, years=of.size.years, runs=times * n, order=of.size.order)
    found = evaluate(MODEL, inputs, size, keep=["saving_now", "mask_repair_now"])
    parts = [np.broadcast_to(found[key][0, 0], times * n) for key in ("saving_now", "mask_repair_now")]
    both = (parts[0] - parts[1]).reshape(len(rows), 2, n)
    return both[:, 0] - both[:, 1]
