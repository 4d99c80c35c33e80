"""The runs of a year in sequence: hours of each pattern with its changes, and what is left of the line's hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from coreset.case import Case, Pattern
from coreset.line.line_plan import change_min
from coreset.units import MIN_PER_H

WEEK_DAYS = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run of a pattern: hours from the start of the year, the change before it included in `change_h`."""

    pattern: str
    method: str
    start_h: float
    change_h: float
    molding_h: float
    molds: float

    @property
    def end_h(self) -> float:
        """When it ends. [h]"""
        return self.start_h + self.change_h + self.molding_h


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternShift:
    """Good molds of a shift that is all one pattern's, its changes in it; `aside` is the share of its runs by hand
    before which the setter is swung aside."""

    pattern: str
    method: str
    good_per_shift: float
    aside: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobMix:
    """A year's runs: hours needed and left of those manned, and how they divide. [h]"""

    runs: tuple[Run, ...]
    available_h: float
    other_h: float
    needed_h: float
    left_h: float
    molding_h: dict[str, float]
    change_h: dict[str, float]
    weeks: float
    methods: dict[str, str]

    @property
    def used(self) -> float:
        """Hours needed over hours available. [-]"""
        return (self.needed_h + self.other_h) / self.available_h

    def first(self, hours: float) -> tuple[Run, ...]:
        """The runs that begin in the first so many hours."""
        return tuple(run for run in self.runs if run.start_h < hours)

    def first_week(self) -> tuple[Run, ...]:
        """The runs that begin in the first week of the sequence."""
        return self.first(self.available_h / self.weeks)


def sequence(patterns: Iterable[Pattern]) -> tuple[Pattern, ...]:
    """The runs of a year in a row, each pattern's own spread evenly over the year."""
    order = []
    for p in patterns:
        count = _runs(p)
        order += [((k + 0.5) / count, p.pattern, p) for k in range(count)]
    return tuple(p for _, _, p in sorted(order, key=lambda item: item[:2]))


def following(patterns: Iterable[Pattern]) -> Counter[tuple[str, str]]:
    """How many runs a year of one pattern come straight after a run of another, by (the one before, the one after).

    The methods do not change the sequence, so that these counts hold for every choice of masks.
    """
    return Counter(pairwise(p.pattern for p in sequence(patterns)))


def _runs(pattern: Pattern) -> int:
    return max(1, round(pattern.runs_per_year))


def job_mix(case: Case, rates: Iterable[Any], methods: Mapping[str, str]) -> JobMix:
    """Put the runs of a year in a row.

    Parameters
    ----------
    case : Case
        Volumes, runs a year, set-up of a pattern, mask change, hours.
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method.
    methods : mapping
        Method of each pattern; a pattern without a rate under it is left out.

    Returns
    -------
    JobMix
        Runs of each pattern are spread evenly over the year. The change of a run is the set-up of the pattern, and
        for a masked pattern the mask change too; a run after a masked one also swings the setter aside, in the same
        time, where its own pattern is set by hand.
    """
    known = {(rate.pattern, rate.method): rate.molds_per_h for rate in rates}
    masked = {m.method for m in case.methods if m.mechanised}
    chosen = {p.pattern: methods.get(p.pattern, case.baseline) for p in case.patterns}
    runs, clock, before = [], 0.0, False
    for p in sequence(p for p in case.patterns if (p.pattern, chosen[p.pattern]) in known):
        method = chosen[p.pattern]
        molds = p.molds_per_year.likely / _runs(p)
        run = Run(
            pattern=p.pattern,
            method=method,
            start_h=clock,
            change_h=change_min(case, method, aside=before) / MIN_PER_H,
            molding_h=molds / known[p.pattern, method],
            molds=molds,
        )
        runs.append(run)
        clock, before = run.end_h, method in masked
    return _told(case, tuple(runs), clock, chosen)


def _told(case: Case, runs: tuple[Run, ...], needed: float, methods: dict[str, str]) -> JobMix:
    line = case.line
    available = line.hours_per_shift * line.shifts_per_day * line.days_per_year
    other = case.money.other_line_hours_per_year
    molding = dict.fromkeys((run.pattern for run in runs), 0.0)
    change = dict(molding)
    for run in runs:
        molding[run.pattern] += run.molding_h
        change[run.pattern] += run.change_h
    return JobMix(
        runs=runs,
        available_h=available,
        other_h=other,
        needed_h=needed,
        left_h=available - other - needed,
        molding_h=molding,
        change_h=change,
        weeks=line.days_per_year / WEEK_DAYS,
        methods=methods,
    )


def shifts(case: Case, rates: Iterable[Any], mix: JobMix) -> tuple[PatternShift, ...]:
    """Good molds a shift of every pattern under the methods of a job mix, by the run line with changes in it.

    A run by hand after a masked one has the longer change: the time of a mold lies between that without and that with
    the setter swung aside before every run, by their share.

    Parameters
    ----------
    case : Case
        Patterns, whose order the rows take, and methods.
    rates : iterable of Rate
        Rate of every pattern and method that the job mix has.
    mix : JobMix
        Method of each pattern and the order of the runs.

    Returns
    -------
    tuple of PatternShift
        Good molds per shift; those of a share of runs add as times, so by the harmonic mean.
    """
    known = {(rate.pattern, rate.method): rate for rate in rates}
    masked = {m.method for m in case.methods if m.mechanised}
    after: Counter[str] = Counter()
    for before, run in pairwise(mix.runs):
        after[run.pattern] += before.method in masked and run.method not in masked
    counts = Counter(run.pattern for run in mix.runs)
    found = []
    for name in counts:
        rate, share = known[name, mix.methods[name]], after[name] / counts[name]
        good = 1.0 / ((1.0 - share) / rate.good_per_shift + share / rate.good_per_shift_aside)
        found.append(PatternShift(pattern=name, method=rate.method, good_per_shift=good, aside=share))
    order = {p.pattern: i for i, p in enumerate(case.patterns)}
    return tuple(sorted(found, key=lambda one: order[one.pattern]))
