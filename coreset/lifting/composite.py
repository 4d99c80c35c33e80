"""Several lifting tasks of one job as one index: composite (CLI), variable (VLI) and sequential (SLI)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.lifting.equation import checked, frequency_multiplier

CATEGORIES = 6  # [waters2016] at most six categories of FILI
CELLS_MAX = 30  # [waters2016] 5 masses x 2 heights x 3 distances; with more, sextiles (later practice, memory)
CLI_TASKS_MAX = 10  # common practice, no source: above about ten tasks the variable index is used
SUM_DECIMALS = 12
"""Frequencies that add up to the last row of Table 5 lie in it, whatever the last bit of their sum."""
SAME = 1e-9
"""Two figures that differ by no more than this share are equal: so much is noise of binary fractions."""
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Composite:
    """A composite index and its parts, tasks in falling order of STLI; of equal STLI the most frequent first.

    `index` is None where the cumulated frequency is outside the table ("outside the method"), `outside` the place (in
    `order`) of the first task that takes it there. `increments` begin with the worst task's STLI.
    """

    index: float | None
    order: tuple[int, ...]
    fili: Floats
    stli: Floats
    cumulated_per_min: Floats
    increments: Floats
    outside: int | None


def composite_index(
    *,
    fili: ArrayLike,
    stli_independent: ArrayLike,
    frequency_per_min: ArrayLike,
    vertical: ArrayLike,
    duration: str,
    units: str = "metric",
) -> Composite:
    """CLI: the worst task's index, plus what every further task adds at the cumulated frequency.

    Parameters
    ----------
    fili : array_like, (tasks,)
        Largest load of each task over its FIRWL. [-]
    stli_independent : array_like, (tasks,)
        Mean load of each task over its FIRWL; over FM it is the STLI. [-]
    frequency_per_min : array_like, (tasks,)
        Lifts a minute of each task.
    vertical : array_like, (tasks,)
        V at the origin of each task; above 8 lifts a minute the added task's own V chooses the column of Table 5.
    duration : {"short", "moderate", "long"}
        Duration class of the whole job.
    units : {"metric", "us"}
        Unit set of V.

    Returns
    -------
    Composite
        The same whatever the order of the rows.
        CLI = STLI_1 + sum over i >= 2 of FILI_i (1/FM(F_1 + .. + F_i) - 1/FM(F_1 + .. + F_(i-1))). [-]

    References
    ----------
    [waters1994] section 2.4.5; order of tasks with equal STLI by its example 7.

    Examples
    --------
    >>> found = composite_index(fili=[1.5, 1, 2 / 3], stli_independent=[1.5, 1, 2 / 3],
    ...     frequency_per_min=[1, 2, 4], vertical=[80, 80, 80], duration="short")
    >>> round(found.index, 3)
    1.863
    """
    f = checked(frequency_per_min, "frequency", zero=False)
    load, mean, v = (np.asarray(x, dtype=float) for x in (fili, stli_independent, vertical))
    if not f.size:
        raise OutOfRange("tasks must be at least one, got none")
    alone = frequency_multiplier(f, duration, v, units=units)
    with np.errstate(divide="ignore"):
        stli = mean / alone
    order = _order(stli, f, load, v)
    f, load, v, stli = f[order], load[order], v[order], stli[order]
    total = np.asarray(np.round(np.cumsum(f), SUM_DECIMALS), dtype=float)
    after = frequency_multiplier(total, duration, v, units=units)
    before = frequency_multiplier(np.concatenate(([0.0], total[:-1])), duration, v, units=units)
    outside = np.flatnonzero((after == 0) | ~np.isfinite(stli))
    with np.errstate(divide="ignore", invalid="ignore"):
        increments = load * (1.0 / after - 1.0 / before)
    increments[0] = stli[0]
    return Composite(
        index=None if outside.size else float(increments.sum()),
        order=tuple(int(place) for place in order),
        fili=load,
        stli=stli,
        cumulated_per_min=total,
        increments=increments,
        outside=int(outside[0]) if outside.size else None,
    )


def _order(stli: Floats, frequency: Floats, fili: Floats, vertical: Floats) -> NDArray[np.intp]:
    """Places of tasks by falling STLI, then falling frequency, figures within `SAME` counting as equal.

    The manual compares no further. Tasks equal in both come by rising FILI, then by falling V, which tends to the
    higher index, so that the order of the rows never decides.
    """
    return np.lexsort((-_level(vertical), _level(fili), -_level(frequency), -_level(stli)))


def _level(value: Floats) -> NDArray[np.intp]:
    """Rank of each figure from the lowest, equal for figures with no gap above `SAME` between neighbors."""
    order = np.argsort(value, kind="stable")
    rising = value[order]
    gap = rising[:-1] < rising[1:] * (1.0 - SAME)
    found = np.empty(len(value), dtype=np.intp)
    found[order] = np.concatenate(([0], np.cumsum(gap)))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A variable index: the composite index of up to six categories of FILI, and the categories themselves.

    `rule` is "ranges" (six equal parts of the range of FILI) or "sextiles" (six equal shares of the lifts).
    """

    index: float | None
    rule: str
    edges: Floats
    mean_fili: Floats
    share: Floats
    composite: Composite


