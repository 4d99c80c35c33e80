"""Two methods by their tries, those broken off included: how long until it is done, and how often it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Study
from coreset.study.element_times import element_times
from coreset.study.survival import SurvivalCurve, curve, logrank

SURE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """Tries of one study. `median_s`: time by which half are done, broken-off ones counted as lower bounds."""

    study: str
    method: str
    tries: int
    done: int
    median_s: float
    median_low_s: float
    median_high_s: float
    curve: SurvivalCurve


@dataclass(frozen=True, slots=True, kw_only=True)
class TriesCompared:
    """The second method's tries against the first's. `verdict`: faster, slower or unclear, for the second."""

    first: Tried
    second: Tried
    z: float
    p: float
    verdict: str


def tries(study: Study) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Time of each cycle's work, and whether it came to its end.

    A cycle is done where no element of it was last broken off; its time is the sum of its rows. Cycles with a missed
    or an excluded row are left out.
    """
    timed = element_times(study)
    job = ~timed.foreign
    cycles, row = np.unique(timed.cycle[job], return_inverse=True)
    total = np.bincount(row, weights=np.nan_to_num(timed.seconds[job]), minlength=len(cycles)).astype(np.float64)
    lost = np.asarray(np.bincount(row, weights=(timed.missed | timed.excluded)[job], minlength=len(cycles)) > 0, bool)
    last: dict[tuple[int, int], bool] = {}
    for c, e, failed in zip(row, timed.element[job], timed.failed[job], strict=True):
        last[int(c), int(e)] = bool(failed)
    open_ = {c for (c, _), failed in last.items() if failed}
    done = np.array([c not in open_ for c in range(len(cycles))], bool)
    return total[~lost], done[~lost]


def of_series(study: Study, element: str) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Tries of one element, or of the whole cycle where its name is empty, in the order taken, and which were done.

    Each try of an element stands by itself: one that was broken off is a lower bound, the next one begins anew.
    """
    if not element:
        return tries(study)
    timed = element_times(study)
    place = [e.name for e in study.elements].index(element)
    here = (timed.element == place) & (timed.good | timed.failed) & (timed.seconds > 0)
    return timed.seconds[here], ~timed.failed[here]


def _tried(studies: Sequence[Study]) -> tuple[Tried, tuple[NDArray[np.float64], NDArray[np.bool_]]]:
    parts = [tries(study) for study in studies]
    times, done = (np.concatenate(column) for column in zip(*parts, strict=True))
    found = curve(times, done)
    low, high = found.interval()
    tried = Tried(
        study=" + ".join(study.study for study in studies), method=studies[0].method, tries=len(times),
        done=int(done.sum()), median_s=found.quantile(0.5), median_low_s=low, median_high_s=high, curve=found,
    )  # fmt: skip
    return tried, (times, done)


def compare_tries(first: Sequence[Study], second: Sequence[Study]) -> TriesCompared:
    """The second method's studies against the first's, by the log-rank test."""
    (a, of_a), (b, of_b) = _tried(first), _tried(second)
    z, p = logrank(of_a, of_b)
    verdict = "unclear" if p >= SURE else "slower" if z > 0 else "faster"
    return TriesCompared(first=a, second=b, z=z, p=p, verdict=verdict)


def broken_off(studies: Sequence[Study]) -> bool:
    """Whether any try of some studies was broken off."""
    return any("failed" in study.readings.mark for study in studies)


def broken(study: Study, element: str) -> bool:
    """Whether tries of an element, or of any where its name is empty, were broken off."""
    rows = zip(study.readings.mark, study.readings.element, strict=True)
    return any(mark == "failed" and element in ("", name) for mark, name in rows)
