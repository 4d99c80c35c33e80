"""What would improve a task: multipliers ranked, and the smallest change in all by steps that can be built."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.lifting.constants import constants
from coreset.lifting.lift_end import MULTIPLIERS, rate
from coreset.lifting.task_values import VARIABLES, TaskAt, can_be_held, ends_of, index_of

Floats = NDArray[np.float64]
TARGET = 1.0
LATTICE_POINTS = 20_000
STARTS = 8
SIZES = (1, 2, 4, 8, 16)
"""Steps of a lever that are tried at once."""
TOLERANCE = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class IdealMultipliers:
    """The index if one or two multipliers were 1 at both ends: `names` which, `li` then, None where still without."""

    names: tuple[str, ...]
    li: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Values that bring a task to its target, from `before` to `after`, and what the index is then.

    `total` is the sum of the changes, each as a share of its allowed range; `high` the index that 90 % of cycles stay
    at or below, NaN where it was not calculated. [-]
    """

    before: dict[str, float]
    after: dict[str, float]
    li: float
    total: float
    high: float = math.nan


def ideal_multipliers(task: TaskAt) -> tuple[IdealMultipliers, ...]:
    """Index with each multiplier alone, and each pair, brought to 1 at both ends; best first.

    Brought to 1 means: load at the body (HM), hands at the reference height (VM), little travel (DM), no twist (AM),
    seldom and for a short time (FM), a good hold (CM) [waters1994] section 1.3.
    """
    ends = [rate(posture) for posture in ends_of(task).values()]
    load = constants(task.units).load_constant
    found = []
    for names in (*((name,) for name in MULTIPLIERS), *itertools.combinations(MULTIPLIERS, 2)):
        left = [math.prod(float(getattr(end, m)) for m in MULTIPLIERS if m not in names) for end in ends]
        least = min(left)
        found.append(IdealMultipliers(names=names, li=task.values["mass"] / (load * least) if least > 0 else None))
    return tuple(sorted(found, key=lambda one: (len(one.names), math.inf if one.li is None else one.li)))


def smallest_changes(
    task: TaskAt, places: Mapping[str, Floats], *, target: float, starts: Sequence[Mapping[str, float]] = ()
) -> tuple[dict[str, float], ...]:
    """Steps that reach a target with a small total change, the smallest first; each change as a share of its range.

    The whole of the ranges is searched on a lattice; the cheapest points of it, and the starts, are then brought back
    towards today's values by steps of one value, and of one back and another on, until none is cheaper.

    Parameters
    ----------
    task : TaskAt
        The task as it is.
    places : mapping of name to ndarray
        Values that each lever may take, rising, today's among them; names of `task_values.VARIABLES`.
    target : float
        Index to reach. [-]
    starts : sequence of mapping
        Changes that may reach the target, to be brought back as well.

    Returns
    -------
    tuple of dict
        What is changed: nothing in the first where nothing need be; no dict where no point tried reaches the target.
    """
    if index_of(task) <= target:
        return ({},)
    if not places:
        return ()
    steps = _steps(task, places)
    points = np.vstack((_lattice(steps), *(steps.at(after) for after in starts)))
    good = points[_reaches(task, steps, points, target)]
    if not len(good):
        return ()
    ends = np.unique([_brought_back(task, steps, start, target) for start in _unlike(steps, good)], axis=0)
    return tuple(steps.changes(end) for end in ends[np.argsort(steps.cost(ends), kind="stable")])


