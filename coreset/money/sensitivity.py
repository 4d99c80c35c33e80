"""What moves the answer at fixed values: one input at a time, the value at which the answer turns, the highest price.

All is worked out from the base case, every input changed alone, all of them together as columns of one evaluation.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.figures import Model, Size, evaluate
from coreset.figures.arrays import given, shaped

GRID = 33
"""Values tried between the ends of an input before its crossing is narrowed down."""
PARTS, ROUNDS = 16, 8
"""Parts into which a crossing's interval is divided, and how often: 16^8 is 2^32."""
FEW = 8
"""Entries up to which PARTS^2 parts are taken, half as often."""
HIGHEST_FACTOR = 20.0
"""A highest price is searched up to so many times the price."""
Array = NDArray[np.float64]
Inputs = Mapping[str, ArrayLike]


@dataclass(frozen=True, slots=True)
class SensitivityInput:
    """One number among the inputs: a key, and the place of the pattern where it varies by pattern."""

    key: str
    pattern: int | None = None

    def name(self, codes: Sequence[str]) -> str:
        """Key, and code of the pattern where there is one."""
        return self.key if self.pattern is None else f"{self.key}.{codes[self.pattern]}"


def changed(
    model: Model, inputs: Inputs, size: Size, entries: Sequence[SensitivityInput], values: ArrayLike
) -> dict[str, Array]:
    """The base case once for each entry, with that entry alone at another value.

    Parameters
    ----------
    model, inputs, size : Model, mapping, Size
        The base case, one run.
    entries : sequence of SensitivityInput
        What is changed in each column.
    values : array_like, shape (entries,)
        The value of each.

    Returns
    -------
    dict of str to ndarray, shape (patterns or 1, years or 1, entries or 1)
    """
    found: dict[str, Any] = dict(inputs)
    new = np.asarray(values, dtype=float)
    for key in {entry.key for entry in entries}:
        found[key] = shaped(model, key, found.get(key, model.inputs[key].default), size)
    for column, entry in enumerate(entries):
        array = found[entry.key]
        if array.shape[2] == 1:
            count = size.patterns if entry.pattern is not None else array.shape[0]
            array = np.broadcast_to(array, (count, array.shape[1], len(entries))).copy()
            found[entry.key] = array
        rows = slice(None) if entry.pattern is None else entry.pattern
        array[rows, :, column] = new[column]
    return found


def at(
    model: Model,
    inputs: Inputs,
    size: Size,
    entries: Sequence[SensitivityInput],
    values: ArrayLike,
    targets: Sequence[str],
) -> dict[str, Array]:
    """Single figures of the base case with one entry at another value, by target, each (entries,).

    Parameters
    ----------
    model : Model
        The declarations.
    inputs : mapping of str to array_like
        Inputs of the base case, one run.
    size : Size
        Patterns, years, runs.
    entries : sequence of SensitivityInput
        What is changed in each column.
    values : array_like, shape (entries,)
        The value of each, in the unit of its entry.
    targets : sequence of str
        Keys of single figures.
    """
    columns = changed(model, inputs, size, entries, values)
    found = evaluate(model, columns, replace(size, runs=len(entries)), keep=targets)
    return {key: np.broadcast_to(value[0, 0], len(entries)) for key, value in found.items()}


def break_even(
    model: Model,
    inputs: Inputs,
    size: Size,
    limits: Mapping[SensitivityInput, tuple[float, float]],
    *,
    target: str = "npv",
    goal: float = 0.0,
) -> dict[SensitivityInput, float]:
    """The value of each entry, nearest to its own, at which a figure passes a goal; NaN where it never does.

    Parameters
    ----------
    model, inputs, size : Model, mapping, Size
        The base case, one run.
    limits : mapping of SensitivityInput to (float, float)
        Lowest and highest value that the entry may have; nothing is searched outside.
    target : str
        A single figure.
    goal : float
        What it passes, in its unit.

    Returns
    -------
    dict of SensitivityInput to float
        In the unit of the entry.
    """

    def reached(entries: Sequence[SensitivityInput], values: Array) -> NDArray[np.bool_]:
        return at(model, inputs, size, entries, values, [target])[target] >= goal

    return _crossings(model, inputs, size, limits, reached)


