"""Pace and mix: the index of each pattern against molds per hour, and of a whole job mix and a rotation."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.lifting.composite import Variable, sequential_index, variable_index
from coreset.lifting.constants import DURATIONS, constants
from coreset.lifting.duration import class_of, lifting_share
from coreset.lifting.exposure import method_by_pattern, shift
from coreset.lifting.job import NOTHING, Crossing, Task, at_duration, crossings, index_at, job_of, lifts_in, pace_curve
from coreset.lifting.screen import standard_seconds
from coreset.lifting.variable_grid import gathered
from coreset.units import MIN_PER_H, S_PER_H

POINTS = 121
BEYOND_STANDARD = 1.8
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Index of one pattern under one method against pace.

    `kind` LI, CLI or VLI; `standard_per_h` and `observed_per_h` are the paces of the standard and of the study, each
    with its index (None outside the table), that of the standard with its interval; `crossings` for 1, 1.5, 2, 3;
    `set_up` lifts that stand apart, `left_out` tasks without an index, `at_least` why the index is a lower limit.
    """

    pattern: str
    method: str
    kind: str
    molds_per_h: Floats
    index: Floats
    standard_per_h: float
    standard_interval_per_h: tuple[float, float]
    standard_index: float | None
    observed_per_h: float
    observed_index: float | None
    crossings: tuple[Crossing, ...]
    set_up: tuple[str, ...]
    left_out: tuple[tuple[str, tuple[str, ...]], ...]
    at_least: tuple[str, ...] = ()


