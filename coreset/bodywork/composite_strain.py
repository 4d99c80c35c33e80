"""Several tasks of one hand, and several jobs of a day, as one strain index: COSI and CUSI."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coreset.bodywork.hand_work import revised_hours, revised_rate
from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.lifting.equation import checked
from coreset.lifting.exposure import shift
from coreset.units import MIN_PER_H

Multiplier = Callable[[float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrainSum:
    """A sum over tasks or jobs, the worst first. [-]

    `order` has their places as given, `indices` the index of each alone, `shares` what it adds to the multiplier of
    those before over its own multiplier, `increments` the products of both, `index` their sum.
    """

    order: tuple[int, ...]
    indices: tuple[float, ...]
    shares: tuple[float, ...]

    @property
    def increments(self) -> tuple[float, ...]:
        """What each adds to the whole."""
        return tuple(index * share for index, share in zip(self.indices, self.shares, strict=True))

    @property
    def index(self) -> float:
        """The whole."""
        return sum(self.increments)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandJob:
    """Hand work of one pattern under one method: its tasks, their COSI for the whole shift, minutes of a mean shift.

    `pattern` is empty for the day's work over all patterns, whose `total` is the CUSI.
    """

    pattern: str
    method: str
    tasks: tuple[str, ...]
    total: StrainSum
    minutes: float


def composite_strain(*, indices: ArrayLike, efforts_per_min: ArrayLike) -> StrainSum:
    """COSI: tasks that one hand does in turn within one job.

    Parameters
    ----------
    indices : array_like, (tasks,)
        Revised Strain Index of each task for the hours of the job. [-]
    efforts_per_min : array_like, (tasks,)
        Efforts a minute of each over the whole job. [1/min]

    Returns
    -------
    StrainSum
        RSI_1 + sum RSI_i / EM(E_i) (EM(E_1 + .. + E_i) - EM(E_1 + .. + E_i-1)), tasks by falling RSI.

    Raises
    ------
    OutOfRange
        If there is no task, or an index or a rate is negative. One that is not known leaves the sum not known.

    References
    ----------
    [garg2017cosi], from memory; the sum is the one that gives back one task of the added rate for equal tasks.

    Examples
    --------
    >>> one, two = (composite_strain(indices=[4.0] * n, efforts_per_min=[10.0] * n).index for n in (1, 2))
    >>> one, round(two / 4.0, 4) == round(revised_rate(20.0) / revised_rate(10.0), 4)
    (4.0, True)
    """
    return _summed(indices, efforts_per_min, revised_rate)


def cumulative_strain(*, indices: ArrayLike, hours: ArrayLike) -> StrainSum:
    """CUSI: jobs that one hand does on one day.

    Parameters
    ----------
    indices : array_like, (jobs,)
        COSI of each job for its own hours. [-]
    hours : array_like, (jobs,)
        Hours of each on the day. [h]

    Returns
    -------
    StrainSum
        COSI_1 + sum COSI_i / HM(H_i) (HM(H_1 + .. + H_i) - HM(H_1 + .. + H_i-1)), jobs by falling COSI.

    Raises
    ------
    OutOfRange
        If there is no job, or an index or a time is negative. One that is not known leaves the sum not known.

    References
    ----------
    [garg2017cosi], from memory; a job that is split in two parts of the day gives back the job.
    """
    return _summed(indices, hours, revised_hours)


def _summed(indices: ArrayLike, amounts: ArrayLike, multiplier: Multiplier) -> StrainSum:
    """The worst in full, of each further one what its amount adds to the multiplier of those before."""
    index, amount = (np.atleast_1d(np.asarray(a, dtype=float)) for a in (indices, amounts))
    if not index.size or index.shape != amount.shape:
        raise OutOfRange(f"indices must be one for each of {amount.size} tasks or jobs, got {index.size}")
    checked(index, "index")
    checked(amount, "amount")
    order = np.lexsort((-amount, -index))
    shares: list[float] = []
    together = 0.0
    for place in order:
        before = multiplier(together) if shares else 0.0
        together += float(amount[place])
        shares.append((multiplier(together) - before) / multiplier(float(amount[place])))
    return StrainSum(order=tuple(order.tolist()), indices=tuple(index[order].tolist()), shares=tuple(shares))


def hand_jobs(
    case: Case, fittings: Iterable[Any], screened: Iterable[Any], standards: Iterable[Any]
) -> tuple[HandJob, ...]:
    """COSI of every pattern and method with hand work, then the CUSI of a mean shift of each method over its patterns.

    Parameters
    ----------
    case : Case
        Hours of a shift, patterns with their molds a year.
    fittings, screened : iterable of Fitting and Screened
        Methods that fit each task, and the task at its pace, in the same order.
    standards : iterable of Standard
        Standard times per mold.

    Returns
    -------
    tuple of HandJob
        All efforts are taken as those of one hand of one person. A CUSI only where a method has hand work on two or
        more patterns.
    """
    standards, by_job = tuple(standards), defaultdict(list)
    for one, row in zip(fittings, screened, strict=True):
        if one.revised is not None:
            by_job[one.pattern, one.method].append((one.task, one.revised.index, row.frequency_per_min))
    minutes = {
        (part.pattern, method): part.minutes
        for method in dict.fromkeys(method for _, method in by_job)
        for part in shift(case, standards, method=method).patterns
    }
    jobs = []
    for (pattern, method), rows in by_job.items():
        tasks, indices, rates = zip(*rows, strict=True)
        total = composite_strain(indices=indices, efforts_per_min=rates)
        spent = minutes.get((pattern, method), 0.0)
        jobs.append(HandJob(pattern=pattern, method=method, tasks=tasks, total=total, minutes=spent))
    return (*jobs, *_days(case, jobs))


def _days(case: Case, jobs: Sequence[HandJob]) -> list[HandJob]:
    """A mean shift of each method as the jobs of one day; each COSI is brought to the hours of its own job."""
    whole, found = revised_hours(case.place.hours_per_shift), []
    for method in dict.fromkeys(job.method for job in jobs):
        own = [job for job in jobs if job.method == method and job.minutes > 0]
        if len(own) < 2:
            continue
        hours = [job.minutes / MIN_PER_H for job in own]
        indices = [job.total.index * revised_hours(h) / whole for job, h in zip(own, hours, strict=True)]
        total = cumulative_strain(indices=indices, hours=hours)
        names = tuple(job.pattern for job in own)
        found.append(HandJob(pattern="", method=method, tasks=names, total=total, minutes=sum(j.minutes for j in own)))
    return found
