"""What moves the answer: one input at a time (tornado), and each with all the others moving (total-order index).

In: a function from a sample to a figure, and draws. Out: one row an input, largest first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.money.simulation_inputs import Sample

Figure = Callable[[Sample], NDArray[np.float64]]
Columns = Mapping[str, NDArray[np.float64] | float]
ROWS = 2048
"""Draws in each of the two halves that the total-order indices compare."""
INDEXED = 40
"""Inputs that get a total-order index: those with the widest bars, and those that go with the answer most."""
TOGETHER = 4
"""Groups of inputs exchanged in one calculation, so that what is held does not grow with their number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InputEffect:
    """One input: the figure at its low (10 %) and high (90 %) value, the rest at their means; its total-order index.

    The index is the share of the variance that would be left if all other inputs were known, `moved`/(2 `variance`);
    NaN where there are more inputs than INDEXED and this one is not among those that matter most. [-] `moved`: mean
    square of what its exchange moves the figure by; `variance`: of the figure. [currency^2]
    """

    name: str
    low: float
    high: float
    at_low: float
    at_high: float
    total_order: float
    moved: float
    variance: float

    @property
    def swing(self) -> float:
        """Distance between the two ends of the bar."""
        return abs(self.at_high - self.at_low)


def _share(moved: float, variance: float) -> float:
    return moved / (2.0 * variance) if variance else 0.0 * moved  # what is not known stays NaN


def exchanged_squares(
    figure: Callable[[dict[str, Any], int], NDArray[np.float64]],
    first: Columns,
    second: Columns,
    groups: Mapping[str, Sequence[str]],
) -> tuple[dict[str, float], float]:
    """Mean square by which exchanging a group moves the figure, by group, and the variance of the figure.

    The total-order index is mean square over twice the variance.

    Parameters
    ----------
    figure : callable
        Takes columns by name and their length, gives the figure, (n,). [currency]
    first : mapping of str to ndarray, shape (n,)
        One sample of the inputs; constants may be single numbers.
    second : mapping of str to ndarray, shape (n,)
        Another, independent of it.
    groups : mapping of str to sequence of str
        Inputs that are exchanged together.

    References
    ----------
    [jansen1999].
    """
    n = max(np.size(value) for value in first.values())
    plain, other = (figure(columns, n) for columns in (first, second))
    variance = float(np.concatenate([plain, other]).var())
    names, left = list(groups), []
    for start in range(0, len(names), TOGETHER):
        exchanged = [groups[name] for name in names[start : start + TOGETHER]]
        values = figure(_exchanged(first, second, exchanged), n * len(exchanged)).reshape(len(exchanged), n)
        left += ((values - plain) ** 2).mean(axis=1).tolist()
    return dict(zip(names, left, strict=True)), variance


def _exchanged(first: Columns, second: Columns, groups: Sequence[Sequence[str]]) -> Columns:
    """The first sample once for each group, with that group's inputs from the second, one below the other."""
    inside = {name for group in groups for name in group}
    return {
        name: np.concatenate([second[name] if name in group else value for group in groups])
        if name in inside
        else np.tile(value, len(groups))
        if np.ndim(value)
        else value
        for name, value in first.items()
    }


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


def _weightiest(
    groups: Mapping[str, list[str]], bars: Mapping[str, tuple[float, ...]], part: Sample, values: NDArray[Any]
) -> set[str]:
    """Groups to be indexed: those of the widest bars, and those whose draws go with the figure most."""
    if len(groups) <= INDEXED:
        return set(groups)

    def along(name: str) -> float:
        column = part[name] - np.mean(part[name])
        return abs(float(column @ values)) / max(float(np.linalg.norm(column)), np.finfo(float).tiny)

    wide = sorted(groups, key=lambda g: -max(abs(bars[name][3] - bars[name][2]) for name in groups[g]))
    tied = sorted(groups, key=lambda g: -max(along(name) for name in groups[g]))
    both = dict.fromkeys(name for pair in zip(wide, tied, strict=True) for name in pair)
    return set(list(both)[:INDEXED])


def drivers(
    figure: Figure, sample: Sample, *, groups: Mapping[str, list[str]] | None = None
) -> tuple[InputEffect, ...]:
    """One row for each uncertain input, by falling swing.

    Parameters
    ----------
    figure : callable
        The result, (n,), of a sample. [currency]
    sample : Sample
        Drawn inputs.
    groups : mapping of str to list of str, optional
        Correlated inputs, that have one index together; without it each stands alone.
    """
    half = min(ROWS, sample.n // 2)
    bars = tornado(figure, sample)
    groups = {name: [name] for name in sample.uncertain} if groups is None else groups
    moved: dict[str, float] = {}
    variance = float("nan")
    if half and groups:
        parts = sample.rows(0, half), sample.rows(half, 2 * half)
        kept = _weightiest(groups, bars, parts[0], figure(parts[0]))
        indexed = {name: group for name, group in groups.items() if name in kept}
        moved, variance = exchanged_squares(
            lambda columns, n: figure(Sample(n=n, values=columns)), *(part.values for part in parts), indexed
        )
    rows = [_driver(name, bar, moved.get(name, float("nan")), variance) for name, bar in bars.items()]
    return tuple(sorted(rows, key=lambda row: -row.swing))


def _driver(name: str, bar: tuple[float, float, float, float], moved: float, variance: float) -> InputEffect:
    low, high, at_low, at_high = bar
    return InputEffect(
        name=name,
        low=low,
        high=high,
        at_low=at_low,
        at_high=at_high,
        total_order=_share(moved, variance),
        moved=moved,
        variance=variance,
    )
