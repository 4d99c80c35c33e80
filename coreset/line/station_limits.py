"""What each part of the line could do alone, in molds per running hour. In: line, pattern. Out: rates by part."""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Line, Pattern
from coreset.case.kinds import ACCUMULATING, FLASKS, INDEXING
from coreset.line.cooling import cooling_min
from coreset.units import S_PER_H, S_PER_MIN

OUTER_ROW, UPPER_LEVEL = "outer row", "upper level"
RANKS = 1_001
"""Times that stand for the spread of one, each as likely as the next."""


@cache
def _scores() -> NDArray[np.float64]:
    return np.array([NormalDist().inv_cdf((k + 0.5) / RANKS) for k in range(RANKS)])


def scattered_s(mean_s: float, cv: float) -> NDArray[np.float64]:
    """A lognormal time of this mean and coefficient of variation as equally likely values, or the one value. [s]

    Examples
    --------
    >>> times = scattered_s(15.0, 0.3)
    >>> round(float(times.mean()), 9), round(float(times.std() / times.mean()), 2)
    (15.0, 0.3)
    """
    if cv <= 0:
        return np.array([float(mean_s)])
    times = np.exp(np.sqrt(np.log1p(cv**2)) * _scores())
    return mean_s * times / times.mean()


def batched(case: Case) -> bool:
    """Whether molds are poured in batches at the pourer's own pace."""
    return case.line.pouring_mode == "batch" and case.line.pouring_batch > 1


def pouring_times_s(case: Case, pattern: Pattern) -> NDArray[np.float64]:
    """Time to pour one mold with its scatter; poured at the index, no mold takes less than the table does. [s]"""
    times = scattered_s(pattern.pouring_s or case.line.pouring_s, case.line.pouring_cv)
    return times if batched(case) else np.maximum(times, case.line.index_s)


def pouring_s(case: Case, pattern: Pattern) -> float:
    """Mean time from one poured mold to the next: the pattern's own or the line's, not below the index.

    The table's index bounds the mean rate in either way of pouring; batches only free the pourer's own pace.
    """
    return max(float(pouring_times_s(case, pattern).mean()), case.line.index_s)


def rows_after(case: Case, pattern: Pattern) -> tuple[tuple[str, int, float], ...]:
    """Outer row and upper level that the pattern's molds travel after the inner row: name, stations, index. [s]"""
    line = case.line
    rows = (
        (OUTER_ROW, line.outer_row_stations, line.outer_row_index_s),
        (UPPER_LEVEL, line.upper_level_stations, line.upper_level_index_s),
    )
    return () if pattern.inner_row_only else tuple(row for row in rows if row[1] > 0)


def inner_places(case: Case) -> int:
    """Mold places of the inner row between pouring and what follows it."""
    return int(case.line.cooling_places + case.line.outer_row_places)


def cooling_places(case: Case, pattern: Pattern) -> int:
    """Mold places between pouring and shake-out, stations of outer row and upper level with them."""
    return inner_places(case) + sum(stations for _, stations, _ in rows_after(case, pattern))


def _of_kind(line: Line, pour_s: float, need_s: float) -> dict[str, float]:
    """Limits of the other kinds of lines: the loops of each part at mean times, over the molds in it."""
    index = line.index_s if line.kind == INDEXING else 0.0
    places = line.cooling_places + (line.kind != INDEXING)
    seconds = {
        "pouring": (pour_s + index) / line.pouring_places if line.kind == INDEXING else pour_s,
        "cooling": (pour_s + need_s + index) / places if need_s > 0 else 0.0,
        "shake-out": line.shakeout_s + index if line.shakeout_s > 0 else 0.0,
        "weights": line.weights_s + index if line.kind == INDEXING and line.weights_s > 0 else 0.0,
        "closing": line.closing_s if line.kind == FLASKS else 0.0,
    }
    always = ("pouring", "cooling", "shake-out")
    return {name: S_PER_H / s if s > 0 else float("inf") for name, s in seconds.items() if s > 0 or name in always}


def limits(case: Case, pattern: Pattern) -> dict[str, float]:
    """Molds per running hour that pouring, cooling, each further row and shake-out could each do alone.

    Infinite where not stated; a row that the pattern's molds do not travel is left out.
    """
    need_s = cooling_min(case, pattern) * S_PER_MIN
    if case.line.kind != ACCUMULATING:
        return _of_kind(case.line, pattern.pouring_s or case.line.pouring_s, need_s)
    found = {
        "pouring": S_PER_H / pouring_s(case, pattern),
        "cooling": S_PER_H * cooling_places(case, pattern) / need_s if need_s > 0 else float("inf"),
        "shake-out": S_PER_H / case.line.shakeout_s if case.line.shakeout_s > 0 else float("inf"),
    }
    return found | {
        name: S_PER_H / index if index > 0 else float("inf") for name, _, index in rows_after(case, pattern)
    }
