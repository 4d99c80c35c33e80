"""What moves the answer: one input at a time (tornado), and each with all the others moving (total-order index).

In: a function from a sample to a figure, and draws. Out: one row an input, largest first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.money.sample import Sample

Figure = Callable[[Sample], NDArray[np.float64]]
Columns = Mapping[str, NDArray[np.float64] | float]
ROWS = 2048
"""Draws in each of the two halves that the total-order indices compare."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """One input: the figure at its low (10 %) and high (90 %) value, the rest at their means; its total-order index.

    The index is the share of the variance that would be left if all other inputs were known. [-]
    """

    name: str
    low: float
    high: float
    at_low: float
    at_high: float
    total_order: float

    @property
    def swing(self) -> float:
        """Distance between the two ends of the bar."""
        return abs(self.at_high - self.at_low)


def total_order(
    figure: Callable[[dict, int], NDArray[np.float64]],
    first: Columns,
    second: Columns,
    groups: Mapping[str, Sequence[str]],
) -> dict[str, float]:
    """Total-order index of each group of inputs, from two independent samples of all inputs.

    Parameters
    ----------
    figure : callable
        Takes columns by name and their length, gives the figure, (n,).
    first, second : mapping of name to ndarray, shape (n,)
        Two independent samples; constants may be single numbers.
    groups : mapping of name to names
        Inputs that are exchanged together.

    Returns
    -------
    dict
        E[(f(first) - f(first with the group from second))^2]/(2 Var f). [-] 0 where the figure does not vary.

    References
    ----------
    [jansen1999].
    """
    n = max(np.size(value) for value in first.values())
    stacked = {
        name: np.concatenate(
            [first[name], second[name], *(second[name] if name in g else first[name] for g in groups.values())]
        )
        if np.ndim(first[name])
        else first[name]
        for name in first
    }
    values = figure(stacked, n * (2 + len(groups))).reshape(2 + len(groups), n)
    variance = values[:2].var()
    if variance == 0.0:
        return dict.fromkeys(groups, 0.0)
    left = ((values[2:] - values[0]) ** 2).mean(axis=1) / (2.0 * variance)
    return dict(zip(groups, map(float, left), strict=True))


def tornado(figure: Figure, sample: Sample) -> dict[str, tuple[float, float, float, float]]:
    """Low and high of each uncertain input, and the figure at both with all others at their means."""
    names, centre = sample.uncertain, sample.centre()
    n = 2 * len(names)
    columns: dict[str, NDArray[np.float64] | float] = dict(centre.values)
    edges = {name: sample.spread(name) for name in names}
    for k, name in enumerate(names):
        column = np.full(n, columns[name])
        column[2 * k], column[2 * k + 1] = edges[name][0], edges[name][2]
        columns[name] = column
    if not n:
        return {}
    values = figure(Sample(n=n, values=columns))
    return {
        name: (edges[name][0], edges[name][2], float(values[2 * k]), float(values[2 * k + 1]))
        for k, name in enumerate(names)
    }


def _groups(sample: Sample, tied: bool) -> dict[str, list[str]]:
    """Each input by itself; a margin goes with its volume where the two are tied."""
    groups = {name: [name] for name in sample.uncertain}
    for name in list(groups) if tied else []:
        field, _, code = name.partition(".")
        partner = f"molds_per_year.{code}"
        if field == "margin_per_casting" and partner in groups:
            groups[partner].append(name)
            groups.pop(name)
    return groups


def drivers(figure: Figure, sample: Sample, *, tied: bool = False) -> tuple[Driver, ...]:
    """One row for each uncertain input, by falling swing. `tied`: volumes and margins are correlated."""
    half = min(ROWS, sample.n // 2)
    bars = tornado(figure, sample)
    groups = _groups(sample, tied)
    halves = sample.rows(0, half).values, sample.rows(half, 2 * half).values
    total = (
        total_order(lambda columns, n: figure(Sample(n=n, values=columns)), *halves, groups) if half and groups else {}
    )
    rows = [
        Driver(name=name, low=a, high=b, at_low=c, at_high=d, total_order=total.get(name, float("nan")))
        for name, (a, b, c, d) in bars.items()
    ]
    return tuple(sorted(rows, key=lambda row: -row.swing))
