"""The model on today's method against molds counted on the floor: pattern by pattern, and the factor between them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coreset.case import Case, ShiftCount
from coreset.case.kinds import MACHINE
from coreset.line.method_steps import SETTER
from coreset.line.rates import LEVELS, Rate
from coreset.line.service_times import MOLDING
from coreset.line.student import TWO_SIDED

TWO_ENDS = 3.92
"""Standard deviations between the ends of a 95 % interval."""
STREAM = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedPattern:
    """One pattern under today's method: molds per scheduled hour predicted and counted, changes in both, 95 % ends.

    `factor` is the model's time for the molds counted over the time that they took, changes left out of both; the
    interval of `factor` holds the scatter of the counts and the uncertainty of the studies. `differs` where it does
    not hold 1. With one count its scatter is that of the simulated line. `paces`: the pace of the crew over the
    standard's that would explain the count by itself, with rest in the cycle as stated and with none; see `paces_of`.
    """

    pattern: str
    counts: int
    molds: float
    predicted: tuple[float, float, float]
    counted: tuple[float, float, float]
    factor: tuple[float, float, float]
    differs: bool
    paces: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorCheck:
    """Today's method as predicted and as counted; `factor` (and ends) over all patterns is carried to every method.

    `sd` is the standard deviation of its logarithm.
    """

    patterns: tuple[CountedPattern, ...]
    factor: tuple[float, float, float]
    sd: float
    differs: bool


def floor_check(case: Case, rates: Iterable[Rate], mold_cycles: Iterable[Any] = ()) -> FloorCheck | None:
    """Compare the predicted molds per hour of today's method with those counted.

    Parameters
    ----------
    case : Case
        Counts, each of one pattern in a shift or part of it.
    rates : iterable of Rate
        As the model gives them.
    mold_cycles : iterable of MoldCycle
        For the pace that a count would mean; without them it is left out.

    Returns
    -------
    FloorCheck or None
        None where no counted pattern has a rate under today's method.
    """
    today = {rate.pattern: rate for rate in rates if rate.method == case.baseline}
    cycles = {row.pattern: row for row in mold_cycles if row.method == case.baseline}
    rows, weights = [], []
    for name, rate in today.items():
        counts = [count for count in case.counts if count.pattern == name]
        if counts:
            row, weight = _of_pattern(rate, counts)
            paces = paces_of(cycles[name], row.factor[0]) if name in cycles and rate.limited_by == MOLDING else None
            rows.append(replace(row, paces=paces))
            weights.append(weight)
    if not rows:
        return None
    predicted, net, variance = (np.array(column) for column in zip(*weights, strict=True))
    factor = float(predicted.sum() / net.sum())
    sd = math.sqrt(float(((predicted / predicted.sum()) ** 2 * variance).sum()))
    ends = _ends(factor, sd)
    return FloorCheck(patterns=tuple(rows), factor=ends, sd=sd, differs=_differs(ends))


def _of_pattern(rate: Rate, counts: Sequence[ShiftCount]) -> tuple[CountedPattern, tuple[float, float, float]]:
    """The row of one pattern; the model's hours, the hours taken and the variance of the factor's logarithm."""
    molds = np.array([count.molds for count in counts], dtype=float)
    hours = np.array([count.hours for count in counts], dtype=float)
    total = float(molds.sum())
    sd = _scatter(molds, hours, rate.mold_cv)
    model_h = total / rate.molds_per_h
    net_h = float(hours.sum()) - total * (1.0 / rate.changed[0] - 1.0 / rate.molds_per_h)
    net_h = max(net_h, model_h / 100.0)
    study = math.log(rate.changed[2] / rate.changed[1]) / TWO_ENDS if rate.changed[1] > 0 else 0.0
    variance = sd**2 + study**2
    ends = _ends(model_h / net_h, math.sqrt(variance))
    row = CountedPattern(
        pattern=rate.pattern,
        counts=len(counts),
        molds=total,
        predicted=rate.changed,
        counted=_ends(total / float(hours.sum()), sd),
        factor=ends,
        differs=_differs(ends),
    )
    return row, (model_h, net_h, variance)


def paces_of(cycle: Any, factor: float) -> tuple[float, float] | None:
    """Pace of the crew over the standard's if the whole difference to a count were theirs: two readings of one count.

    Manual time outside the machine's over what the counted cycle leaves beside the machine, with the rest in the cycle
    and without: a counter cannot tell slow work from rest in the cycle. None where the setter takes part, there is no
    machine, or the count leaves no time.
    """
    if MACHINE not in cycle.shares or SETTER in cycle.shares or cycle.rest is None:
        return None
    machine_s = cycle.shares[MACHINE][0] * cycle.mean_s
    left_s = cycle.mean_s / factor - machine_s
    if left_s <= 0 or cycle.mean_s <= machine_s:
        return None
    pace = float(cycle.rest.performance * (cycle.mean_s - machine_s) / left_s)
    return pace, pace / (1.0 + cycle.rest.in_cycle)


def _scatter(molds: np.ndarray, hours: np.ndarray, mold_cv: float) -> float:
    """Standard deviation of the logarithm of molds over hours; by Student's t over the counts, widened to normal ends.

    One count has the scatter of as many molds on the simulated line.
    """
    count, total = len(molds), float(molds.sum())
    if count < 2:
        return mold_cv / math.sqrt(total)
    from scipy.special import stdtrit

    off = molds - hours * total / float(hours.sum())
    se = math.sqrt(count / (count - 1.0) * float(off @ off)) / total
    return float(se * stdtrit(count - 1, TWO_SIDED) / (TWO_ENDS / 2.0))


def _ends(middle: float, sd: float) -> tuple[float, float, float]:
    reach = math.exp(sd * TWO_ENDS / 2.0)
    return middle, middle / reach, middle * reach


def _differs(ends: tuple[float, float, float]) -> bool:
    return not ends[1] <= 1.0 <= ends[2]


def calibrated(rates: Iterable[Rate], check: FloorCheck | None, *, seed: int) -> tuple[Rate, ...]:
    """Rates of every method times the factor of the check, its uncertainty in their intervals.

    `draws` have the factor in them and `factor_sd` its uncertainty: it is one and the same for all patterns and methods
    in a run, so that whoever draws puts it on all of them at once.

    Parameters
    ----------
    rates : iterable of Rate
        Of every pattern and method, as the model has them.
    check : FloorCheck, optional
        Model against counts; without it the rates are returned as they are.
    seed : int
        Of the factor's draws, the same for every rate.
    """
    if check is None:
        return tuple(rates)
    return tuple(_times(rate, check.factor[0], check.sd, seed) for rate in rates)


def _times(rate: Rate, factor: float, sd: float, seed: int) -> Rate:
    noise = factor_noise(len(rate.draws), sd, seed)
    draws = factor * rate.draws
    found, low, high = factor * rate.molds_per_h, *(float(end) for end in np.quantile(draws * noise, LEVELS))
    change_h = 1.0 / rate.changed[0] - 1.0 / rate.molds_per_h
    per_shift = rate.good_per_shift / rate.changed[0]
    aside_h = per_shift / rate.good_per_shift_aside - 1.0 / rate.molds_per_h
    changed = [1.0 / (1.0 / end + change_h) for end in (found, low, high)]
    return replace(
        rate,
        molds_per_h=found,
        low=low,
        high=high,
        changed=(changed[0], changed[1], changed[2]),
        good_per_shift=per_shift * changed[0],
        good_low=per_shift * changed[1],
        good_high=per_shift * changed[2],
        good_per_shift_aside=per_shift / (1.0 / found + aside_h),
        change_share=1.0 - changed[0] / found,
        rates=factor * rate.rates,
        draws=draws,
        factor=factor,
        factor_sd=sd,
    )


def factor_noise(count: int, sd: float, seed: int) -> np.ndarray:
    """What the uncertainty of the factor does in each of so many runs, 1 on average; common to all rates. [-]

    Parameters
    ----------
    count : int
        Runs.
    sd : float
        Standard deviation of the factor's logarithm. [-]
    seed : int
        Of the case: the same seed draws the same noise wherever it is asked for.
    """
    return np.exp(sd * np.random.default_rng((seed, STREAM)).standard_normal(count) - sd**2 / 2.0)