def _crossings(
    model: Model,
    inputs: Inputs,
    size: Size,
    limits: Mapping[SensitivityInput, tuple[float, float]],
    reached: Callable[[Sequence[SensitivityInput], Array], NDArray[np.bool_]],
) -> dict[SensitivityInput, float]:
    """Where a condition changes between the limits, nearest to each entry's own value, narrowed down by halving."""
    entries = list(limits)
    if not entries:
        return {}
    base = given(model, inputs, size)
    own = np.array([float(base[e.key][e.pattern or 0 if base[e.key].shape[0] > 1 else 0].flat[0]) for e in entries])
    low, high = (np.array(side, dtype=float) for side in zip(*limits.values(), strict=True))
    grid = np.linspace(low, high, GRID - 1)
    grid = np.sort(np.vstack([grid, np.clip(own, low, high)]), axis=0)
    held = np.array(reached(entries * GRID, grid.reshape(-1))).reshape(GRID, -1)
    below, above = np.full(len(entries), np.nan), np.full(len(entries), np.nan)
    for k in range(len(entries)):
        turns = np.flatnonzero(held[1:, k] != held[:-1, k])
        if turns.size:
            nearest = turns[np.argmin(np.abs((grid[turns, k] + grid[turns + 1, k]) / 2 - own[k]))]
            below[k], above[k] = grid[nearest, k], grid[nearest + 1, k]
    known = np.flatnonzero(~np.isnan(below))
    if known.size:
        some = [entries[k] for k in known]
        below[known], above[known] = _narrowed(some, below[known], above[known], reached)
    return dict(zip(entries, ((below + above) / 2).tolist(), strict=True))


def _narrowed(
    entries: Sequence[SensitivityInput],
    below: Array,
    above: Array,
    reached: Callable[[Sequence[SensitivityInput], Array], NDArray[np.bool_]],
) -> tuple[Array, Array]:
    """Intervals about crossings, the condition known to differ at their ends, divided until they are narrow."""
    parts, rounds = (PARTS**2, ROUNDS // 2) if below.size <= FEW else (PARTS, ROUNDS)
    share, columns = np.arange(1, parts)[:, None] / parts, np.arange(below.size)
    first = np.array(reached(entries, below))
    for _ in range(rounds):
        inner = below + share * (above - below)
        same = np.array(reached(list(entries) * (parts - 1), inner.reshape(-1))).reshape(inner.shape) == first
        steps = np.where(same.all(axis=0), parts - 1, np.argmin(same, axis=0))
        edges = np.vstack([below, inner, above])
        below, above = edges[steps, columns], edges[steps + 1, columns]
    return below, above


@dataclass(frozen=True, slots=True, kw_only=True)
class HighestPrice:
    """Highest price of the setter that still meets each of the plant's limits; NaN where none does, or none is set.

    `for_npv` keeps the net present value at 0 or above, `for_payback` the payback within its limit, `for_budget` the
    initial investment within the budget. [currency] `unmet`: the limits (npv, payback, budget) that are set and that no
    price meets, not even 0.
    """

    for_npv: float
    for_payback: float
    for_budget: float
    unmet: tuple[str, ...] = ()

    @property
    def lowest(self) -> float:
        """The price that meets all limits that are set; NaN where no price does."""
        if self.unmet:
            return float("nan")
        known = [p for p in (self.for_npv, self.for_payback, self.for_budget) if not np.isnan(p)]
        return min(known, default=float("nan"))


def highest_price(
    model: Model,
    inputs: Inputs,
    size: Size,
    *,
    payback_limit_years: float,
    budget: float | None = None,
    payback: str = "payback_years",
) -> HighestPrice:
    """Highest price of the setter under each limit of the plant.

    Parameters
    ----------
    model, inputs, size : Model, mapping, Size
        The base case, one run.
    payback_limit_years : float
        Longest payback. [years] 0 is no limit.
    budget : float, optional
        Most that may be spent. [currency] None is no limit.
    payback : str
        The payback that the plant means, `payback_years` or `discounted_payback_years`.
    """
    entry = SensitivityInput("setter_price")
    price = float(np.asarray(inputs["setter_price"]).flat[0])
    first = at(model, inputs, size, [entry], [price], ["first_cost"])["first_cost"][0]
    limits = {entry: (0.0, HIGHEST_FACTOR * max(price, float(first)))}

    unmet = []

    def crossing(limit: str, target: str, goal: float | None, sign: float) -> float:
        if goal is None:
            return float("nan")

        def reached(entries: Sequence[SensitivityInput], values: Array) -> NDArray[np.bool_]:
            return sign * at(model, inputs, size, entries, values, [target])[target] >= sign * goal

        found = _crossings(model, inputs, size, limits, reached)[entry]
        if np.isnan(found) and not reached([entry], np.zeros(1))[0]:
            unmet.append(limit)
        return found

    return HighestPrice(
        for_npv=crossing("npv", "npv", 0.0, 1.0),
        for_payback=crossing("payback", payback, payback_limit_years or None, -1.0),
        for_budget=crossing("budget", "first_cost", budget, -1.0),
        unmet=tuple(unmet),
    )
