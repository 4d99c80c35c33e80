"""Time balance: whether the recorded times add up to the time that the wall clock says went by."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coreset.case import Study
from coreset.study.element_times import Timed

UNACCOUNTED_LIMIT_PCT = 2.0  # common practice: above it a study is taken again
SECONDS = (3600.0, 60.0, 1.0)
DAY_S = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where the time of a study went. [s]

    `effective_s`: elements, failed tries and times of elements whose breakpoint was missed. `ineffective_s`: foreign;
    of foreign time after a missed breakpoint what the mean times of the missed elements leave.
    `check_s`: before the first and after the last element. `unaccounted_s` may be negative; NaN without wall clock.
    """

    elapsed_s: float
    check_s: float
    effective_s: float
    ineffective_s: float
    excluded_s: float
    missed_s: float
    failed_s: float
    unaccounted_s: float
    from_clock: bool

    @property
    def unaccounted_pct(self) -> float:
        """Error of timing: unaccounted over elapsed time, sign dropped. [%] NaN if the elapsed time is not known."""
        return 100 * abs(self.unaccounted_s) / self.elapsed_s if self.elapsed_s > 0 else math.nan

    @property
    def closes(self) -> bool:
        """Whether the error of timing is within what is accepted; True where it is not known."""
        return not self.unaccounted_pct > UNACCOUNTED_LIMIT_PCT


def clock_s(text: str) -> float:
    """Seconds after midnight of a wall clock time; NaN where there is none.

    Examples
    --------
    >>> clock_s("10:40:00"), clock_s("6:05"), clock_s("")
    (38400.0, 21900.0, nan)
    """
    parts = text.rpartition("T")[2].replace(" ", "").split(":")
    try:
        return math.fsum(float(part) * unit for part, unit in zip(parts, SECONDS, strict=False)) if text else math.nan
    except ValueError:
        return math.nan


def _missed_work(study: Study, timed: Timed) -> float:
    """Work within foreign rows that follow missed breakpoints: the missed elements by their means, at most the row. [s]

    An element that was never read whole leaves nothing to go by, and its part stays with the foreign time.
    """
    if study.timing == "snapback":
        return 0.0
    work, waiting = 0.0, 0.0
    for place, seconds in enumerate(timed.seconds):
        if np.isfinite(seconds) or not timed.missed[place]:
            work += min(waiting, float(seconds)) if timed.foreign[place] and np.isfinite(seconds) else 0.0
            waiting = 0.0
        elif not timed.foreign[place]:
            times = timed.seconds[timed.good & (timed.element == timed.element[place])]
            waiting += float(times.mean()) if len(times) else 0.0
    return work


def balance(study: Study, timed: Timed) -> Balance:
    """The time balance of a study.

    Without a wall clock, a continuous study is measured by its own last reading, which it adds up to by construction;
    a snapback study's elapsed time is then not known.

    References
    ----------
    [ilo1992] check time, effective and ineffective time, error below 2 % of the elapsed time.
    """
    known = np.nan_to_num(timed.seconds)
    work = _missed_work(study, timed)
    check = study.elapsed_before_s + study.elapsed_after_s
    ineffective = float(known[timed.foreign].sum() - work)
    effective = float(known[~timed.foreign].sum() + work)
    elapsed = (clock_s(study.clock_out) - clock_s(study.clock_in)) % DAY_S
    from_clock = math.isfinite(elapsed)
    if not from_clock:
        elapsed = check + effective + ineffective if study.timing == "continuous" else math.nan
    return Balance(
        elapsed_s=elapsed,
        check_s=check,
        effective_s=effective,
        ineffective_s=ineffective,
        excluded_s=float(known[timed.excluded].sum()),
        missed_s=float(known[timed.missed & ~timed.foreign].sum() + work),
        failed_s=float(known[timed.failed].sum()),
        unaccounted_s=elapsed - check - effective - ineffective,
        from_clock=from_clock,
    )
