"""From the stopwatch to the schedule: what of a saved second of work arrives at the line, step by step, by pattern."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from coreset.case import Case
from coreset.line.mold_cycle import MoldCycle
from coreset.line.rates import Rate
from coreset.units import S_PER_H

STANDARD, FIXED, CYCLE, LINE = "standard", "mold_cycle_fixed", "mold_cycle", "line"
STOPS, SCHEDULE, COUNTED, CHANGES = "stops", "schedule", "counted", "changes"
STEPS = (STANDARD, FIXED, CYCLE, LINE, STOPS, SCHEDULE, COUNTED, CHANGES)


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeStep:
    """Seconds for a mold up to one step under the method of today and the one weighed; what is saved there. [s]

    `step` is one of `STEPS`; `passed` is the saving less that of the step before, 0 at the first.
    """

    step: str
    now_s: float
    then_s: float
    saved_s: float
    passed_s: float


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
            seconds = [_seconds(standards[pair], cycles[pair], known[pair]) for pair in pairs]
            rate = known[pairs[0]]
            found.append(
                Bridge(
                    pattern=pattern.pattern,
                    baseline=case.baseline,
                    candidate=case.candidate,
                    steps=_steps(*seconds),
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


def _steps(now: dict[str, float], then: dict[str, float]) -> tuple[BridgeStep, ...]:
    found, before = [], now[STANDARD] - then[STANDARD]
    for step in now:
        saved = now[step] - then[step]
        found.append(BridgeStep(step=step, now_s=now[step], then_s=then[step], saved_s=saved, passed_s=saved - before))
        before = saved
    return tuple(found)