def variable_index(
    *,
    fili: ArrayLike,
    weight: ArrayLike,
    total_per_min: float,
    vertical: ArrayLike,
    duration: str,
    units: str = "metric",
    rule: str | None = None,
) -> Variable:
    """VLI: lifts that differ from one to the next, gathered into six categories of FILI and rated as a composite.

    Parameters
    ----------
    fili : array_like, (lifts,)
        FILI of each recorded lift, or of each cell of a grid. [-]
    weight : array_like, (lifts,)
        How often each occurs, on any scale.
    total_per_min : float
        All lifts a minute. [1/min]
    vertical : array_like, (lifts,)
        V at the origin of each; a category below the reference height in part takes the low column of Table 5.
    duration : {"short", "moderate", "long"}
        Duration class of the job.
    units : {"metric", "us"}
        Unit set of V.
    rule : {"ranges", "sextiles"}, optional
        How FILI is split; without it ranges up to 30 lifts or cells, sextiles above.

    Returns
    -------
    Variable
        VLI and its categories; a category's FILI is the mean of its lifts, its frequency their share of the total.

    References
    ----------
    [waters2016]; the sextiles are later practice, from memory.
    """
    x, w, v = (np.atleast_1d(np.asarray(a, dtype=float)) for a in (fili, weight, vertical))
    checked(w, "weight")
    if not w.sum() > 0:
        raise OutOfRange("weight must be above zero for at least one lift")
    rule = rule or ("ranges" if len(x) <= CELLS_MAX else "sextiles")
    edges = _edges(x, w, rule)
    # A lift on a border belongs to the category above, also where the border misses it by rounding.
    lowered = edges - SAME * (edges[-1] - edges[0])
    category = np.clip(np.searchsorted(lowered, x, side="right") - 1, 0, len(edges) - 2)
    share = np.bincount(category, weights=w) / w.sum()
    held = share > 0
    sums = np.bincount(category, weights=w * x)
    mean = sums[held] / (share[held] * w.sum())
    lowest = np.array([v[(category == k) & (w > 0)].min() for k in np.flatnonzero(held)])
    found = composite_index(
        fili=mean,
        stli_independent=mean,
        frequency_per_min=share[held] * total_per_min,
        vertical=lowest,
        duration=duration,
        units=units,
    )
    return Variable(index=found.index, rule=rule, edges=edges, mean_fili=mean, share=share[held], composite=found)


def _edges(x: Floats, w: Floats, rule: str) -> Floats:
    """Borders of the categories of FILI, lowest to highest."""
    if rule not in {"ranges", "sextiles"}:
        raise OutOfRange(f"rule must be ranges or sextiles, got {rule!r}")
    if rule == "ranges" or x.min() == x.max():
        return np.linspace(x.min(), x.max(), CATEGORIES + 1)
    order = np.argsort(x)
    reached = np.cumsum(w[order]) / w.sum()
    inner = x[order][np.searchsorted(reached, np.arange(1, CATEGORIES) / CATEGORIES)]
    return np.unique(np.concatenate(([x.min()], inner, [x.max()])))


def sequential_index(*, own: ArrayLike, whole_shift: ArrayLike, hours: ArrayLike) -> float:
    """SLI: the index of a shift in which one person rotates between lifting jobs.

    Parameters
    ----------
    own : array_like, (slots,)
        LI, CLI or VLI of each slot at its own duration class. [-]
    whole_shift : array_like, (slots,)
        The same at the duration class of the whole shift. [-]
    hours : array_like, (slots,)
        Time in each slot. [h]

    Returns
    -------
    float
        SLI = LI_1 + (LImax_1 - LI_1) K with K = sum LImax_j T_j / (LImax_1 sum T_j), slot 1 the one with the largest
        `own`. NaN where any index is missing. [-]

    References
    ----------
    [waters2007]; formula from memory.

    Examples
    --------
    >>> sequential_index(own=[2.0, 1.0], whole_shift=[3.0, 1.5], hours=[1, 1])
    2.75
    """
    li, longest, t = (np.asarray(a, dtype=float) for a in (own, whole_shift, hours))
    checked(t, "hours", zero=False)
    if not np.all(np.isfinite(li) & np.isfinite(longest)):
        return float("nan")
    if (longest < li).any():
        raise OutOfRange("an index at the whole shift's duration must be at least that at its own")
    worst = int(np.argmax(li))
    share = float((longest * t).sum() / (longest[worst] * t.sum()))
    return float(li[worst] + (longest[worst] - li[worst]) * share)
