"""Molds of a log put into shifts, with the gaps between them: late labels, breaks, medians, where a stop begins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.units import S_PER_H, S_PER_MIN

S_PER_DAY = 86_400.0
BREAK_S = (7 * S_PER_MIN, 60 * S_PER_MIN)
BIN_S = 10 * S_PER_MIN
LEAST_SHIFTS = 4
LATE_LABEL = (1.6, 3 * S_PER_MIN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The plant's own shifts: clock time of the first in hours, length on the clock, how many follow one another."""

    first_h: float = 6.0
    length_h: float = 8.0
    per_day: int = 1


@dataclass(slots=True, kw_only=True)
class Molds:
    """Molds of the schedule, sorted: time, pattern, shift, its start, the gap before each (NaN for a shift's first)."""

    t: NDArray[np.float64]
    pattern: NDArray[np.int64]
    shift: NDArray[np.int64]
    start: NDArray[np.float64]
    gap: NDArray[np.float64]


def in_shifts(t: NDArray[np.float64], label: NDArray[np.int64], schedule: Schedule) -> tuple[Molds, int]:
    """Molds within the schedule with their shift; how many lie outside.

    Parameters
    ----------
    t : ndarray (molds,)
        Time of each mold since a midnight, ascending. [s]
    label : ndarray (molds,)
        Number of its pattern.
    schedule : Schedule
        The plant's shifts.
    """
    since = t - schedule.first_h * S_PER_H
    day, length = np.floor(since / S_PER_DAY), schedule.length_h * S_PER_H
    number = np.floor((since - day * S_PER_DAY) / length)
    inside = number < schedule.per_day
    start = (schedule.first_h * S_PER_H + day * S_PER_DAY + number * length)[inside]
    shift = (day * schedule.per_day + number)[inside].astype(np.int64)
    t = t[inside]
    gap = np.full(len(t), np.nan)
    gap[1:] = np.where(shift[1:] == shift[:-1], np.diff(t), np.nan)
    found = Molds(t=t, pattern=label[inside].copy(), shift=shift, start=start, gap=gap)
    return found, int((~inside).sum())


def labels_moved_back(molds: Molds) -> int:
    """Changes whose long gap lies one mold before: the label was set late, and is moved back; how many."""
    usual, long_s = LATE_LABEL
    label, gap = molds.pattern, molds.gap
    changed = np.flatnonzero(label[1:] != label[:-1]) + 1
    at = changed[changed >= 2]
    typical = float(np.nanmedian(gap)) if np.isfinite(gap).any() else 0.0
    late = at[(gap[at] < usual * typical) & (gap[at - 1] > long_s) & (label[at - 1] == label[at - 2])]
    molds.pattern[late - 1] = label[late]
    return len(late)


def changes_of(molds: Molds) -> NDArray[np.bool_]:
    return np.concatenate([[False], molds.pattern[1:] != molds.pattern[:-1]])


def breaks_of(molds: Molds, schedule: Schedule) -> tuple[NDArray[np.bool_], tuple[tuple[float, float, float], ...]]:
    """Gaps that begin at the same clock time in at least half the shifts: clock hour, minutes, share of shifts."""
    on_break, found = np.zeros(len(molds.t), dtype=bool), []
    long = np.flatnonzero((molds.gap >= BREAK_S[0]) & (molds.gap <= BREAK_S[1]))
    begun = molds.t[long] - molds.gap[long]
    bins = np.floor((begun - molds.start[long]) / BIN_S).astype(int)
    for number in range(schedule.per_day):
        of_kind = molds.shift[long] % schedule.per_day == number
        shifts = np.unique(molds.shift[molds.shift % schedule.per_day == number])
        free = of_kind.copy()
        while len(shifts) >= LEAST_SHIFTS and free.any():
            joined = {b: np.unique(molds.shift[long][free & (bins >= b) & (bins <= b + 1)]) for b in set(bins[free])}
            best = max(joined, key=lambda b: (len(joined[b]), -b))
            if 2 * len(joined[best]) < len(shifts):
                break
            here = free & (bins >= best) & (bins <= best + 1)
            on_break[long[here]] = True
            clock = float(np.median(begun[here] % S_PER_DAY)) / S_PER_H
            share = len(joined[best]) / len(shifts)
            found.append((clock, float(np.median(molds.gap[long][here])) / S_PER_MIN, share))
            free &= ~here
    return on_break, tuple(sorted(found))


def medians_of(molds: Molds, count: int, on_break: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Median gap of each pattern, changes and breaks left out. [s]

    Parameters
    ----------
    molds : Molds
        Molds of the schedule.
    count : int
        Number of patterns.
    on_break : ndarray of bool (molds,)
        Whether the gap before a mold is a break.

    Returns
    -------
    ndarray (count,)
        NaN for a pattern without a gap of its own.
    """
    plain = np.isfinite(molds.gap) & ~on_break & ~changes_of(molds)
    found = np.full(count, np.nan)
    for k in range(count):
        gaps = molds.gap[plain & (molds.pattern == k)]
        found[k] = np.median(gaps) if len(gaps) else np.nan
    return found


def threshold(gaps: NDArray[np.float64]) -> float:
    """Longest gap that is a cycle: mode x exp(4 s), s from the gaps left of the mode, which no stop lengthens. [s]"""
    near = gaps[gaps < 3.0 * np.median(gaps)]
    low, high = np.quantile(near, [0.25, 0.75])
    width = max(2.0 * (high - low) / len(near) ** (1 / 3), 1e-3 * float(np.median(gaps)), _step(near))
    count, edges = np.histogram(near, bins=max(3, int(np.ptp(near) / width) + 1))
    smooth = np.convolve(count, [0.25, 0.5, 0.25], mode="same")
    top = int(np.argmax(smooth))
    mode = 0.5 * float(edges[top] + edges[top + 1])
    left = np.log(near[(near < mode) & (near > 0)] / mode)
    return mode * float(np.exp(4.0 * np.sqrt(np.mean(left**2)))) if len(left) else 2.0 * mode


def _step(gaps: NDArray[np.float64]) -> float:
    return 1.0 if np.all(gaps == np.round(gaps)) else 0.0
