"""What an option does to the load on people, by job and for the shift. In: assessment, option. Out: before, after."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from coreset.lifting.exposure import Exposure, exposure, minutes_of_lifting, shift
from coreset.lifting.job_status import HOIST, NO_LIFTS, JobStatus, shift_status
from coreset.lifting.screen import standard_seconds

LEVEL = 1.5
"""Lifting index above which minutes count as exposure [fox2019]."""
MEASURES = ("minutes", "mass", "index")
BETTER, WORSE, SAME, UNKNOWN = "better", "worse", "same", "unknown"
ROUND_OFF = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Load on one person in a shift at standard pace, under today's methods or those of an option.

    `minutes` above an index of 1.5, those in which nothing may be lifted included [min]; `mass` that one person lifts,
    in the case's unit; `index`: highest of the jobs and, for a shift, of the rotation, infinite where RWL is 0. NaN
    where unknown. `unrated`: why minutes and index are lower limits, `unweighed`: why the mass is one; pattern, code.
    """

    minutes: float
    mass: float
    index: float
    unrated: frozenset[tuple[str, str]] = frozenset()
    unweighed: frozenset[tuple[str, str]] = frozenset()

    def gaps(self, measure: str) -> frozenset[tuple[str, str]]:
        """Why a measure is only a lower limit."""
        return self.unweighed if measure == "mass" else self.unrated


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureChange:
    """Load before and after, of a pattern in a shift of its own or of the mean shift over the job mix (empty)."""

    pattern: str
    before: Load
    after: Load

    def verdict(self, measure: str) -> str:
        """Whether a measure gets better, worse, stays the same or is unknown.

        What is only a lower limit proves nothing better, unless the other is one for the same reasons.
        """
        before, after = getattr(self.before, measure), getattr(self.after, measure)
        if math.isnan(before) or math.isnan(after):
            return UNKNOWN
        low, high = (self.before, self.after) if before < after else (self.after, self.before)
        if low.gaps(measure) - high.gaps(measure) and getattr(high, measure) < math.inf:
            return UNKNOWN
        if math.isclose(before, after, rel_tol=ROUND_OFF):
            return SAME
        return BETTER if after < before else WORSE


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """What an option does: to the mean shift (`shift`), to each pattern that goes over (`jobs`)."""

    shift: ExposureChange
    jobs: tuple[ExposureChange, ...]

    @property
    def heavier(self) -> tuple[str, ...]:
        """Patterns whose index, masks and set-up included, is higher than today's; both known."""
        return tuple(job.pattern for job in self.jobs if job.after.index > job.before.index)


def method_of_each(case: Any, option: Any | None) -> dict[str, str]:
    """Method of each pattern of the case under an option; without one, today's."""
    over = {} if option is None else dict(zip(option.patterns, option.methods, strict=True))
    return {p.pattern: over.get(p.pattern, case.baseline) for p in case.patterns}


def rotation_of(assessment: Any, option: Any | None) -> JobStatus | None:
    """Status of the shift in which one person rotates under an option, or today; None where there is no rotation."""
    methods = method_of_each(assessment.case, option)
    return shift_status(
        assessment.case, assessment.pooled.values(), assessment.handling, assessment.jobs, method=methods
    )


def people(assessment: Any, option: Any) -> People:
    """Load on people under today's methods and under an option, each in a shift at its own standard pace.

    Parameters
    ----------
    assessment : Assessment
        Lifts, standard times, status of the jobs.
    option : Alternative
        One row of `money.alternatives`.

    Returns
    -------
    People
        A pattern without a standard time under one of its methods takes no part in either shift; the later shift is
        then only a lower limit.
    """
    case = assessment.case
    seconds = standard_seconds(assessment.pooled.values())
    today, then = method_of_each(case, None), method_of_each(case, option)
    timed = {code for code in then if {(code, today[code]), (code, then[code])} <= seconds.keys()}
    untimed = frozenset((code, "not_timed") for code in option.patterns if code not in timed)
    before = _of_shift(assessment, {code: today[code] for code in timed}, rotation_of(assessment, None))
    after = _of_shift(assessment, {code: then[code] for code in timed}, rotation_of(assessment, option))
    after = replace(after, unrated=after.unrated | untimed, unweighed=after.unweighed | untimed)
    jobs = tuple(
        ExposureChange(
            pattern=code,
            before=_of_job(assessment, code, today[code], seconds),
            after=_of_job(assessment, code, then[code], seconds),
        )
        for code in option.patterns
    )
    return People(shift=ExposureChange(pattern="", before=before, after=after), jobs=jobs)


def _of_shift(assessment: Any, methods: Mapping[str, str], turn: JobStatus | None) -> Load:
    """Load of the mean shift over the job mix, with the index of its rotation."""
    parts = shift(assessment.case, assessment.pooled.values(), method=methods).patterns
    load = _load(assessment, methods, parts)
    indices = [load.index, turn.governing if turn is not None else math.nan]
    return replace(load, index=max((one for one in indices if not math.isnan(one)), default=math.nan))


def _of_job(assessment: Any, code: str, method: str, seconds: Mapping[tuple[str, str], float]) -> Load:
    """Load of a shift that is spent on one pattern alone; only its index where it is not timed."""
    if (code, method) not in seconds:
        return _load(assessment, {code: method}, ())
    minutes = minutes_of_lifting(assessment.case)
    standard_s = seconds[code, method]
    part = exposure(assessment.case, pattern=code, method=method, standard_s=standard_s, minutes=minutes)
    return _load(assessment, {code: method}, [part])


def _load(assessment: Any, methods: Mapping[str, str], parts: Sequence[Exposure]) -> Load:
    jobs = [job for job in assessment.jobs if job.pattern and methods.get(job.pattern) == job.method]
    return Load(
        minutes=sum(part.minutes if part.forbidden else part.above[LEVEL] for part in parts) if parts else math.nan,
        mass=sum(part.mass_handled for part in parts) if parts else math.nan,
        index=max((job.governing for job in jobs if not math.isnan(job.governing)), default=math.nan),
        unrated=frozenset((job.pattern, code) for job in jobs for code in (*job.at_least, *_not_covered(job))),
        unweighed=frozenset(
            (code, gap) for code, method in methods.items() for gap in _no_mass(assessment.case, code, method)
        ),
    )


def _not_covered(job: JobStatus) -> tuple[str, ...]:
    return job.because if job.status == "not_covered" and job.because != (HOIST,) else ()


def _no_mass(case: Any, code: str, method: str) -> tuple[str, ...]:
    """Why the mass that a job lifts by hand is only a lower limit."""
    lifts = [lift for lift in case.lifts if (lift.pattern, lift.method) == (code, method)]
    if not lifts:
        return (NO_LIFTS,)
    return ("no_mass",) if any(math.isnan(case.mass_of(lift)) for lift in lifts if not lift.hoist) else ()
