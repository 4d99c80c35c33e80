"""What would mend a task: multipliers ranked, the smallest single change, the smallest change in all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.handling.constants import constants
from coreset.handling.ends import VARIABLES, TaskAt, ends_of, index_of
from coreset.handling.rating import MULTIPLIERS, rate

Floats = NDArray[np.float64]
TARGET = 1.0
GRID = 801
REFINEMENTS = 50
LATTICE_POINTS = 60_000
STARTS = 24
FINEST = 1e-5
TOLERANCE = 1e-12
NARROWEST = 1e-6
"""Ranges narrower than this cannot be used to change anything."""
HANDS_LOW = {"metric": 40.0, "us": 16.0}  # common practice, no source: about knee height
HANDS_HIGH = {"metric": 135.0, "us": 54.0}  # common practice, no source: about shoulder height
Ranges = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """The index if one or two multipliers were 1 at both ends: `names` which, `li` then, None where still without."""

    names: tuple[str, ...]
    li: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Values that bring a task to its target, from `before` to `after`, and what the index is then.

    `total` is the sum of the changes, each as a share of its allowed range. [-]
    """

    before: dict[str, float]
    after: dict[str, float]
    li: float
    total: float


def mended(task: TaskAt) -> tuple[Mended, ...]:
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
        found.append(Mended(names=names, li=task.values["mass"] / (load * least) if least > 0 else None))
    return tuple(sorted(found, key=lambda one: (len(one.names), math.inf if one.li is None else one.li)))


def usual_ranges(task: TaskAt) -> dict[str, tuple[float, float]]:
    """Ranges to start from: reach down to the body, hands between knee and shoulder, less twist, slower.

    Common practice, no source; the user sets the plant's own. The load stands: a casting needs its core.
    """
    c, v = constants(task.units), task.values
    low, high = HANDS_LOW[task.units], HANDS_HIGH[task.units]
    found: dict[str, tuple[float, float]] = {}
    for end in ("origin", "destination"):
        reach, height = v[f"horizontal_{end}"], v[f"vertical_{end}"]
        found[f"horizontal_{end}"] = (min(c.horizontal_free, reach), reach)
        found[f"vertical_{end}"] = (min(low, height), max(high, height))
        found[f"asymmetry_{end}_deg"] = (0.0, v[f"asymmetry_{end}_deg"])
    found["frequency_per_min"] = (min(c.frequency_floor, v["frequency_per_min"]), v["frequency_per_min"])
    return {name: span for name, span in found.items() if span[1] - span[0] > NARROWEST}


def single_changes(task: TaskAt, ranges: Ranges, *, target: float = TARGET) -> tuple[Change, ...]:
    """For each value alone, the nearest one within its range that reaches the target; smallest change first.

    Parameters
    ----------
    task : TaskAt
        The task as it is.
    ranges : mapping of name to (low, high)
        What may be changed, and how far; names of `ends.VARIABLES`.
    target : float
        Index to reach. [-]

    Returns
    -------
    tuple of Change
        Empty where no single change within the ranges reaches the target.
    """
    found, ranges = [], _from_today(task, ranges)
    for name, (low, high) in ranges.items():
        if high - low <= NARROWEST:
            continue
        now = task.values[name]
        sides = [_nearest(task, name, now, goal, target) for goal in (low, high) if goal != now]
        reached = [value for value in sides if value is not None]
        if reached:
            best = min(reached, key=lambda value, now=now: abs(value - now))
            found.append(_change(task, {name: best}, ranges))
    return tuple(sorted(found, key=lambda change: change.total))


def _nearest(task: TaskAt, name: str, now: float, goal: float, target: float) -> float | None:
    """First value on the way from now to a goal at which the target is reached, refined between two grid points."""
    way = np.linspace(now, goal, GRID)
    good = np.flatnonzero(index_of(task, **{name: way}) <= target)
    if not good.size:
        return None
    if good[0] == 0:
        return now
    bad, fine = way[good[0] - 1], way[good[0]]
    for _ in range(REFINEMENTS):
        middle = (bad + fine) / 2
        bad, fine = (bad, middle) if index_of(task, **{name: middle}) <= target else (middle, fine)
    return float(fine)