def changes_near(
    task: TaskAt, places: Mapping[str, Floats], after: Mapping[str, float], *, target: float, below: float
) -> tuple[dict[str, float], ...]:
    """Changes at most one step of each changed lever away that reach a target for less than a total; smallest first.

    Parameters
    ----------
    task, places
        As for `smallest_changes`.
    after : mapping of name to float
        The change from which the steps are taken.
    target : float
        Index to reach. [-]
    below : float
        Total change that is not reached. [-]
    """
    if not after:
        return ()
    steps = _steps(task, places)
    point = steps.at(after)
    sides = [(-1, 0, 1) if name in after else (0,) for name in steps.axes]
    points = np.clip(point + np.array(list(itertools.product(*sides))), 0, steps.last)
    points = np.unique(points[steps.cost(points) < below - TOLERANCE], axis=0)
    if not len(points):
        return ()
    points = points[_reaches(task, steps, points, target)]
    return tuple(steps.changes(one) for one in points[np.argsort(steps.cost(points), kind="stable")])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Steps:
    """The values of each lever by their place, the place of today's, and what each costs as a share of the range."""

    axes: dict[str, Floats]
    today: NDArray[np.int64]
    costs: tuple[Floats, ...]

    @property
    def last(self) -> NDArray[np.int64]:
        """Place of the last value of each lever."""
        return np.array([len(axis) - 1 for axis in self.axes.values()])

    def values(self, points: NDArray[np.int64]) -> dict[str, Floats]:
        """Values of points, (n, levers) places."""
        return {name: axis[points[:, k]] for k, (name, axis) in enumerate(self.axes.items())}

    def cost(self, points: NDArray[np.int64]) -> Floats:
        """Total change of points."""
        return np.sum([cost[points[:, k]] for k, cost in enumerate(self.costs)], axis=0)

    def at(self, after: Mapping[str, float]) -> NDArray[np.int64]:
        """The point of changes that are values of the levers."""
        places = [np.searchsorted(axis, after[name]) if name in after else None for name, axis in self.axes.items()]
        return np.array([now if k is None else k for k, now in zip(places, self.today, strict=True)])

    def changes(self, point: NDArray[np.int64]) -> dict[str, float]:
        """Values of a point that are not today's."""
        rows = zip(self.axes.items(), point, self.today, strict=True)
        return {name: float(axis[at]) for (name, axis), at, now in rows if at != now}


def _steps(task: TaskAt, places: Mapping[str, Floats]) -> _Steps:
    axes = dict(places)
    now = [task.values[name] for name in axes]
    return _Steps(
        axes=axes,
        today=np.array([np.searchsorted(axis, x) for axis, x in zip(axes.values(), now, strict=True)]),
        costs=tuple(np.abs(axis - x) / np.ptp(axis) for axis, x in zip(axes.values(), now, strict=True)),
    )


def _reaches(task: TaskAt, steps: _Steps, points: NDArray[np.int64], target: float) -> NDArray[np.bool_]:
    """Whether points reach a target with the core between hands and body."""
    values = steps.values(points)
    return (index_of(task, **values) <= target) & can_be_held(task, **values)


def _lattice(steps: _Steps) -> NDArray[np.int64]:
    """Points over the whole ranges, both ends and today's values among them."""
    levels = max(2, int(LATTICE_POINTS ** (1 / len(steps.axes))))
    axes = [
        np.unique(np.append(np.linspace(0, last, min(levels, last + 1)).round().astype(int), now))
        for last, now in zip(steps.last, steps.today, strict=True)
    ]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))


def _brought_back(task: TaskAt, steps: _Steps, start: NDArray[np.int64], target: float) -> NDArray[np.int64]:
    """A point that reaches the target from which no step does so at less cost."""
    moves = _moves(len(start))
    point = start
    while True:
        near = np.clip(point + moves, 0, steps.last)
        near = near[steps.cost(near) < steps.cost(point[None])[0] - TOLERANCE]
        near = near[np.argsort(steps.cost(near), kind="stable")]
        good = np.flatnonzero(_reaches(task, steps, near, target)) if len(near) else np.zeros(0, dtype=int)
        if not len(good):
            return point
        point = near[good[0]]


def _unlike(steps: _Steps, points: NDArray[np.int64]) -> NDArray[np.int64]:
    """Of the points that change the same levers the cheapest, cheapest first, and not too many."""
    ordered = points[np.argsort(steps.cost(points), kind="stable")]
    levers = (ordered != steps.today) @ (1 << np.arange(len(steps.today)))
    return ordered[np.sort(np.unique(levers, return_index=True)[1])[:STARTS]]


@functools.cache
def _moves(count: int) -> NDArray[np.int64]:
    """Steps tried from a point: one value, and two values, by each of the sizes."""
    rows = []
    one = np.eye(count, dtype=int)
    signed = [sign * size for size in SIZES for sign in (-1, 1)]
    rows += [size * one[k] for k in range(count) for size in signed]
    for a, b in itertools.combinations(range(count), 2):
        rows += [first * one[a] + second * one[b] for first, second in itertools.product(signed, signed)]
    return np.array(rows)


def with_hold(task: TaskAt, coupling: str) -> TaskAt:
    """The same task with another hold."""
    return replace(task, coupling=coupling)


def in_halves(task: TaskAt) -> TaskAt:
    """The same core in two parts: half the load, twice as often."""
    values = dict(task.values)
    values["mass"], values["frequency_per_min"] = values["mass"] / 2, values["frequency_per_min"] * 2
    return replace(task, values={name: values[name] for name in VARIABLES})
