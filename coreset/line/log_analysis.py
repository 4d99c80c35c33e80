"""What a log of molds says: cycles and stops by one threshold, breaks, changeovers, runs, drift, counts by shift.

A gap is the time from one mold to the next within a shift. One threshold for each pattern divides gaps into cycles, as
they are, and stops, the gap less the median: their sum is the time that was there, whatever the threshold.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coreset.case import ShiftCount
from coreset.line.log_gaps import (
    Molds,
    Schedule,
    breaks_of,
    changes_of,
    in_shifts,
    labels_moved_back,
    medians_of,
    threshold,
)
from coreset.line.student import half_width
from coreset.units import S_PER_H, S_PER_MIN

DOUBLE = 0.35
"""Share of the median gap below which two stamps are one mold."""
MISSED = (1.9, 2.1)
RAMP = 8
"""Molds after a change that are left out of the threshold, not out of the pace."""
COARSE = 0.15
"""Step of the stamps over the median gap above which no distribution can be had."""
EDGE_S = 1_800.0
CLASSES_MIN = (0.0, 1.0, 3.0, 10.0, 30.0, float("inf"))
RESOLUTIONS_S = (60.0, 30.0, 10.0, 5.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedPattern:
    """One pattern of the log. Times in seconds; `stop_share` of cycles and stops together; NaN where too coarse."""

    pattern: str
    molds: int
    runs: int
    median_s: float
    cycle_s: float
    cycle_cv: float
    threshold_s: float
    stops: int
    stop_s: float
    stop_share: float
    missed_like: int
    changeovers: int
    changeover_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LogAnalysis:
    """A whole log. `stop_classes`: from, to [min], number, hours. `breaks`: clock hour, minutes, share of shifts.

    `drift`: pace of the last third of the shifts over that of the first, and 95 % ends. `counts` are for the case.
    """

    molds: int
    shifts: int
    scheduled_h: float
    lost_at_ends_h: float
    out_of_order: int
    doubles: int
    outside: int
    moved_labels: int
    coarse: bool
    breaks: tuple[tuple[float, float, float], ...]
    patterns: tuple[LoggedPattern, ...]
    stop_classes: tuple[tuple[float, float, int, float], ...]
    drift: tuple[float, float, float]
    counts: tuple[ShiftCount, ...]


def analyze(
    times_s: NDArray[np.float64], pattern: NDArray[np.int64], names: tuple[str, ...], schedule: Schedule
) -> LogAnalysis:
    """Analyze a log.

    Parameters
    ----------
    times_s : ndarray (n,)
        Stamps, in the order of the log. [s]
    pattern : ndarray (n,)
        Number of the pattern in `names`.
    names : tuple of str
        Codes of the patterns.
    schedule : Schedule
        Shifts; never taken from the gaps, for a long stop looks like the end of a shift.

    Returns
    -------
    LogAnalysis
    """
    out_of_order = int((np.diff(times_s) < 0).sum())
    order = np.argsort(times_s, kind="stable")
    t, label = times_s[order], pattern[order]
    between = np.diff(t)
    usual = float(np.median(between[between > 0])) if (between > 0).any() else 0.0
    kept = np.concatenate([[True], between >= DOUBLE * usual])
    molds, outside = in_shifts(t[kept], label[kept], schedule)
    moved = labels_moved_back(molds)
    on_break, breaks = breaks_of(molds, schedule)
    median = medians_of(molds, len(names), on_break)
    step = next((s for s in RESOLUTIONS_S if np.all(np.abs(t / s - np.round(t / s)) < 1e-6)), 0.0)
    coarse = step > COARSE * float(np.nanmin(median)) if np.isfinite(median).any() else True
    found, stops = _patterns(molds, names, on_break, median, coarse)
    counts, hours, ends = _counts(molds, names, on_break, median, schedule)
    return LogAnalysis(
        molds=len(molds.t),
        shifts=len(np.unique(molds.shift)),
        scheduled_h=hours,
        lost_at_ends_h=ends,
        out_of_order=out_of_order,
        doubles=int((~kept).sum()),
        outside=outside,
        moved_labels=moved,
        coarse=coarse,
        breaks=breaks,
        patterns=found,
        stop_classes=tuple(
            (low, high, int(here.sum()), float(stops[here].sum()) / S_PER_H)
            for low, high in pairwise(CLASSES_MIN)
            for here in ((stops > low * S_PER_MIN) & (stops <= high * S_PER_MIN),)
        ),
        drift=_drift(counts),
        counts=counts,
    )


def _patterns(
    molds: Molds, names: tuple[str, ...], on_break: NDArray[np.bool_], median: NDArray[np.float64], coarse: bool
) -> tuple[tuple[LoggedPattern, ...], NDArray[np.float64]]:
    """One row a pattern, and the length of every stop. [s]"""
    changed, found, stops = changes_of(molds), [], [np.zeros(0)]
    since = np.arange(len(molds.t)) - np.maximum.accumulate(np.where(changed, np.arange(len(molds.t)), -RAMP))
    for k, name in enumerate(names):
        own = molds.pattern == k
        plain = own & np.isfinite(molds.gap) & ~on_break & ~changed
        if not plain.any():
            continue
        gaps, settled = molds.gap[plain], molds.gap[plain & (since >= RAMP)]
        most = threshold(settled if len(settled) else gaps) if not coarse else np.inf
        cycles, over = gaps[gaps <= most], gaps[gaps > most] - median[k]
        set_up = np.maximum(molds.gap[own & changed & np.isfinite(molds.gap) & ~on_break] - median[k], 0.0)
        stops.append(over)
        found.append(
            LoggedPattern(
                pattern=name,
                molds=int(own.sum()),
                runs=int((own & changed).sum()) + int(own[0]),
                median_s=float(median[k]),
                cycle_s=float((gaps.sum() - over.sum()) / len(gaps)),
                cycle_cv=np.nan if coarse else float(cycles.std() / cycles.mean()),
                threshold_s=float(most),
                stops=len(over),
                stop_s=float(over.mean()) if len(over) else 0.0,
                stop_share=float(over.sum() / gaps.sum()),
                missed_like=int(((gaps > MISSED[0] * median[k]) & (gaps < MISSED[1] * median[k])).sum()),
                changeovers=len(set_up),
                changeover_min=float(set_up.mean()) / S_PER_MIN if len(set_up) else np.nan,
            )
        )
    return tuple(found), np.concatenate(stops)


def _counts(
    molds: Molds, names: tuple[str, ...], on_break: NDArray[np.bool_], median: NDArray[np.float64], schedule: Schedule
) -> tuple[tuple[ShiftCount, ...], float, float]:
    """Molds and scheduled hours of each pattern in each shift, breaks out; hours of all shifts, and lost at their ends.

    A pattern has the time up to each of its molds, the first one's back to the start of the shift, and the last pattern
    the time to the end. A log's first and last shift is left out where the log begins or ends within it.
    """
    first = np.concatenate([[True], molds.shift[1:] != molds.shift[:-1]])
    last = np.concatenate([first[1:], [True]])
    ends = molds.start + schedule.length_h * S_PER_H
    taken = np.where(first, molds.t - molds.start, np.nan_to_num(molds.gap))
    taken = np.where(on_break, median[molds.pattern], taken) + np.where(last, ends - molds.t, 0.0)
    whole = np.ones(len(molds.t), dtype=bool)
    for at, lost in ((0, molds.t[0] - molds.start[0]), (-1, ends[-1] - molds.t[-1])) if len(molds.t) else ():
        whole &= (molds.shift != molds.shift[at]) | (lost <= EDGE_S)
    key = molds.shift * len(names) + molds.pattern
    rows = []
    for at, here in _groups(key):
        if whole[here[0]]:
            begun = np.datetime_as_string(np.datetime64(int(molds.start[here[0]]), "s"), unit="m").replace("T", " ")
            hours = float(taken[here].sum()) / S_PER_H
            rows.append(
                ShiftCount(
                    pattern=names[at % len(names)], molds=float(len(here)), hours=hours, shift=begun, source="log"
                )
            )
    lost = float((molds.t - molds.start)[first & whole].sum() + (ends - molds.t)[last & whole].sum()) / S_PER_H
    return tuple(sorted(rows, key=lambda row: (row.shift, row.pattern))), float(taken[whole].sum()) / S_PER_H, lost


def _groups(key: NDArray[np.int64]) -> list[tuple[int, NDArray[np.int64]]]:
    order = np.argsort(key, kind="stable")
    cuts = np.flatnonzero(np.diff(key[order])) + 1
    return [(int(key[part[0]]), part) for part in np.split(order, cuts) if len(part)]


def _drift(counts: tuple[ShiftCount, ...]) -> tuple[float, float, float]:
    """Pace of the last third of the shifts over the first, each pattern over its own mean; NaN for too few shifts."""
    mean: dict[str, list[float]] = {}
    for row in counts:
        total = mean.setdefault(row.pattern, [0.0, 0.0])
        total[0], total[1] = total[0] + row.molds, total[1] + row.hours
    pace: dict[str, list[float]] = {}
    for row in counts:
        expected = row.hours * mean[row.pattern][0] / mean[row.pattern][1]
        both = pace.setdefault(row.shift, [0.0, 0.0])
        both[0], both[1] = both[0] + row.molds, both[1] + expected
    each = np.array([made / expected for made, expected in pace.values()])
    third = len(each) // 3
    if third < 3:
        return float("nan"), float("nan"), float("nan")
    early, late = each[:third], each[-third:]
    reach = float(np.hypot(half_width(early) / early.mean(), half_width(late) / late.mean()))
    ratio = float(late.mean() / early.mean())
    return ratio, ratio * (1.0 - reach), ratio * (1.0 + reach)