def curves(case: Case, standards: Iterable[Any], pattern: str) -> tuple[Curve, ...]:
    """The index of a pattern against molds per hour, one curve for each method that has lifts and a standard.

    Parameters
    ----------
    case : Case
        Methods, lifts, place.
    standards : iterable of Standard
        Standard times per mold.
    pattern : str
        Code of the pattern.
    """
    standards = tuple(standards)
    standard, observed = standard_seconds(standards), standard_seconds(standards, "observed_s")
    slow, fast = standard_seconds(standards, "standard_high_s"), standard_seconds(standards, "standard_low_s")
    methods = dict.fromkeys(lift.method for lift in case.lifts if lift.pattern == pattern)
    timed = [method for method in methods if (pattern, method) in standard]
    fastest = max((S_PER_H / standard[pattern, m] for m in timed), default=0.0)
    grid = np.linspace(0.0, fastest * BEYOND_STANDARD, POINTS)[1:]
    found = []
    for method in timed:
        job = job_of(case, pattern=pattern, method=method)
        paces = [S_PER_H / seconds[pattern, method] for seconds in (standard, observed)]
        at_standard, at_observed = (index_at(job, pace) for pace in paces)
        found.append(
            Curve(
                pattern=pattern,
                method=method,
                kind=at_standard.kind,
                molds_per_h=grid,
                index=pace_curve(job, grid),
                standard_per_h=paces[0],
                standard_interval_per_h=(S_PER_H / slow[pattern, method], S_PER_H / fast[pattern, method]),
                standard_index=at_standard.index,
                observed_per_h=paces[1],
                observed_index=at_observed.index,
                crossings=crossings(job),
                set_up=job.set_up,
                left_out=job.left_out,
                at_least=job.at_least,
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftMix:
    """The lifts of a method over the job mix: FILI and weight of each, lifts a minute of all, the variable index.

    `variable` takes each lift as it is, `gridded` the `cells` that hold lifts of the coarse grid. `forbidden` counts
    tasks in which nothing should be lifted, `left_out` the others that are no part of it; `at_least` says why the index
    is a lower limit. `paces` are lifts a minute of each pattern, of which `total_per_min` is the mean.
    """

    method: str
    fili: Floats
    weight: Floats
    total_per_min: float
    variable: Variable | None
    gridded: Variable | None
    cells: int
    left_out: int
    forbidden: int
    at_least: tuple[str, ...] = ()
    paces: tuple[tuple[str, float], ...] = ()

    @property
    def apart(self) -> tuple[tuple[str, float], ...]:
        """The slowest and the fastest pattern where the manual rates each as a task of its own, apart by too much.

        References
        ----------
        [waters1994] section 1.3.5.1: by more than 2 lifts a minute.
        """
        slow, fast = (find(self.paces, key=lambda pace: pace[1], default=("", 0.0)) for find in (min, max))
        return (slow, fast) if fast[1] - slow[1] > constants("metric").frequency_apart else ()


def job_mix(case: Case, standards: Iterable[Any], *, method: str) -> ShiftMix:
    """VLI of one method over the year's job mix.

    Parameters
    ----------
    case : Case
        Patterns with their molds a year, lifts.
    standards : iterable of Standard
        Standard times per mold, which give the minutes the lifts are spread over.
    method : str
        Name of the method.

    Returns
    -------
    ShiftMix
        Lifts of the molds weighted by how often they occur in a year, those of set-ups apart; `variable` None where
        there is none that is covered.

    References
    ----------
    [waters2016].
    """
    seconds = standard_seconds(standards)
    tasks: list[Task] = []
    at_least: list[str] = []
    paces: list[tuple[str, float]] = []
    weight, minutes, left_out, forbidden, classes = [], 0.0, 0, 0, [0]
    for pattern in case.patterns:
        if (pattern.pattern, method) not in seconds:
            continue
        molds = pattern.molds_per_year.likely
        own_min = molds * seconds[pattern.pattern, method] / MIN_PER_H
        minutes += own_min
        job = job_of(case, pattern=pattern.pattern, method=method)
        nothing = sum(why == NOTHING for _, why in job.left_out)
        forbidden, left_out = forbidden + nothing, left_out + len(job.left_out) - nothing + len(job.set_up)
        classes.append(DURATIONS.index(job.duration))
        tasks += job.tasks
        at_least += job.at_least
        lifts = [lifts_in(case, task.lift, molds=molds, minutes=own_min) for task in job.tasks]
        weight += lifts
        if sum(lifts):
            paces.append((pattern.pattern, sum(lifts) / own_min))
    total = sum(weight) / minutes if minutes else 0.0
    found = gridded = None
    cells: Any = ()
    if total > 0:
        shared: dict[str, Any] = {"total_per_min": total, "duration": DURATIONS[max(classes)], "units": case.units}
        at_origin = [task.lift.vertical_origin for task in tasks]
        grid = gathered(
            mass=[task.largest for task in tasks],
            horizontal=[task.horizontal for task in tasks],
            vertical=[task.vertical for task in tasks],
            vertical_origin=at_origin,
            limit=[task.limit for task in tasks],
            weight=weight,
            units=case.units,
        )
        cells = grid.fili
        found = variable_index(fili=[task.fili for task in tasks], weight=weight, vertical=at_origin, **shared)
        gridded = variable_index(fili=grid.fili, weight=grid.weight, vertical=grid.vertical_origin, **shared)
    return ShiftMix(
        method=method,
        fili=np.array([task.fili for task in tasks]),
        weight=np.array(weight),
        total_per_min=total,
        variable=found,
        gridded=gridded,
        cells=len(cells),
        left_out=left_out,
        forbidden=forbidden,
        at_least=tuple(dict.fromkeys(at_least)),
        paces=tuple(paces),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotation:
    """Shift in which one person does `slots` patterns in turn: the SLI, NaN where one is outside the table.

    `governing` is the same with the larger of published index and rising sum in each slot; infinite outside the table.
    `parts` holds of each slot its index at its own class, the one at the shift's class as it enters, and its hours.
    """

    index: float
    governing: float
    slots: int
    parts: tuple[tuple[float, float, float], ...] = ()


def rotation(case: Case, standards: Iterable[Any], *, method: str | Mapping[str, str]) -> Rotation | None:
    """SLI of a mean shift in which one person sets every pattern in turn; None where no pattern has a covered task.

    Patterns without a task that the lifting equation covers are left out, and so is their time. `method` as for
    :func:`coreset.lifting.exposure.shift`.

    Parameters
    ----------
    case : Case
        Patterns with their molds a year, lifts.
    standards : iterable of Standard
        Standard times per mold.
    method : str or mapping of str to str
        As for :func:`coreset.lifting.exposure.shift`.

    References
    ----------
    [waters2007], formula from memory.
    """
    standards = tuple(standards)
    seconds, methods = standard_seconds(standards), method_by_pattern(case, method)
    jobs = {code: job_of(case, pattern=code, method=name) for code, name in methods.items()}
    parts = [e for e in shift(case, standards, method=method).patterns if e.minutes > 0 and not jobs[e.pattern].silent]
    if not parts:
        return None
    slots = []
    whole = class_of(case.place.hours_per_shift * MIN_PER_H)
    share = lifting_share(case.place.sessions_min)
    for part in parts:
        pace = S_PER_H / seconds[part.pattern, part.method]
        own = min(class_of(part.minutes / share), whole, key=DURATIONS.index)
        slots.append([index_at(at_duration(jobs[part.pattern], duration), pace) for duration in (own, whole)])
    hours = [part.minutes / MIN_PER_H for part in parts]
    worst = sequential_index(**_entering([[slot.governing for slot in pair] for pair in slots], hours))
    known = _entering([[math.nan if slot.index is None else slot.index for slot in pair] for pair in slots], hours)
    return Rotation(
        index=sequential_index(**known),
        governing=math.inf if math.isnan(worst) else worst,
        slots=len(parts),
        parts=tuple(zip(known["own"].tolist(), known["whole_shift"].tolist(), hours, strict=True)),
    )


def _entering(slots: list[list[float]], hours: list[float]) -> dict[str, Any]:
    """Slots as they enter the SLI; the index at the shift's class is never below a slot's own, though it may fall."""
    own, longest = np.array(slots).T
    whole = np.fmax(own, longest) if np.isfinite(longest).all() else longest
    return {"own": own, "whole_shift": whole, "hours": hours}
