"""What would improve a task: multipliers ranked, the smallest single change, the smallest change in all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from coreset.lifting.constants import constants
from coreset.lifting.lever_ranges import NARROWEST, Ranges
from coreset.lifting.lift_end import MULTIPLIERS, rate
from coreset.lifting.task_values import VARIABLES, TaskAt, ends_of, index_of

Floats = NDArray[np.float64]
TARGET = 1.0
GRID = 801
REFINEMENTS = 50
LATTICE_POINTS = 60_000
STARTS = 16
DESCENDED = 3
FINEST_STEP = 1e-3
TOLERANCE = 1e-12
WIDEST_BOX, SHRINK, FINEST = 0.1, 2.0, 1e-6
"""First and last half width of the boxes that are searched, as shares of the ranges, and what each is divided by."""
LEAST_GAIN = 1e-3
CORRECTIONS = 3
"""How often a step is asked for what it lacked before it goes back on its way."""
NUDGE = 1e-6
BACKWARDS = np.linspace(1.0, 0.0, 65)


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
    ever smaller steps until none helps, then all values at once.

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

    def cost(ends: Floats) -> Floats:
        return np.abs(np.asarray(ends) - now) @ (1 / (high - low))

    cheapest = good[np.argsort(cost(good), kind="stable")]
    starts += list(cheapest[:STARTS])
    if not starts:
        return None
    bounds = now, low, high
    ends = [_improve(task, names, start, bounds, target) for start in starts]
    ends = [ends[place] for place in np.argsort(cost(ends), kind="stable")]
    ends += [_descended(task, names, end, bounds, target) for end in ends[:DESCENDED]]
    best = ends[int(np.argmin(cost(ends)))]
    moved = {n: float(x) for n, x, old in zip(names, best, now, strict=True) if x != old}
    return _change(task, moved, ranges)


def _from_today(task: TaskAt, ranges: Ranges) -> dict[str, tuple[float, float]]:
    """Ranges that reach today's value: how far it may be changed, not where it must be."""
    now = task.values
    return {name: (min(low, now[name]), max(high, now[name])) for name, (low, high) in ranges.items()}


def _lattice(now: Floats, low: Floats, high: Floats) -> Floats:
    """Points over the whole ranges, the values of today among them."""
    levels = int(LATTICE_POINTS ** (1 / len(now)))
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
    while step > FINEST_STEP:
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


def _descended(task: TaskAt, names: list[str], start: Floats, bounds: tuple[Floats, ...], target: float) -> Floats:
    """Walk from a point that reaches the target to the least change nearby, by linear programs on shrinking boxes.

    In each box the ends' limits are taken as straight; where a step then misses the target, as much more is asked for
    as was lacking, for else no step along a curved limit would reach it; what still misses goes back on its way. Ways
    up and down are apart, each a share of its range, so that the cost is their plain sum.
    """
    now, low, high = bounds
    wide, count = high - low, len(now)
    both = np.hstack((np.eye(count), -np.eye(count)))
    room = [(0.0, share) for share in (*((high - now) / wide), *((now - low) / wide))]
    point, box = start, WIDEST_BOX
    while box > FINEST:
        away = np.where(point + NUDGE * wide > high, -NUDGE, NUDGE)
        near = _margins(task, names, np.vstack((point, point + np.diag(away * wide))), target)
        slope, here = (near[:, 1:] - near[:, :1]) / away, (point - now) / wide
        end, spare = point, near[:, 0]
        for _ in range(CORRECTIONS):
            found = linprog(
                np.ones(2 * count),
                A_ub=np.vstack((-slope @ both, both, -both)),
                b_ub=np.concatenate((spare - slope @ here, here + box, box - here)),
                bounds=room,
            )
            if not found.success:
                break
            end = np.clip(now + (both @ found.x) * wide, low, high)
            lacking = np.minimum(_margins(task, names, end[None], target)[:, 0], 0.0)
            if not lacking.any():
                break
            spare = spare + lacking
        back = point + (end - point) * BACKWARDS[:, None]
        good = np.flatnonzero(_index(task, names, back) <= target)
        end = back[good[0]] if good.size else point
        if np.abs((end - now) / wide).sum() < np.abs(here).sum() - box * LEAST_GAIN:
            point = end
        else:
            box /= SHRINK
    return np.where(np.abs(point - now) < FINEST * wide, now, point)


def _margins(task: TaskAt, names: list[str], points: Floats, target: float) -> Floats:
    """How far RWL of each end lies above what the target asks for, as a share; one row an end."""
    changed = dict(zip(names, points.T, strict=True))
    wanted = np.asarray(changed.get("mass", task.values["mass"])) / target
    ends = [np.broadcast_to(rate(posture).rwl, len(points)) for posture in ends_of(task, **changed).values()]
    return np.nan_to_num(np.array(ends) / wanted - 1.0, nan=-1.0)


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
