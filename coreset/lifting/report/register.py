"""Register of all lifts of a case, ranked: the jobs worst first, within each its lifts worst first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS, Action, Case
from coreset.case.action import OPEN, of_job
from coreset.lifting.report.sentences import rank
from coreset.lifting.report.status import index_text, why_not
from coreset.rounding import half_up
from coreset.text import say

DIGITS = 3
Row = dict[str, Any]


def register(case: Case, jobs: Iterable[Any], screened: Sequence[Any]) -> list[Row]:
    """One row a lift, its unit in the name of a column, with the status of its job and the action on it.

    Parameters
    ----------
    case : Case
    jobs : iterable of JobStatus
        Worst first; the rotation of a shift has no lifts of its own.
    screened : sequence of Screened
        One for each lift of the case, in its order.

    Returns
    -------
    list of dict
        `rank` 1 is the worst; `li` and `rwl` are None where the equation gives none, `rwl` 0 where nothing should be
        lifted. A job without lifts has one row without a task.
    """
    lifts = {id(row): lift for row, lift in zip(screened, case.lifts, strict=True)}
    found: list[Row] = []
    for job in (job for job in jobs if job.pattern):
        own = sorted((row for row in screened if (row.pattern, row.method) == (job.pattern, job.method)), key=rank)
        of_job = _of_job(job) | _of_action(action_of(case, job))
        names = {"pattern": job.pattern, "method": job.method}
        found += [names | _of_lift(row, lifts[id(row)], case.units) | of_job for row in own] or [names | of_job]
    return [{"rank": number} | row for number, row in enumerate(found, start=1)]


def action_of(case: Case, job: Any) -> Action | None:
    """The action of a job that is due next; else the one that was due last."""
    own = of_job(case.actions, job.pattern, job.method)
    open_ = [one for one in own if one.state == OPEN]
    return min(open_, key=lambda one: one.due) if open_ else max(own, key=lambda one: one.due, default=None)


def register_lines(rows: Iterable[Row]) -> list[str]:
    """Rows of the register in words, one a line."""
    return [say("handling.register.row", task=row.get("task") or "–", **_said(row)) for row in rows]


def _said(row: Row) -> dict[str, str]:
    """What a line of the register says beside the task."""
    li = say("handling.register.li", li=index_text(row.get("li"), row.get("at_least", "").split()))
    if row.get("li") is None and row.get("why_not"):
        li = why_not(row["why_not"].split())
    if row.get("team_index") is not None:
        index = index_text(row["team_index"], ("two_persons",))
        li = say("handling.row.team", index=index, persons=row["persons"])
    status = say(f"handling.status.{'not_covered_short' if row['job_status'] == 'not_covered' else row['job_status']}")
    due = say("handling.register.due", change=row["change"], owner=row["owner"], due=row["due"])
    return {
        "rank": str(row["rank"]),
        "sign": say(f"handling.sign.{row['job_status']}"),
        "job": say("handling.status.name", pattern=row["pattern"], method=row["method"]),
        "li": li,
        "status": status,
        "action": due if row["action"] else "",
    }


def _of_lift(row: Any, lift: Any, units: str) -> Row:
    mass = UNIT_SETS[units]["mass"]
    return {
        "task": row.task,
        "core": lift.core,
        f"load_{mass}": _short(row.mass),
        "lifts_per_min": _short(row.frequency_per_min),
        f"rwl_{mass}": _short(row.rwl),
        "li": _short(row.li),
        "persons": lift.persons,
        "team_index": _short(row.team.index) if row.team else None,
        "at_least": " ".join(row.at_least),
        "why_not": " ".join(row.why_not),
        "main_driver": row.binding if row.applies else "",
        "end": row.end if row.applies else "",
    }


def _of_job(job: Any) -> Row:
    return {
        "job_status": job.status,
        "job_kind": job.kind,
        "job_index": _short(job.index),
        "job_governing": _short(job.governing),
        "job_worst_task": job.worst_task,
        "job_operators": job.operators,
    }


def _of_action(one: Action | None) -> Row:
    names = ("action", "change", "owner", "due", "state", "index_before", "index_after", "reassess_by")
    return {name: getattr(one, name) if one else None for name in names}


def _short(value: float | None) -> float | None:
    return half_up(value, DIGITS) if value is not None and math.isfinite(value) else None
