"""The tasks of one pattern and method as one job: its index at any pace, and the pace at which limits are passed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Lift
from coreset.lifting.composite import CLI_TASKS_MAX, Composite, Variable, composite_index, variable_index
from coreset.lifting.constants import DURATIONS, constants
from coreset.lifting.duration import averaged_per_min
from coreset.lifting.lift_end import heaviest, rate
from coreset.lifting.rising_sum import rising_sum
from coreset.lifting.scope import not_covered, outside_conditions
from coreset.lifting.screen import duration_of, molds_per_run, postures
from coreset.units import MIN_PER_H

LEVELS = (1.0, 1.5, 2.0, 3.0)
"""Limits of the index that the bands use [waters1994], [fox2019]."""
BISECTIONS = 40
SLOWEST_PER_H = 1e-6
PACE_MAX_PER_H = 1200.0
PACES = 601
NOTHING = ("nothing",)
"""Why a task is left out where its RWL is 0 whatever the pace."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One covered lift, ready for any pace: FILI at its governing end on the largest and on the mean load.

    `largest` and `mean` are the loads, `limit` the FIRWL that they are set against, in the case's mass; `horizontal`
    and `vertical` are H and V there; `at_least` the conditions of the method that the lift does not meet, as codes. FM
    takes V at the origin of `lift`, whichever end governs.
    """

    lift: Lift
    end: str
    largest: float
    mean: float
    limit: float
    horizontal: float
    vertical: float
    per_mold: float
    at_least: tuple[str, ...] = ()

    @property
    def fili(self) -> float:
        """Largest load over FIRWL."""
        return self.largest / self.limit

    @property
    def fili_mean(self) -> float:
        """Mean load over FIRWL; over FM it is the STLI."""
        return self.mean / self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Tasks of one pattern under one method that one person does in turn.

    `tasks` are those of the mold that the method covers and that have an RWL apart from the pace; `left_out` the names
    of the others, each with why. Lifts of a set-up (masks, racks, pallets) are done apart from the molds, and are
    rated on their own: `set_up` has their names.
    """

    pattern: str
    method: str
    duration: str
    units: str
    spells: tuple[tuple[float, float], ...]
    tasks: tuple[Task, ...]
    left_out: tuple[tuple[str, tuple[str, ...]], ...]
    set_up: tuple[str, ...] = ()

    @property
    def forbidden(self) -> bool:
        """Whether in one of its tasks nothing should be lifted at any pace: then the job has no index."""
        return any(codes == NOTHING for _, codes in self.left_out)

    @property
    def silent(self) -> bool:
        """Whether none of its tasks is covered."""
        return not self.tasks and not self.forbidden

    @property
    def at_least(self) -> tuple[str, ...]:
        """Why the index of the job is a lower limit, as codes: conditions not met, lifts by hand that are left out."""
        found = [code for task in self.tasks for code in task.at_least]
        by_hand = any("hoist" not in codes and codes != NOTHING for _, codes in self.left_out)
        return tuple(dict.fromkeys((*found, *(("left_out",) if by_hand else ()))))


@dataclass(frozen=True, slots=True, kw_only=True)
class JobIndex:
    """Index of a job at one pace: LI of a single task, CLI of several, VLI above ten; None where outside the table.

    `tasks` are those that occur at that pace, by name. `rising` is the sum of all of them, each with its largest load,
    in the order in which it rises with every load and pace (`rising_sum`).
    """

    kind: str
    index: float | None
    rising: float | None = None
    tasks: tuple[str, ...] = ()
    composite: Composite | None = None
    variable: Variable | None = None

    @property
    def governing(self) -> float:
        """The larger of the published index and the rising sum; infinite where there is no index. [-]"""
        return math.inf if self.index is None else max(self.index, self.rising or 0.0)


def per_mold(case: Case, lift: Lift) -> float:
    """Lifts of a task for one mold, those of a set-up spread over the molds of the run."""
    return lift.lifts_per_mold or (
        lift.lifts_per_run / molds_per_run(case, lift.pattern) if lift.lifts_per_run else 0.0
    )


def lifts_in(case: Case, lift: Lift, *, molds: float, minutes: float) -> float:
    """Lifts of a task while so many molds are made in so many minutes; by its frequency where nothing else is said.

    Parameters
    ----------
    case : Case
        Patterns with their molds and runs a year.
    lift : Lift
        The task.
    molds : float
        Molds made. [mold]
    minutes : float
        Time in which they are made. [min]
    """
    return per_mold(case, lift) * molds or lift.frequency_per_min * minutes


def task_of(case: Case, lift: Lift) -> Task | tuple[str, ...]:
    """A lift ready for any pace, or why it has no index."""
    reasons = not_covered(lift, units=case.units)
    mass = case.mass_of(lift)
    if reasons or math.isnan(mass):
        return reasons or ("no_mass",)
    found = {}
    for name, posture in postures(case, lift, frequency_per_min=0.0, duration="short").items():
        if name == "origin" or lift.control_at_destination:
            end = rate(posture)
            found[name] = float(end.independent), posture
    name = min(found, key=lambda key: found[key][0])
    share, posture = found[name]
    if share == 0:
        return NOTHING
    limit = constants(case.units).load_constant * share
    return Task(
        lift=lift,
        end=name,
        largest=heaviest(mass, lift.mass_max),
        mean=mass,
        limit=limit,
        horizontal=float(posture.horizontal),
        vertical=float(posture.vertical),
        per_mold=per_mold(case, lift),
        at_least=outside_conditions(lift, case.place, units=case.units),
    )


