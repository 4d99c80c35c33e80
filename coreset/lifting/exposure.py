"""What the crew is exposed to in a shift, by method: mass and lifts a person, minutes above each limit of the index."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from coreset.case import Case
from coreset.lifting.duration import lifting_share
from coreset.lifting.job import JobIndex, index_at, job_of, lifts_in
from coreset.lifting.screen import standard_seconds
from coreset.units import MIN_PER_H, S_PER_H, S_PER_MIN

LEVELS = (1.0, 1.5, 3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """One pattern under one method in a shift that is spent on it alone, `minutes` of it lifting.

    Mass in the case's unit; lifts and mass are one person's, after sharing among the crew and within a lift.
    `above` has the minutes with an index above each level; without an index (`index` None) there is none to count.
    `forbidden`: nothing should be lifted, at any pace or at this one. `at_least`: why the index is a lower limit.
    `rising` is the sum of the job that rises with every load and pace (`rising_sum`), by which methods are compared.
    """

    pattern: str
    method: str
    minutes: float
    molds: float
    lifts: float
    mass_handled: float
    kind: str
    index: float | None
    above: Mapping[float, float]
    forbidden: bool
    left_out: tuple[str, ...]
    at_least: tuple[str, ...] = ()
    rising: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A mean shift of a method over the job mix: sums of its patterns; `unknown` are patterns without a standard.

    `method` is empty where patterns are set by different methods.
    `forbidden_min` are minutes at patterns in which nothing should be lifted, `without_index_min` those of patterns
    that the equation does not cover; neither is part of `above`.
    """

    method: str
    minutes: float
    molds: float
    lifts: float
    mass_handled: float
    above: Mapping[float, float]
    forbidden_min: float
    without_index_min: float
    patterns: tuple[Exposure, ...]
    unknown: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One pattern under two methods: `verdict` better, worse, same or unknown, by the sum that rises with every load.

    `order_only`: the published index moves the other way, because the order of the tasks in it changed.
    """

    pattern: str
    before: Exposure
    after: Exposure
    verdict: str
    order_only: bool = False


def exposure(case: Case, *, pattern: str, method: str, standard_s: float, minutes: float) -> Exposure:
    """One pattern under one method for some minutes at standard pace.

    Parameters
    ----------
    case : Case
        Lifts and place.
    pattern, method : str
        Codes of both.
    standard_s : float
        Standard time of a mold. [s]
    minutes : float
        Time at this work. [min]
    """
    molds = minutes * S_PER_MIN / standard_s
    lifts = [lift for lift in case.lifts if (lift.pattern, lift.method) == (pattern, method) and not lift.hoist]
    crew = max(1, case.place.crew)
    job = job_of(case, pattern=pattern, method=method)
    found: JobIndex = index_at(job, S_PER_H / standard_s)
    known = found.index is not None
    elapsed = minutes / (lifting_share(case.place.sessions_min) or 1.0)
    counts = [lifts_in(case, lift, molds=molds, minutes=elapsed) for lift in lifts]
    masses = [(count, case.mass_of(lift) / lift.persons) for count, lift in zip(counts, lifts, strict=True)]
    return Exposure(
        pattern=pattern,
        method=method,
        minutes=minutes,
        molds=molds,
        lifts=sum(count for count, _ in masses) / crew,
        mass_handled=sum(count * mass for count, mass in masses if mass == mass) / crew,
        kind=found.kind,
        index=found.index,
        rising=found.rising,
        above={level: minutes if known and found.index > level else 0.0 for level in LEVELS},
        forbidden=job.forbidden or (not known and bool(job.tasks)),
        left_out=tuple(name for name, _ in job.left_out),
        at_least=job.at_least,
    )


def minutes_of_lifting(case: Case) -> float:
    """Minutes of a shift at this work, without the light work between the spells. [min]"""
    return case.place.hours_per_shift * MIN_PER_H * lifting_share(case.place.sessions_min)


def method_by_pattern(case: Case, method: str | Mapping[str, str]) -> Mapping[str, str]:
    """Method by pattern: one method for all, or as given."""
    return method if isinstance(method, Mapping) else dict.fromkeys((p.pattern for p in case.patterns), method)


def shift(
    case: Case, standards: Iterable[Any], *, method: str | Mapping[str, str], molds: float | None = None
) -> Shift:
    """A mean shift of one method over the year's job mix.

    Parameters
    ----------
    case : Case
        Patterns with their molds a year, lifts, place.
    standards : iterable of Standard
        Standard times per mold.
    method : str or mapping of str to str
        Name of the method; or that of each pattern, and a pattern without one takes no part.
    molds : float, optional
        Molds of the shift; without it as many as the hours give at standard pace.

    Returns
    -------
    Shift
        Sums over the patterns that have a standard, each with its share of the year's molds.
    """
    seconds, methods = standard_seconds(standards), method_by_pattern(case, method)
    keys = {p.pattern: (p.pattern, methods.get(p.pattern, "")) for p in case.patterns}
    timed = [p for p in case.patterns if keys[p.pattern] in seconds]
    year = sum(p.molds_per_year.likely for p in timed)
    mean_s = sum(p.molds_per_year.likely * seconds[keys[p.pattern]] for p in timed) / year if year else 0.0
    lifting_s = minutes_of_lifting(case) * S_PER_MIN
    made = molds if molds is not None else (lifting_s / mean_s if mean_s else 0.0)
    found = tuple(
        exposure(
            case,
            pattern=p.pattern,
            method=methods[p.pattern],
            standard_s=seconds[keys[p.pattern]],
            minutes=made * p.molds_per_year.likely / year * seconds[keys[p.pattern]] / S_PER_MIN,
        )
        for p in timed
    )
    return Shift(
        method=method if isinstance(method, str) else "",
        minutes=sum(e.minutes for e in found),
        molds=made if timed else 0.0,
        lifts=sum(e.lifts for e in found),
        mass_handled=sum(e.mass_handled for e in found),
        above={level: sum(e.above[level] for e in found) for level in LEVELS},
        forbidden_min=sum(e.minutes for e in found if e.forbidden),
        without_index_min=sum(e.minutes for e in found if e.index is None and not e.forbidden),
        patterns=found,
        unknown=tuple(code for code, key in keys.items() if key not in seconds),
    )


def compared(case: Case, standards: Iterable[Any]) -> tuple[Comparison, ...]:
    """Who gets better and who worse: each pattern timed under both methods, for one shift at each method's pace."""
    seconds = standard_seconds(standards)
    minutes = minutes_of_lifting(case)
    found = []
    for pattern in case.patterns:
        pair = [seconds.get((pattern.pattern, method)) for method in (case.baseline, case.candidate)]
        if None in pair:
            continue
        before, after = (
            exposure(case, pattern=pattern.pattern, method=method, standard_s=s, minutes=minutes)
            for method, s in zip((case.baseline, case.candidate), pair, strict=True)
        )
        by_sum = _verdict(before, after)
        found.append(
            Comparison(
                pattern=pattern.pattern,
                before=before,
                after=after,
                verdict=by_sum,
                order_only=by_sum == "worse" and None not in (before.index, after.index) and after.index < before.index,
            )
        )
    return tuple(found)


def _verdict(before: Exposure, after: Exposure) -> str:
    """By the rising sum; where nothing should be lifted counts as worse than any index.

    An index that is a lower limit proves nothing better, unless the other is one for the same reasons.
    """
    worth = [math.inf if one.forbidden else one.rising for one in (before, after)]
    if None in worth:
        return "unknown"
    low, high = (before, after) if worth[0] < worth[1] else (after, before)
    if not high.forbidden and worth[0] != worth[1] and {*low.at_least} - {*high.at_least}:
        return "unknown"
    return "better" if worth[1] < worth[0] else "worse" if worth[1] > worth[0] else "same"
