"""Element times -> sums a cycle: what is added up, and by what it is divided, so that cycles can be drawn whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Study
from coreset.study.element_times import Timed
from coreset.study.rating_scales import scale


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sums:
    """Sums of each cycle (rows) and element (columns); the time for a mold is `top` over `bottom` times `times`.

    `observed` and `normal` : (cycles, elements), seconds of good and failed rows [s]; `bottom`: what they are divided
    by (cycles in which the element is whole, or occurrences); `happened` over `molds`: frequency of an occasional
    element that is counted (`counted`). `whole`: (cycles,), every regular element known.
    """

    cycle: NDArray[np.int64]
    observed: NDArray[np.float64]
    normal: NDArray[np.float64]
    bottom: NDArray[np.float64]
    happened: NDArray[np.float64]
    times: NDArray[np.float64]
    counted: NDArray[np.bool_]
    whole: NDArray[np.bool_]


def sums(study: Study, timed: Timed) -> Sums:
    """Sums of each cycle and element.

    Several rows of one element in a cycle add. A failed try adds its time to the cycle's, and counts nothing: the
    mean is then total time over good ones. A cycle with a missed or excluded row of a once-a-cycle element does not
    count for that element. Where the element has a number for one mold, each row is one occurrence.
    """
    cycles, row = np.unique(timed.cycle[~timed.foreign], return_inverse=True)
    shape = (len(cycles), len(study.elements))
    job = ~timed.foreign
    cell = row * shape[1] + timed.element[job]

    def total(values: NDArray[np.float64] | NDArray[np.bool_]) -> NDArray[np.float64]:
        return np.bincount(cell, weights=values, minlength=shape[0] * shape[1]).astype(np.float64).reshape(shape)

    seconds = np.where(timed.good | timed.failed, np.nan_to_num(timed.seconds), 0.0)[job]
    factor = np.nan_to_num(timed.rating[job] / scale(study.rating_scale)["unity"], nan=1.0)
    good, lost = total(timed.good[job]), total((timed.missed | timed.excluded)[job])
    each_mold = np.array([e.per_mold is not None or e.occasional for e in study.elements])
    intact = (lost == 0) | each_mold
    known = np.where(each_mold, good, (good > 0) & (lost == 0))
    return Sums(
        cycle=cycles,
        observed=total(seconds) * intact,
        normal=total(seconds * factor) * intact,
        bottom=known,
        happened=good + total(timed.missed[job]),
        times=np.array([1 / study.molds_per_cycle if e.per_mold is None else e.per_mold for e in study.elements]),
        counted=np.array([e.per_mold is None and e.occasional for e in study.elements]),
        whole=_whole(study, known),
    )


def _whole(study: Study, known: NDArray[np.float64]) -> NDArray[np.bool_]:
    regular = [i for i, e in enumerate(study.elements) if not e.occasional and known[:, i].any()]
    return np.all(known[:, regular] > 0, axis=1)


def per_mold(found: Sums, weights: NDArray[np.float64], top: NDArray[np.float64]) -> NDArray[np.float64]:
    """Time of each element for one mold under weights of the cycles.

    Parameters
    ----------
    weights : ndarray, (draws, cycles)
        How often each cycle is taken.
    top : ndarray, (cycles, elements)
        `observed` or `normal` sums.

    Returns
    -------
    ndarray, (draws, elements)
        Mean over occurrences x frequency. [s] A draw without an occurrence takes the mean of all; NaN where the study
        has none at all.
    """
    size = top.shape[1]
    happened = found.happened if found.counted.any() else found.happened[:, :0]
    together = weights @ np.hstack([top, found.bottom, happened])
    seen, bottom, happened = together[:, :size], together[:, size : 2 * size], together[:, 2 * size :]
    all_seen, all_bottom = top.sum(axis=0), found.bottom.sum(axis=0)
    usual = np.divide(all_seen, all_bottom, out=np.zeros_like(all_seen), where=all_bottom > 0)
    mean = np.divide(seen, bottom, out=np.broadcast_to(usual, seen.shape).copy(), where=bottom > 0)
    mean *= found.times
    if found.counted.any():
        mean *= np.where(found.counted, happened / weights.sum(axis=1, keepdims=True), 1.0)
    mean[:, all_bottom == 0] = np.nan
    return mean


def cycle_times(found: Sums, top: NDArray[np.float64]) -> NDArray[np.float64]:
    """Time of each element in each whole cycle for one mold, (whole cycles, elements). [s]

    An occasional element has what it took in the cycles where it came, scaled to its frequency; where no whole cycle
    has it, its share is laid on every cycle.
    """
    cells, bottom = top[found.whole], found.bottom[found.whole]
    per = np.where(found.counted, 1.0, np.maximum(bottom, 1))
    taken = cells / per * found.times
    mean = per_mold(found, np.ones((1, len(found.cycle))), top)[0]
    rare = ~np.isfinite(mean) | (bottom == 0).any(axis=0)
    for i in np.flatnonzero(rare):
        now = taken[:, i].mean() if len(taken) else 0.0
        target = np.nan_to_num(mean[i])
        taken[:, i] = taken[:, i] * (target / now) if now > 0 else target
    return taken
