"""Molds an hour by pattern and method, from one run of the line each: what all other rooms show and calculate with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.line.line_pace import LinePace, line_pace
from coreset.line.line_plan import LinePlan, change_min, plan
from coreset.line.scrap_share import scrap_share
from coreset.line.station_limits import limits
from coreset.units import S_PER_H, S_PER_MIN

LEVELS = (0.025, 0.975)
ROUND_OFF = 1e-9
REPLICATIONS = 50
MOST_REPLICATIONS = 200
"""Replications of one pattern under one method at most; all variants of its line are run at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Molds per scheduled hour of one pattern under one method, as the run line makes them.

    `limits` is what each part of the line could do alone, per running hour; `limited_by` is the part that limits the
    run. `running` is the share of the schedule that stops outside the list leave. `kept` is what finite places and
    listed stops leave of the slowest part's own rate. `draws` are the rates at the resampled means of the mold cycle:
    read from `shares` (of its mean) and `rates`, at which the line was run on the same draws, straight in the seconds
    between them; the error of the few replications is drawn with them.

    Changes of pattern are left out of the rates above, for the job mix and the money count them run by run. They are in
    `good_per_shift`, whose interval is that of the mold cycle alone: good molds in the hours of a shift that is all
    this pattern's, with the change before each of its runs, scrap taken off where it was entered (`scrap` is None where
    it was not); in `good_per_shift_aside` the setter is swung aside before each of its runs by hand as well.
    `change_share` is the share that changes take of it; `changed` is the rate with changes in it, and its ends.
    `mold_s` is running time for a mold, listed stops in it, `bare_s` without them. `mold_cv` over the root of a number
    of molds is the scatter of the time they take. `factor` is what counts on the floor made of the rate, see `today`;
    `factor_sd` the standard deviation of its logarithm.
    """

    pattern: str
    method: str
    molds_per_h: float
    low: float
    high: float
    changed: tuple[float, float, float]
    good_per_shift: float
    good_low: float
    good_high: float
    good_per_shift_aside: float
    change_share: float
    scrap: float | None
    limited_by: str
    limits: dict[str, float]
    running: float
    kept: float
    mold_s: float
    bare_s: float
    mold_cv: float
    shares: NDArray[np.float64]
    rates: NDArray[np.float64]
    draws: NDArray[np.float64]
    factor: float = 1.0
    factor_sd: float = 0.0

    def at(self, share: float) -> float:
        """Molds per scheduled hour were the mold cycle that share of its mean, within the shares that were run.

        Raises
        ------
        OutOfRange
            Outside them.
        """
        if not self.shares[0] * (1 - ROUND_OFF) <= share <= self.shares[-1] * (1 + ROUND_OFF):
            between = f"{self.shares[0]:.3f} to {self.shares[-1]:.3f}"
            raise OutOfRange(f"share of the mold cycle must be one that was run, {between}, got {share:.3f}")
        return float(1.0 / np.interp(share, self.shares, 1.0 / self.rates))


def rates(
    case: Case, mold_cycles: Iterable[Any], *, replications: int = REPLICATIONS, seed: int | None = None
) -> tuple[Rate, ...]:
    """Molds an hour of every pattern and method with a mold cycle.

    Parameters
    ----------
    case : Case
        Line and patterns.
    mold_cycles : iterable of MoldCycle
        Mold cycles with the draws of their mean, and the single cycles that the line is run with.
    replications : int
        Runs of the line, at most 200.
    seed : int, optional
        Seed of the runs; the case's own if left out.

    Returns
    -------
    tuple of Rate
        In the order of the mold cycles.
    """
    chosen = case.seed if seed is None else seed
    return tuple(_rate(case, row, min(replications, MOST_REPLICATIONS), chosen) for row in mold_cycles)


def _rate(case: Case, row: Any, replications: int, seed: int) -> Rate:
    line, minutes = plan(case, row), (change_min(case, row.method), change_min(case, row.method, aside=True))
    drawn = np.asarray(row.draws_s, dtype=float) / row.mean_s
    shares = _shares(case, row, drawn)
    every = sorted({*shares, *_claims(case, row)})
    changes_s = [each * S_PER_MIN * line.rest_uptime for each in minutes]
    pace = line_pace(line, shares=every, changes_s=changes_s, replications=replications, seed=seed)
    hour_s = S_PER_H * line.rest_uptime
    found = hour_s / float(pace.mold_s[every.index(1.0)])
    own_s = pace.mold_s[[every.index(share) for share in shares]]
    draws = hour_s / (np.interp(drawn, shares, own_s) * pace.simulation_error(len(drawn), seed))
    ends = (found, *(float(end) for end in np.quantile(draws, LEVELS)))
    own, aside = ([_with_changes(line, pace, rate, k) for rate in ends] for k in (0, 1))
    scrap = scrap_share(case, row.pattern, row.method)
    per_shift = case.line.hours_per_shift * (1.0 - (scrap or 0.0))
    return Rate(
        pattern=row.pattern,
        method=row.method,
        molds_per_h=found,
        low=ends[1],
        high=ends[2],
        changed=(own[0], own[1], own[2]),
        good_per_shift=own[0] * per_shift,
        good_low=own[1] * per_shift,
        good_high=own[2] * per_shift,
        good_per_shift_aside=aside[0] * per_shift,
        change_share=1.0 - own[0] / found,
        scrap=scrap,
        limited_by=pace.limited_by,
        limits={"molding": S_PER_H / row.mean_s} | limits(case, case.pattern(row.pattern)),
        running=line.rest_uptime,
        kept=min(1.0, pace.slowest_s / float(pace.mold_s[every.index(1.0)])),
        mold_s=float(pace.mold_s[every.index(1.0)]),
        bare_s=pace.bare_s,
        mold_cv=pace.mold_cv,
        shares=np.array(every),
        rates=hour_s / pace.mold_s,
        draws=draws,
    )


def _shares(case: Case, row: Any, drawn: NDArray[np.float64]) -> list[float]:
    """Shares of the mold cycle at which the line is run: the ends of its draws, halfway to them, a vendor's claim."""
    ends = float(drawn.min()), float(drawn.max())
    found = {1.0, *ends, *((1.0 + end) / 2.0 for end in ends)}
    if row.method == case.candidate and case.setter.claimed_cycle_s > 0:
        found.add(case.setter.claimed_cycle_s / row.mean_s)
    return sorted(found)


def _claims(case: Case, row: Any) -> list[float]:
    """Shares of the mold cycle that vendors of other offers claim, where theirs is the slower one."""
    claimed = [option.claim(case.candidate) / row.mean_s for option in case.options if row.method == case.candidate]
    return [share for share in claimed if share > 1.0]


def _with_changes(line: LinePlan, pace: LinePace, rate: float, k: int) -> float:
    """A rate with the changes of length k before its runs in it."""
    change_h = pace.change_s[k] / (S_PER_H * line.rest_uptime)
    return 1.0 / (1.0 / rate + change_h / line.run_molds)


def gain_ends(now: Rate, then: Rate) -> tuple[float, float]:
    """95 % interval of the molds per scheduled hour that `then` makes more than `now`.

    Both methods were timed apart, so that their draws are independent of each other.
    """
    count = min(len(now.draws), len(then.draws))
    low, high = np.quantile(then.draws[:count] - now.draws[:count], LEVELS)
    return float(low), float(high)