def job_of(case: Case, *, pattern: str, method: str) -> Job:
    """The lifts of one pattern under one method as a job; the longest duration class among them holds.

    Parameters
    ----------
    case : Case
        Lifts and place.
    pattern, method : str
        Codes of both.
    """
    own = [lift for lift in case.lifts if (lift.pattern, lift.method) == (pattern, method)]
    lifts = [lift for lift in own if lift.lifts_per_mold or lift.frequency_per_min or not lift.lifts_per_run]
    found = [(lift, task_of(case, lift)) for lift in lifts]
    classes = [DURATIONS.index(duration_of(case, lift)) for lift in lifts]
    return Job(
        pattern=pattern,
        method=method,
        duration=DURATIONS[max(classes, default=0)],
        units=case.units,
        spells=case.place.sessions_min,
        tasks=tuple(task for _, task in found if isinstance(task, Task)),
        left_out=tuple((lift.task, task) for lift, task in found if not isinstance(task, Task)),
        set_up=tuple(lift.task for lift in own if lift not in lifts),
    )


def index_at(job: Job, molds_per_h: float) -> JobIndex:
    """Index of a job at a pace; tasks with a frequency of their own keep it, as it is the mean of 15 minutes already.

    References
    ----------
    [waters1994] section 2.4.5 for several tasks; [waters2016] for more than ten.
    """
    made_per_min = molds_per_h / MIN_PER_H
    per_min = np.array(
        [t.lift.frequency_per_min or averaged_per_min(t.per_mold * made_per_min, job.spells) for t in job.tasks]
    )
    done = [task for task, f in zip(job.tasks, per_min, strict=True) if f > 0]
    per_min = per_min[per_min > 0]
    if not done or job.forbidden:
        return JobIndex(kind="LI" if len(done) < 2 else "CLI", index=None)
    names = tuple(task.lift.task for task in done)
    v = np.array([task.lift.vertical_origin for task in done])
    largest = np.array([task.fili for task in done])
    rising = rising_sum(fili=largest, frequency_per_min=per_min, vertical=v, duration=job.duration, units=job.units)
    if len(done) > CLI_TASKS_MAX:
        found = variable_index(
            fili=largest,
            weight=per_min,
            total_per_min=float(per_min.sum()),
            vertical=v,
            duration=job.duration,
            units=job.units,
        )
        return JobIndex(kind="VLI", index=found.index, rising=rising, tasks=names, variable=found)
    composite = composite_index(
        fili=largest,
        stli_independent=[task.fili_mean for task in done],
        frequency_per_min=per_min,
        vertical=v,
        duration=job.duration,
        units=job.units,
    )
    kind = "CLI" if len(done) > 1 else "LI"
    return JobIndex(kind=kind, index=composite.index, rising=rising, tasks=names, composite=composite)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Pace at which a job's index passes a level.

    `kind`: "crosses"; "always" above it at any pace; "table_end" where the table ends before the index gets there;
    "forbidden" where nothing should be lifted at any pace; "silent" where no task is covered.
    """

    level: float
    molds_per_h: float
    kind: str


def crossings(job: Job, levels: tuple[float, ...] = LEVELS) -> tuple[Crossing, ...]:
    """For each level the slowest pace at which the index is above it, or has no value any more.

    The whole range of paces is scanned first: where a faster pace changes the order of the tasks by STLI, the published
    composite index can step down, so that a level may be passed more than once.

    Examples
    --------
    >>> nothing = Job(pattern="p", method="m", duration="long", units="metric", spells=(), tasks=(), left_out=())
    >>> crossings(nothing, (1.0,))
    (Crossing(level=1.0, molds_per_h=nan, kind='silent'),)
    """
    if job.silent or job.forbidden:
        kind = "silent" if job.silent else "forbidden"
        return tuple(Crossing(level=level, molds_per_h=math.nan, kind=kind) for level in levels)
    paces = np.concatenate(([SLOWEST_PER_H], np.linspace(0.0, PACE_MAX_PER_H, PACES)[1:]))
    curve = pace_curve(job, paces)
    return tuple(_crossing(job, level, paces, curve) for level in levels)


def _crossing(job: Job, level: float, paces: NDArray[np.float64], curve: NDArray[np.float64]) -> Crossing:
    over = np.flatnonzero(~(curve <= level))
    if not over.size:
        return Crossing(level=level, molds_per_h=math.inf, kind="table_end")
    if over[0] == 0:
        return Crossing(level=level, molds_per_h=0.0, kind="always")
    low, high = float(paces[over[0] - 1]), float(paces[over[0]])
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        found = index_at(job, middle).index
        low, high = (low, middle) if found is None or found > level else (middle, high)
    kind = "table_end" if index_at(job, high).index is None else "crosses"
    return Crossing(level=level, molds_per_h=high, kind=kind)


def pace_curve(job: Job, molds_per_h: NDArray[np.float64]) -> NDArray[np.float64]:
    """Index of a job at each of several paces; NaN where it is outside the table."""
    found = [index_at(job, float(pace)).index for pace in molds_per_h]
    return np.array([math.nan if index is None else index for index in found])


def at_duration(job: Job, duration: str) -> Job:
    """The same job at another duration class."""
    return replace(job, duration=duration)
