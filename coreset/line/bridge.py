"""From the stopwatch to the schedule: what of a saved second of work arrives at the line, step by step, by pattern."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.mold_cycle import MoldCycle
from coreset.line.rates import LEVELS, Rate
from coreset.line.today import factor_noise
from coreset.units import S_PER_H

STANDARD, FIXED, CYCLE, LINE = "standard", "mold_cycle_fixed", "mold_cycle", "line"
STOPS, SCHEDULE, COUNTED, CHANGES = "stops", "schedule", "counted", "changes"
STEPS = (STANDARD, FIXED, CYCLE, LINE, STOPS, SCHEDULE, COUNTED, CHANGES)


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeStep:
    """Seconds for a mold up to one step under the method of today and the one weighed; what is saved there. [s]

    `step` is one of `STEPS`; `passed` is the saving less that of the step before, 0 at the first. `low_s` and `high_s`
    are the 95 % ends of the saving over resampled studies of both methods.
    """

    step: str
    now_s: float
    then_s: float
    saved_s: float
    passed_s: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """One pattern from the stopwatch to the scheduled second.

    `other_pct` is the share of the schedule lost to stops outside the list, `factor` that of the count on the floor.
    """

    pattern: str
    baseline: str
    candidate: str
    steps: tuple[BridgeStep, ...]
    other_pct: float
    factor: float


def bridges(
    case: Case, standards: Mapping[tuple[str, str], Any], mold_cycles: Iterable[MoldCycle], rates: Iterable[Rate]
) -> tuple[Bridge, ...]:
    """The bridge of every pattern that has a rate under both methods.

    Parameters
    ----------
    case : Case
        Its methods.
    standards : mapping
        Standard by pattern and method.
    mold_cycles : iterable of MoldCycle
        Mold cycles.
    rates : iterable of Rate
        Rates, the factor of a count in them.

    Returns
    -------
    tuple of Bridge
        The last step is the inverse of the rate with changes in it.
    """
    known = {(rate.pattern, rate.method): rate for rate in rates}
    cycles = {(row.pattern, row.method): row for row in mold_cycles}
    found = []
    for pattern in case.patterns:
        pairs = [(pattern.pattern, method) for method in (case.baseline, case.candidate)]
        if all(pair in known and pair in cycles and pair in standards for pair in pairs):
            each = [(standards[pair], cycles[pair], known[pair]) for pair in pairs]
            now, then = (_seconds(*one) for one in each)
            ends = _ends([_draws(*one, seconds, case.seed) for one, seconds in zip(each, (now, then), strict=True)])
            rate = known[pairs[0]]
            found.append(
                Bridge(
                    pattern=pattern.pattern,
                    baseline=case.baseline,
                    candidate=case.candidate,
                    steps=_steps(now, then, ends),
                    other_pct=100.0 * (1.0 - rate.running),
                    factor=rate.factor,
                )
            )
    return tuple(found)


def _seconds(standard: Any, cycle: MoldCycle, rate: Rate) -> dict[str, float]:
    """Seconds for a mold at each step under one method."""
    scheduled = rate.mold_s / rate.running
    return {
        STANDARD: float(standard.standard_s),
        FIXED: cycle.deterministic_s,
        CYCLE: cycle.mean_s,
        LINE: rate.bare_s,
        STOPS: rate.mold_s,
        SCHEDULE: scheduled,
        **({COUNTED: scheduled / rate.factor} if rate.factor != 1.0 else {}),
        CHANGES: S_PER_H / rate.changed[0],
    }


def _draws(
    standard: Any, cycle: MoldCycle, rate: Rate, seconds: dict[str, float], seed: int
) -> dict[str, NDArray[np.float64]]:
    """Draws of the seconds at each step: standard, mold cycle and rate over the resampled studies of one method.

    What a step adds to the seconds before it on the line is as much in every draw as it is on average.
    """
    cycles = np.asarray(cycle.draws_s) / cycle.mean_s
    scheduled = rate.molds_per_h / np.asarray(rate.draws)
    counted = scheduled / factor_noise(len(scheduled), rate.factor_sd, seed)
    last = seconds.get(COUNTED, seconds[SCHEDULE])
    by = {STANDARD: np.asarray(standard.draws_s, dtype=float), FIXED: seconds[FIXED] * cycles}
    by |= {CYCLE: seconds[CYCLE] * cycles, CHANGES: seconds[CHANGES] + last * (counted - 1.0)}
    by |= {name: seconds[name] * scheduled for name in (LINE, STOPS, SCHEDULE)}
    return by | ({COUNTED: last * counted} if COUNTED in seconds else {})


def _ends(draws: Sequence[Mapping[str, NDArray[np.float64]]]) -> dict[str, tuple[float, float]]:
    """95 % ends of the saving at each step; both methods were timed apart, so that their draws are."""
    found, (now, then) = {}, draws
    for step in now:
        count = min(len(now[step]), len(then[step]))
        saved = now[step][:count] - then[step][:count]
        low, high = np.quantile(saved, LEVELS)
        found[step] = float(low), float(high)
    return found


def _steps(
    now: dict[str, float], then: dict[str, float], ends: Mapping[str, tuple[float, float]]
) -> tuple[BridgeStep, ...]:
    found, before = [], now[STANDARD] - then[STANDARD]
    for step in now:
        saved = now[step] - then[step]
        found.append(
            BridgeStep(
                step=step,
                now_s=now[step],
                then_s=then[step],
                saved_s=saved,
                passed_s=saved - before,
                low_s=ends[step][0],
                high_s=ends[step][1],
            )
        )
        before = saved
    return tuple(found)
