"""Changes of a lift that can be built: whole steps within what core and place allow, the target met with a margin."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Lift
from coreset.lifting.constants import COUPLINGS
from coreset.lifting.controls import Measure, moved, whole_measures
from coreset.lifting.lever_ranges import NARROWEST, Ranges, grid
from coreset.lifting.redesign import TARGET, Change, changes_near, smallest_changes
from coreset.lifting.task_values import TaskAt, can_be_held, index_of, nearest_reach
from coreset.lifting.uncertainty import drawn_indices

Floats = NDArray[np.float64]
EXCEEDED = 0.1
"""Largest chance that the index is above the target, as a share of cycles."""
DRAWS, SEED = 4000, 20
TIGHTENED = 0.99
"""What the target of the search is multiplied by, at least, where its answer does not hold with the margin."""
ROUNDS = 6
FEW = 2
"""Values that may be changed at first: more is a project."""
RISING = ("horizontal_origin", "horizontal_destination", "asymmetry_origin_deg", "asymmetry_destination_deg")
"""Values of which less is never worse, with `frequency_per_min` and `mass`."""
DEEPEST = {"metric": 100.0, "us": 40.0}
DEPTH_STEP = {"metric": 1.0, "us": 0.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaching:
    """A measure that is all or nothing and brings the index to the target; `after` says after the best change."""

    measure: Measure
    after: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Redesign:
    """What brings one lift to a target: the nearest single changes, the smallest change in all, else the best one.

    In each change `li` is the index and `high` the one that 90 % of cycles stay at or below: it is `high` that reaches
    the target. `best` is the lowest `high` that the ranges allow; `reaching` are the measures that reach the target
    where no change does. `assumed` says that measuring errors were assumed, for none is entered.
    """

    singles: tuple[Change, ...]
    total: Change | None
    best: Change
    reaching: tuple[Reaching, ...]
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreBox:
    """What a core may be at the reach, heights and pace of a lift: for the designer of the core box.

    `mass` the largest load, `mass_good` the largest with a good hold such as lifting lugs; `depth` the deepest core
    front to back at today's mass, None where there is none. [mass, mass, length]
    """

    mass: float
    mass_good: float
    depth: float | None


def high_index(task: TaskAt, lift: Lift) -> float:
    """The index that 90 % of cycles stay at or below, with the errors and the variation of the lift. [-]"""
    drawn = drawn_indices(task, lift, draws=DRAWS, seed=SEED)
    return float(np.quantile(drawn, 1.0 - EXCEEDED, method="higher"))


def redesign_of(
    task: TaskAt,
    lift: Lift,
    ranges: Ranges,
    *,
    target: float = TARGET,
    height_step: float = 0.0,
    hours: float = 8.0,
    assumed: bool = False,
) -> Redesign:
    """Changes of one lift that can be built and reach a target with a margin.

    Parameters
    ----------
    task : TaskAt
        The lift as it is.
    lift : Lift
        Says how much H, V and A vary and how well they were measured, from `with_errors`.
    ranges : mapping of name to (low, high)
        What may be changed, and how far.
    target : float
        Index that is to be exceeded in at most 10 % of cycles. [-]
    height_step : float
        Step of racks, molds and platforms; 0 takes 5 cm or 2 in. [length]
    hours : float
        Length of the shift. [h]
    assumed : bool
        Whether the errors are assumed.

    Returns
    -------
    Redesign
        Every value a whole step, or today's own.
    """
    wide = {name: span for name, span in ranges.items() if span[1] - span[0] > NARROWEST}
    steps = {name: grid(name, task, span, height_step=height_step) for name, span in wide.items()}
    places = {name: axis for name, axis in steps.items() if len(axis) > 1}  # else no whole step lies in the range
    best = _least(task, lift, places)
    if high_index(task, lift) <= target:
        none = _change(task, lift, {}, places)
        return Redesign(singles=(), total=none, best=best, reaching=(), assumed=assumed)
    singles = tuple(
        sorted(filter(None, (_single(task, lift, name, places, target) for name in places)), key=lambda one: one.total)
    )
    total = _smallest(task, lift, places, best, singles, target)
    reaching = () if total else _reaching(task, lift, best, target, hours)
    return Redesign(singles=singles, total=total, best=best, reaching=reaching, assumed=assumed)


def first_steps(task: TaskAt, lift: Lift, found: Redesign, ranges: Ranges) -> Change:
    """The change to begin with: at most two values, those that reach the target, else those that bring the most.

    Parameters
    ----------
    task, lift
        As for `redesign_of`.
    found : Redesign
        What it found.
    ranges : mapping of name to (low, high)
        The same ranges, of which each change is a share.

    Returns
    -------
    Change
        With its index; nothing is changed where nothing helps.
    """
    if found.total is not None and len(found.total.after) <= FEW:
        return found.total
    if found.singles:
        return found.singles[0]
    places = {name: np.array(span) for name, span in ranges.items()}
    most = found.best.after
    tried = [names for count in range(1, FEW + 1) for names in itertools.combinations(most, count)]
    held = [part for names in tried if can_be_held(task, **(part := {name: most[name] for name in names}))]
    changes = [_change(task, lift, part, places) for part in held]
    return min(changes, key=lambda one: (one.high, one.li, len(one.after)), default=found.best)


def core_box(task: TaskAt, lift: Lift, *, target: float = TARGET) -> CoreBox:
    """Largest mass, with the hold of today and with a good one, and the deepest core, all with the same margin.

    A deeper core is held farther from the body at both ends, by the estimate of H [waters1994] p. 8.

    Parameters
    ----------
    task : TaskAt
        The lift as it stands.
    lift : Lift
        Row that it comes from, with its errors of measurement.
    target : float
        Index that is exceeded in at most 10 % of cycles. [-]
    """
    mass = task.values["mass"]
    most, good = (
        mass * target / high_index(replace(task, coupling=hold), lift) for hold in (task.coupling, COUPLINGS[0])
    )
    depth = None
    step = DEPTH_STEP[task.units]
    for depth_now in np.arange(step, DEEPEST[task.units] + step, step):
        deeper = replace(task, core_depth=float(depth_now))
        away = {
            f"horizontal_{end}": max(
                task.values[f"horizontal_{end}"], float(nearest_reach(deeper, task.values[f"vertical_{end}"]))
            )
            for end in ("origin", "destination")
        }
        if high_index(moved(deeper, away, task.coupling), lift) > target:
            break
        depth = float(depth_now)
    return CoreBox(mass=most, mass_good=good, depth=depth)


def _change(task: TaskAt, lift: Lift, after: Mapping[str, float], places: Mapping[str, Floats]) -> Change:
    """A change with its index and the index of 90 % of cycles."""
    before = {name: task.values[name] for name in after}
    total = sum(abs(after[n] - before[n]) / float(np.ptp(places[n])) for n in after)
    now = moved(task, dict(after), task.coupling)
    return Change(before=before, after=dict(after), li=float(index_of(now)), total=total, high=high_index(now, lift))


def _first(
    task: TaskAt, lift: Lift, candidates: Iterable[dict[str, float]], places: Mapping[str, Floats], target: float
) -> Change | None:
    """The first of several changes that can be held and reaches the target with its margin."""
    for after in candidates:
        if index_of(task, **after) > target or not can_be_held(task, **after):
            continue
        found = _change(task, lift, after, places)
        if found.high <= target:
            return found
    return None


def _single(task: TaskAt, lift: Lift, name: str, places: Mapping[str, Floats], target: float) -> Change | None:
    """The nearest step of one value that reaches the target."""
    now = task.values[name]
    steps = sorted(places[name], key=lambda value: abs(value - now))
    return _first(task, lift, ({name: float(value)} for value in steps if value != now), places, target)


def _smallest(
    task: TaskAt,
    lift: Lift,
    places: Mapping[str, Floats],
    best: Change,
    singles: tuple[Change, ...],
    target: float,
) -> Change | None:
    """The smallest change in whole steps with as much margin as it needs: sought at a lower target until it holds.

    What was found on the way is then tried one step further: it may hold at less cost. The best change of all, taken
    back as far as the target allows, is the last resort.
    """
    found, nearly, lower = list(singles[:1]), [], target
    if best.high <= target:
        found.append(_taken_back(task, lift, best, places, target))
    for _ in range(ROUNDS):
        tried = smallest_changes(task, places, target=lower, starts=[one.after for one in found])
        if not tried:
            break
        found += filter(None, [_first(task, lift, tried, places, target)])
        nearly.append(tried[0])
        least = _change(task, lift, tried[0], places)
        if least.high <= target:
            break
        lower *= TIGHTENED if math.isinf(least.high) else min(TIGHTENED, target * least.li / least.high / lower)
    for after in nearly:
        below = min((one.total for one in found), default=math.inf)
        near = changes_near(task, places, after, target=target, below=below)
        found += filter(None, [_first(task, lift, near, places, target)])
    return min(found, key=lambda one: one.total, default=None)


def _least(task: TaskAt, lift: Lift, places: Mapping[str, Floats]) -> Change:
    """The change with the lowest index: all that only helps at its least, heights, platform and tilt tried through."""
    helps = {n: float(places[n][0]) for n in places if n in (*RISING, "frequency_per_min", "mass")}
    tried = [n for n in places if n not in helps]
    after = {}
    if tried:
        axes = np.meshgrid(*(places[n] for n in tried), indexing="ij")
        tries = dict(zip(tried, axes, strict=True))
        fits = can_be_held(task, **helps, **tries)
        index = np.where(fits, index_of(task, **helps, **tries), np.inf)
        at = np.unravel_index(int(np.argmin(index)), index.shape)
        after = {n: float(axis[at]) for n, axis in zip(tried, axes, strict=True)}
    changed = {n: v for n, v in {**helps, **after}.items() if v != task.values[n]}
    best = _change(task, lift, changed, places)
    for name in changed:
        without = _change(task, lift, {n: v for n, v in best.after.items() if n != name}, places)
        best = without if without.high <= best.high and can_be_held(task, **without.after) else best
    return best


def _taken_back(task: TaskAt, lift: Lift, best: Change, places: Mapping[str, Floats], target: float) -> Change:
    """A change that reaches the target, each value in turn taken back towards today's as far as it still does."""
    after = dict(best.after)
    for name in sorted(best.after):
        others = {n: v for n, v in after.items() if n != name}
        now, goal = task.values[name], after[name]
        between = [float(x) for x in places[name] if min(now, goal) <= x <= max(now, goal)]
        steps = [x for _, x in sorted((abs(x - now), x) for x in between)]
        changes = [others | ({name: x} if x != now else {}) for x in steps]
        found = _first(task, lift, changes, places, target)
        after = dict(found.after) if found is not None else after
    return _change(task, lift, after, places)


def _reaching(task: TaskAt, lift: Lift, best: Change, target: float, hours: float) -> tuple[Reaching, ...]:
    """Measures that bring the index to the target, by themselves or after the best change; a hoist always does."""
    changed = moved(task, best.after, task.coupling)
    found: dict[tuple[str, str], Reaching] = {}
    for one, after in ((task, False), (changed, True)):
        margin = high_index(one, lift) / float(index_of(one))
        for measure in whole_measures(one, lift, hours=hours):
            reaches = measure.code == "hoist" or (measure.index is not None and measure.index * margin <= target)
            if reaches:
                found.setdefault((measure.code, measure.detail), Reaching(measure=measure, after=after))
    return tuple(sorted(found.values(), key=lambda one: one.measure.code == "hoist"))