def smallest_change(task: TaskAt, ranges: Ranges, *, target: float = TARGET) -> Change | None:
    """The set of values within the ranges that reaches the target with the smallest total change.

    Every change counts as a share of its allowed range, so that centimetres, degrees and lifts a minute add up. The
    whole of the ranges is searched on a lattice; the best points of it, and the single changes, are then improved by
    ever smaller steps until none helps.

    Parameters
    ----------
    task : TaskAt
        The task as it is.
    ranges : mapping of name to (low, high)
        What may be changed, and how far.
    target : float
        Index to reach. [-]

    Returns
    -------
    Change or None
        None where the target cannot be reached within the ranges.
    """
    ranges = _from_today(task, ranges)
    names = [name for name, (low, high) in ranges.items() if high - low > NARROWEST]
    now = np.array([task.values[name] for name in names])
    if index_of(task) <= target or not names:
        return _change(task, {}, ranges) if index_of(task) <= target else None
    low, high = np.array([ranges[name] for name in names]).T
    points = _lattice(now, low, high)
    good = points[_index(task, names, points) <= target]
    singles = [change.after for change in single_changes(task, ranges, target=target)]
    starts = [np.array([after.get(name, x) for name, x in zip(names, now, strict=True)]) for after in singles]
    cost = np.abs(good - now) @ (1 / (high - low))
    starts += list(good[np.argsort(cost, kind="stable")[:STARTS]])
    if not starts:
        return None
    ends = [_improve(task, names, start, (now, low, high), target) for start in starts]
    best = min(ends, key=lambda end: float(np.abs(end - now) @ (1 / (high - low))))
    moved = {n: float(x) for n, x, old in zip(names, best, now, strict=True) if x != old}
    return _change(task, moved, ranges)


def _from_today(task: TaskAt, ranges: Ranges) -> dict[str, tuple[float, float]]:
    """Ranges that reach today's value: how far it may be changed, not where it must be."""
    now = task.values
    return {name: (min(low, now[name]), max(high, now[name])) for name, (low, high) in ranges.items()}


def _lattice(now: Floats, low: Floats, high: Floats) -> Floats:
    """Points over the whole ranges, the values of today among them."""
    levels = max(2, int(LATTICE_POINTS ** (1 / len(now))))
    axes = [np.unique(np.append(np.linspace(a, b, levels), x)) for x, a, b in zip(now, low, high, strict=True)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(now))


def _index(task: TaskAt, names: list[str], points: Floats) -> Floats:
    return index_of(task, **dict(zip(names, points.T, strict=True)))


def _improve(
    task: TaskAt, names: list[str], start: Floats, bounds: tuple[Floats, Floats, Floats], target: float
) -> Floats:
    """Walk to neighbours that still reach the target at less cost; halve the step where there is none."""
    now, low, high = bounds
    wide = high - low
    # Steps in two values at once find exchanges, one back and one on, that a step in one value misses.
    steps = _directions(len(now))
    point, step = start, 0.25
    while step > FINEST:
        near = np.clip(point + step * steps * wide, low, high)
        snap = np.where(np.abs(near - now) < step * 0.5 * wide, now, near)
        near = np.concatenate((near, snap))
        near = near[_index(task, names, near) <= target]
        cost = np.abs(near - now) @ (1 / wide)
        here = float(np.abs(point - now) @ (1 / wide))
        if cost.size and cost.min() < here - TOLERANCE:
            point = near[int(np.argmin(cost))]
        else:
            step /= 2
    return point


def _directions(count: int) -> Floats:
    """Steps tried: one value, and two values, one of them by a smaller or a larger part of the step."""
    rows = []
    for k in range(count):
        for sign in (-1.0, 1.0):
            rows.append([sign if j == k else 0.0 for j in range(count)])
    for a, b in itertools.permutations(range(count), 2):
        for first, second in itertools.product((-1.0, 1.0), (-0.75, -0.5, -0.25, 0.25, 0.5, 0.75)):
            rows.append([first if j == a else second if j == b else 0.0 for j in range(count)])
    return np.array(rows)


def _change(task: TaskAt, moved: Mapping[str, float], ranges: Ranges) -> Change:
    before = {name: task.values[name] for name in moved}
    total = sum(abs(moved[n] - before[n]) / (ranges[n][1] - ranges[n][0]) for n in moved)
    return Change(before=before, after=dict(moved), li=float(index_of(task, **moved)), total=total)


def with_hold(task: TaskAt, coupling: str) -> TaskAt:
    """The same task with another hold."""
    return replace(task, coupling=coupling)


def in_halves(task: TaskAt) -> TaskAt:
    """The same core in two parts: half the load, twice as often."""
    values = dict(task.values)
    values["mass"], values["frequency_per_min"] = values["mass"] / 2, values["frequency_per_min"] * 2
    return replace(task, values={name: values[name] for name in VARIABLES})
