"""Every line of working behind an assessment's answers, by subject: the annex prints them, the sources follow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.composite_strain import hand_jobs
from coreset.bodywork.report import hand_jobs as of_hands
from coreset.bodywork.report.working import (
    working_of_carrying,
    working_of_factored,
    working_of_push,
    working_of_strain,
    working_of_workload,
)
from coreset.bodywork.workload import workloads
from coreset.case import Lift
from coreset.lifting.job import index_at, job_of
from coreset.lifting.pace_and_mix import rotation
from coreset.lifting.pushing import pushed
from coreset.lifting.report.composite_working import working_of_composite, working_of_rotation, working_of_variable
from coreset.lifting.report.working import working_of
from coreset.lifting.screen import postures, standard_seconds
from coreset.line.report import working as line_working
from coreset.line.setter_hold import fits
from coreset.money.report.alternative_working import beside
from coreset.money.report.base_figures import cited_lines
from coreset.money.report.chance_working import chances
from coreset.money.report.tax_working import written_off
from coreset.money.report.working import workings as money_workings
from coreset.study.estimate import data
from coreset.study.report.standard_data import of_data, of_estimate
from coreset.study.report.working import of_pooled, of_standard
from coreset.units import S_PER_H
from coreset.working import Working


def by_subject(assessment: Any) -> Iterator[tuple[str, Working]]:
    """Each line with the key of its subject: study, cycle, lift, job, body, line, hold, money (what cites).

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    """
    a = assessment
    parts = {
        "study": studies(a) + pooled(a),
        "cycle": cycles(a),
        "lift": [line for row in a.handling for _, lines in of_lift(a, row) for line in lines] + not_lifted(a),
        "job": jobs(a),
        "body": body(a),
        "line": rates(a),
        "hold": hold(a),
        "money": money(a),
    }
    return ((subject, line) for subject, lines in parts.items() for line in lines)


def studies(a: Any) -> list[Working]:
    """Working of every standard time, with the standard data behind the estimates made once."""
    known = data(a.case, a.pooled) if any(row.estimated for row in a.standards) else ()
    return [
        line
        for row in a.standards
        for line in (of_data(a.case, row, known, seed=a.seed) if row.estimated and row.elements else of_study(a, row))
    ]


def of_study(a: Any, row: Any) -> list[Working]:
    """Working of one standard time, timed or estimated; nothing where it has no elements."""
    if not row.elements:
        return []
    timed = any(study.study == row.study for study in a.case.studies)
    return of_standard(row, seed=a.seed) if timed else of_estimate(a.case, row, a.pooled, seed=a.seed)


def pooled(a: Any) -> list[Working]:
    """Standards that several studies of one pattern and method make together."""
    return [
        replace(line, what=f"{row.pattern}, {line.what}")
        for row in a.pooled.values()
        for line in of_pooled(row, a.counting, seed=a.seed)
    ]


def cycles(a: Any) -> list[Working]:
    """Mold cycles that are made up of steps."""
    return line_working.cycles((row for row in a.mold_cycles if getattr(row, "steps", ())), seed=a.seed)


def of_lift(a: Any, row: Any) -> Iterator[tuple[str, list[Working]]]:
    """Each end of one screened task with its working; nothing where the method gives no limit."""
    lift = _lift(a, row)
    if lift is None or row.rwl is None:
        return
    for end, posture in postures(a.case, lift, frequency_per_min=row.frequency_per_min, duration=row.duration).items():
        yield end, working_of(posture, getattr(row, end), mass=row.mass)


def _lift(a: Any, row: Any) -> Lift | None:
    same = (row.task, row.pattern, row.method)
    return next((lift for lift in a.case.lifts if (lift.task, lift.pattern, lift.method) == same), None)


def not_lifted(a: Any) -> list[Working]:
    """What decides a task's status beside the equation: a team's index, shares of carrying limits, of push figures."""
    found = [(row, working_of_factored(row.team)) for row in a.handling if row.team is not None and row.team.rwl > 0]
    found += [(row, working_of_carrying(row.carrying)) for row in a.handling if row.carrying is not None]
    for row in a.handling:
        lift = _lift(a, row)
        push = None if lift is None else pushed(lift, units=a.case.units)
        found += [] if push is None else [(row, working_of_push(push))]
    return [replace(line, what=f"{row.task}, {row.pattern}, {row.method}: {line.what}") for row, line in found]


def jobs(a: Any) -> list[Working]:
    """Indices of jobs of several lifts at standard pace, and of shifts in which one person does patterns in turn."""
    seconds, found = standard_seconds(a.pooled.values()), []
    for pattern, method in dict.fromkeys((row.pattern, row.method) for row in a.handling if row.job is not None):
        lines = of_job(a, pattern, method, standard_s=seconds.get((pattern, method)))
        found += [replace(line, what=f"{pattern}, {method}: {line.what}") for line in lines]
    for method in dict.fromkeys(job.method for job in a.jobs if not job.pattern):
        found += working_of_rotation(rotation(a.case, a.pooled.values(), method=method), method=method)
    return found


def of_job(a: Any, pattern: str, method: str, *, standard_s: float | None) -> list[Working]:
    """Working of the index of one job of several lifts; empty where it has none.

    Parameters
    ----------
    a : Assessment
        Its case.
    pattern, method : str
        Whose lifts.
    standard_s : float or None
        Standard time of a mold, None where there is none. [s]
    """
    job = job_of(a.case, pattern=pattern, method=method)
    index = index_at(job, S_PER_H / standard_s if standard_s else 0.0)
    return working_of_composite(job, index) or (working_of_variable(index.variable) if index.variable else [])


def body(a: Any) -> list[Working]:
    """Energy, rest and heat of each job, and the indices of hand work: of one task, of a job, of a mean shift."""
    standards = tuple(a.pooled.values())
    found = [line for load in workloads(a.case, standards) for line in working_of_workload(load)]
    fitted = fittings(a.case, a.handling)
    found += [line for one in fitted for line in working_of_strain(one)]
    jobs_of_hands = of_hands.several(hand_jobs(a.case, fitted, a.handling, standards))
    return found + [line for job in jobs_of_hands for line in of_hands.working(job)]


def rates(a: Any) -> list[Working]:
    """Molds per hour of each pattern and method whose limits are known."""
    limited = [row for row in a.line if hasattr(row, "limits")]
    return line_working.rates(a.case, limited, seed=a.seed) if limited else []


def hold(a: Any) -> list[Working]:
    """Whether the setter holds the cores of each pattern that was rated under a method with the setter."""
    mechanized = {method.method for method in a.case.methods if method.mechanised}
    rated = {row.pattern for row in a.line if row.method in mechanized}
    return line_working.fit(a.case, [row for row in fits(a.case) if row.pattern in rated])


def money(a: Any) -> list[Working]:
    """Every figure of the business case; nothing before there is one."""
    if a.money is None:
        return []
    d = a.money
    return [*money_workings(d), *cited_lines(d), *written_off(a.case, d), *chances(d), *beside(d)]
