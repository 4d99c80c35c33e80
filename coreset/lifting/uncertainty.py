"""How sure an index is: measuring error and the variation from cycle to cycle of H, V and A, drawn together."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Lift
from coreset.lifting.scope import REACH_MIN
from coreset.lifting.screened_task import Screened
from coreset.lifting.task_values import TaskAt, limit_at, task_at

Floats = NDArray[np.float64]
WIDEST_DEG = 180.0
SPREADS = ("horizontal_sd", "vertical_sd", "asymmetry_sd_deg", "measured_error", "measured_error_deg")
ERROR = {"metric": 2.0, "us": 0.8}  # common practice, no source: one standard deviation of H and V by tape
ERROR_DEG = 5.0  # common practice, no source: one standard deviation of A by eye


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """Spread of an index.

    `low`, `median`, `high`: 2.5, 50 and 97.5 % points of LI, infinite where the limit of the method is passed;
    `above_1`, `above_3`: chances; `from_measuring`: share of the variance of RWL that measuring error makes, NaN where
    nothing varies. `entered`: whether an error or a variation of H, V or A is; without any, only the pace can vary, and
    the ends and chances say nothing of the lift.
    """

    low: float
    median: float
    high: float
    above_1: float
    above_3: float
    from_measuring: float
    draws: int
    entered: bool = True


def sureness(
    task: TaskAt,
    lift: Lift,
    *,
    draws: int = 10_000,
    seed: int | None = None,
    frequency_per_min: Floats | None = None,
) -> Sureness:
    """Spread of the index of one task.

    Parameters
    ----------
    task : TaskAt
        The task at its pace.
    lift : Lift
        Says how much H, V, A vary and how well they were measured, as standard deviations.
    draws : int
        Cycles drawn.
    seed : int, optional
        Seed of the draws.
    frequency_per_min : ndarray, (draws,), optional
        Pace drawn from the standard time; without it the pace is taken as known.

    Returns
    -------
    Sureness
        Interval and chances. The error of a measurement is one for all cycles, the variation new in each.
    """
    rng = np.random.default_rng(seed)
    error, cycle = rng.standard_normal((6, draws)), rng.standard_normal((6, draws))
    pace = {} if frequency_per_min is None else {"frequency_per_min": frequency_per_min}
    rwl = np.broadcast_to(limit_at(task, **_values(task, lift, error, cycle), **pace), (draws,))
    li = _indices(task, rwl)
    again = limit_at(task, **_values(task, lift, error, rng.standard_normal((6, draws))), **pace)
    low, median, high = np.quantile(li, (0.025, 0.5, 0.975), method="closest_observation")
    return Sureness(
        low=float(low),
        median=float(median),
        high=float(high),
        above_1=float((li > 1).mean()),
        above_3=float((li > 3).mean()),
        from_measuring=_shared(rwl, np.broadcast_to(again, (draws,))),
        draws=draws,
        entered=any(getattr(lift, name) for name in SPREADS),
    )


def drawn_indices(task: TaskAt, lift: Lift, *, draws: int, seed: int) -> Floats:
    """Index of the lift in each of `draws` cycles, its pace taken as known; infinite where RWL is 0. [-]

    Parameters
    ----------
    task : TaskAt
        The lift as it stands.
    lift : Lift
        Row that it comes from, with its errors of measurement.
    draws : int
        Cycles.
    seed : int
        Of the random numbers.
    """
    values = _values(task, lift, *_normals(draws, seed))
    return _indices(task, np.broadcast_to(limit_at(task, **values), (draws,)))


@functools.cache
def _normals(draws: int, seed: int) -> tuple[Floats, Floats]:
    """Errors of measurement, and variations of each cycle, of the same cycles for every change that is compared."""
    rng = np.random.default_rng(seed)
    return rng.standard_normal((6, draws)), rng.standard_normal((6, draws))


def _indices(task: TaskAt, rwl: Floats) -> Floats:
    return np.divide(task.values["mass"], rwl, out=np.full(rwl.shape, np.inf), where=rwl > 0)


def with_errors(lift: Lift, *, units: str) -> tuple[Lift, bool]:
    """The lift with its errors of measurement, assumed where none is entered, and whether any was assumed.

    Examples
    --------
    >>> lift = Lift(task="t", method="m", pattern="p", horizontal_origin=30, vertical_origin=80,
    ...     horizontal_destination=30, vertical_destination=80, measured_error=1.5)
    >>> found, assumed = with_errors(lift, units="metric")
    >>> found.measured_error, found.measured_error_deg, assumed
    (1.5, 5.0, True)
    """
    length, angle = lift.measured_error or ERROR[units], lift.measured_error_deg or ERROR_DEG
    assumed = not (lift.measured_error and lift.measured_error_deg)
    return replace(lift, measured_error=length, measured_error_deg=angle), assumed


def _values(task: TaskAt, lift: Lift, error: Floats, cycle: Floats) -> dict[str, Floats]:
    """Both ends drawn: value + one error of measurement + the variation of the cycle, kept possible."""
    spread = {
        "horizontal": (lift.measured_error, lift.horizontal_sd),
        "vertical": (lift.measured_error, lift.vertical_sd),
        "asymmetry": (lift.measured_error_deg, lift.asymmetry_sd_deg),
    }
    bounds = {"horizontal": (REACH_MIN[task.units], np.inf), "vertical": (0.0, np.inf), "asymmetry": (0.0, WIDEST_DEG)}
    found, place = {}, 0
    for end in ("origin", "destination"):
        for kind, (measured_sd, cycle_sd) in spread.items():
            name = f"{kind}_{end}_deg" if kind == "asymmetry" else f"{kind}_{end}"
            drawn = task.values[name] + measured_sd * error[place] + cycle_sd * cycle[place]
            drawn = np.abs(drawn) if kind == "asymmetry" else drawn
            found[name] = np.clip(drawn, *bounds[kind])
            place += 1
    return found


def _shared(first: Floats, second: Floats) -> float:
    """Share of variance that two draws with the same errors and other cycles have in common."""
    if not (np.ptp(first) and np.ptp(second)):
        return float("nan")
    return float(np.clip(np.corrcoef(first, second)[0, 1], 0.0, 1.0))


def spreads(
    case: Case,
    screened: Sequence[Screened],
    pooled: Mapping[tuple[str, str], Any],
    *,
    draws: int = 10_000,
    seed: int | None = None,
) -> tuple[Sureness | None, ...]:
    """Spread of the index of every task, its pace drawn with its standard time; None where there is no index.

    Parameters
    ----------
    case : Case
        Its lifts, in the order of the screen.
    screened : sequence of Screened
        One a lift.
    pooled : mapping of (pattern, method) to Standard
        Standards with their resamples `draws_s`.
    draws : int
        Draws of each task.
    seed : int, optional
        Seed of all draws.
    """
    found: list[Sureness | None] = []
    for lift, row in zip(case.lifts, screened, strict=True):
        if row.li is None:
            found.append(None)
            continue
        standard = pooled.get((row.pattern, row.method)) if row.frequency_from == "standard" else None
        pace = None
        if standard is not None and len(standard.draws_s):
            relative = standard.draws_s / standard.standard_s
            pace = row.frequency_per_min / np.random.default_rng(seed).choice(relative, size=draws)
        task = task_at(case, lift, row)
        found.append(sureness(task, lift, draws=draws, seed=seed, frequency_per_min=pace))
    return tuple(found)
