"""Each screened task with the job of several lifts that it is part of, at the pace of the standard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from coreset.case import Case
from coreset.lifting.job import NOTHING, index_at, job_of
from coreset.lifting.screen import standard_seconds
from coreset.lifting.screened_task import Screened, WholeJob
from coreset.units import S_PER_H

NO_PACE = "no_pace"
"""Code of a job in which a lift has no pace, so that its index is that of the others."""


def whole_job(
    case: Case, *, pattern: str, method: str, standard_s: float | None
) -> tuple[WholeJob | None, frozenset[str]]:
    """The job of one pattern under one method, and the names of its tasks; None where it has a single lift.

    Parameters
    ----------
    case : Case
        Its lifts.
    pattern, method : str
        Which of them.
    standard_s : float or None
        Standard time per mold; without it only lifts with a frequency of their own have a pace. [s]

    Returns
    -------
    job : WholeJob or None
        Its index at that pace.
    tasks : frozenset of str
        Names of its tasks.

    References
    ----------
    [waters1994] section 2.4.5: tasks that one person does in turn are rated together.
    """
    job = job_of(case, pattern=pattern, method=method)
    found = index_at(job, S_PER_H / standard_s if standard_s else 0.0)
    forbidden = tuple(name for name, codes in job.left_out if codes == NOTHING)
    names = frozenset((*forbidden, *(task.lift.task for task in job.tasks)))
    if len(names) < 2 or not (found.tasks or forbidden):
        return None, names
    paceless = not job.forbidden and len(found.tasks) < len(job.tasks)
    at_least = job.at_least + ((NO_PACE,) if paceless else ())
    kind = found.kind if found.index is not None else "CLI"
    return WholeJob(kind=kind, index=found.index, rising=found.rising, tasks=len(names), at_least=at_least), names


def with_jobs(case: Case, standards: Iterable[Any], screened: Sequence[Screened]) -> tuple[Screened, ...]:
    """Every task with the job that it is part of.

    Parameters
    ----------
    case : Case
        Its lifts.
    standards : iterable of Standard
        As for `screen`.
    screened : sequence of Screened
        One a lift, from `screen`.

    Returns
    -------
    tuple of Screened
        In the same order; `job` is None for a lift that is done apart (set-up) or alone.
    """
    seconds = standard_seconds(standards)
    pairs = dict.fromkeys((row.pattern, row.method) for row in screened)
    jobs = {(p, m): whole_job(case, pattern=p, method=m, standard_s=seconds.get((p, m))) for p, m in pairs}
    found = []
    for row in screened:
        job, names = jobs[row.pattern, row.method]
        found.append(replace(row, job=job) if row.task in names else row)
    return tuple(found)
